#!/bin/sh
# Functions are short: median 14 lines at most, 95 in 100 within 40, 98 in 100 within 60, none over
# 70 (from the name to the closing brace); at most 6 parameters, 9 in 10 within 5; at most 3 levels
# of nesting.
set -eu
cd "$(dirname "$0")/../.."

sources=$(find src -name '*.c' | LC_ALL=C sort)
status=0
ctags --languages=C --kinds-C=f --fields=+neS -f - $sources | awk -F'\t' '
function worst(list, count, share) {
    return list[int((count * share + 99) / 100)]
}
function sorted(list, count, i, j, value) {
    for (i = 2; i <= count; i++) {
        value = list[i]
        for (j = i - 1; j > 0 && list[j] > value; j--)
            list[j + 1] = list[j]
        list[j + 1] = value
    }
}
function parameters(text, i, depth, count, c) {
    gsub(/^\(|\)$/, "", text)
    sub(/, *[.][.][.]$/, "", text)
    if (text == "void" || text == "")
        return 0
    for (i = 1; i <= length(text); i++) {
        c = substr(text, i, 1)
        depth += (c == "(") - (c == ")")
        count += c == "," && depth == 0
    }
    return count + 1
}
{
    first = last = 0
    signature = ""
    for (i = 4; i <= NF; i++) {
        if ($i ~ /^line:/)
            first = substr($i, 6) + 0
        if ($i ~ /^end:/)
            last = substr($i, 5) + 0
        if ($i ~ /^signature:/)
            signature = substr($i, 11)
    }
    if (!first || !last)
        next
    n++
    length_of[n] = last - first + 1
    taken[n] = parameters(signature)
    over40[n] = $2 ":" first ": " $1 " has " length_of[n] " lines"
    if (length_of[n] > 70) {
        print over40[n] ", more than 70"
        bad = 1
    }
    if (taken[n] > 6) {
        print $2 ":" first ": " $1 " takes " taken[n] " parameters, more than 6"
        bad = 1
    }
    long += length_of[n] > 60
    within[n] = length_of[n]
}
END {
    if (!n) {
        print "src: no function found"
        exit 1
    }
    sorted(within, n)
    sorted(taken, n)
    median = worst(within, n, 50)
    most = worst(within, n, 95)
    printf "%d functions: median %d lines, 95 %% within %d, longest %d; 90 %% take at most %d\n",
        n, median, most, within[n], worst(taken, n, 90)
    if (median > 14) {
        print "src: the median function has " median " lines, more than 14"
        bad = 1
    }
    if (most > 40) {
        print "src: of 100 functions 95 are within " most " lines, more than 40; these are over 40:"
        for (i = 1; i <= n; i++)
            if (length_of[i] > 40)
                print over40[i]
        bad = 1
    }
    if (long * 50 > n) {
        print "src: " long " of " n " functions are over 60 lines, more than 2 in 100"
        bad = 1
    }
    if (worst(taken, n, 90) > 5) {
        print "src: of 100 functions more than 10 take more than 5 parameters"
        bad = 1
    }
    exit bad
}' || status=1

# clang-format indents by 4, so that a keyword at column 17 stands in a fourth level.
awk -f tests/shape/code.awk $sources | awk -F: '
{
    code = $0
    sub(/^[^:]*:[^:]*:/, "", code)
    if (code ~ /^                 *(if|for|while|do|switch) /) {
        print $1 ":" $2 ": nested more than 3 levels deep"
        bad = 1
    }
}
END { exit bad }' || status=1
exit $status
