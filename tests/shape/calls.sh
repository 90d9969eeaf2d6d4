#!/bin/sh
# Functions not to be called: unsafe or locale-bound ones anywhere; in the library also what
# prints, ends the program, takes memory past base/arena.c, or reads a clock or shared random state.
# The clock alone may be asked by checkpoint.c: when it writes is in no result.
# The sources are read, and then the symbols of the objects, which no macro can hide.
# usage: calls.sh [BUILD]
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build/release}
status=0

unsafe='strcpy strcat stpcpy sprintf vsprintf strtok gets gmtime localtime asctime ctime atoi atol
        atoll atof setlocale alloca'
prints='printf vprintf puts putchar putc perror'
ends='exit _exit _Exit quick_exit abort atexit raise signal'
memory='malloc calloc realloc free aligned_alloc posix_memalign strdup strndup asprintf vasprintf'
state='time clock clock_gettime gettimeofday rand srand random srandom drand48 getenv'

find src -name '*.[ch]' | LC_ALL=C sort | xargs awk -f tests/shape/code.awk | awk -F: \
    -v unsafe="$unsafe" -v prints="$prints" -v ends="$ends" -v memory="$memory" -v state="$state" '
function ban(words, why, list, count, i) {
    count = split(words, list, " ")
    for (i = 1; i <= count; i++)
        reason[list[i]] = why
}
BEGIN {
    ban(unsafe, "is banned everywhere")
    ban(prints, "prints, which only the command does")
    ban("stdout stderr", "is for the command alone")
    ban(ends, "ends the program or touches its signals, which only the command may")
    ban(memory, "takes memory, which only base/arena.c does")
    ban(state, "makes results depend on more than the design")
}
function allowed(file, word) {
    if (reason[word] ~ /everywhere$/)
        return 0
    return file ~ /^src\/command\// ||
        (file == "src/base/arena.c" && reason[word] ~ /arena/) ||
        (file == "src/studies/checkpoint.c" && word == "clock_gettime")
}
{
    code = $0
    sub(/^[^:]*:[^:]*:/, "", code)
    if (code ~ /^[ \t]*#[ \t]*include/)
        next
    while (match(code, /[A-Za-z_][A-Za-z0-9_]*/)) {
        word = substr(code, RSTART, RLENGTH)
        before = substr(code, 1, RSTART - 1)
        code = substr(code, RSTART + RLENGTH)
        called = code ~ /^[ \t]*\(/ && before !~ /([.]|->)$/
        if ((word in reason) && (called || word ~ /^std/) && !allowed($1, word)) {
            print $1 ":" $2 ": " word " " reason[word]
            bad = 1
        }
    }
}
END { exit bad }' || status=1

library=$build/lib/libfairlead.a
if [ ! -e "$library" ]; then
    echo "$library:1: not built" && exit 1
fi
nm -A -u "$library" | awk -v banned="$unsafe $prints $ends $memory stdout stderr $state" '
BEGIN {
    count = split(banned, list, " ")
    for (i = 1; i <= count; i++)
        wrong[list[i]] = 1
}
{
    split($1, part, ":")
    name = $NF
    sub(/@.*/, "", name)
    if ((name in wrong) && part[2] !~ /^arena[.]c[.]o$/ &&
        !(part[2] ~ /^checkpoint[.]c[.]o$/ && name == "clock_gettime")) {
        print part[1] ":1: " part[2] " needs " name
        bad = 1
    }
}
END { exit bad }' || status=1
exit $status
