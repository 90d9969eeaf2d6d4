#!/bin/sh
# The include graph: a file includes its own folder's headers, base/, fairlead.h and the outward
# header of the folder before its own; path/ and response/ need the C library alone; the command
# uses fairlead.h as any user would. Only src/fairlead.c and src/model.c, which bind all, are free.
set -eu
cd "$(dirname "$0")/../.."

find src -name '*.[ch]' | LC_ALL=C sort | xargs awk -f tests/shape/code.awk | awk -F: '
BEGIN {
    count = split("base design models path response studies live result reports", order, " ")
    for (i = 2; i <= count; i++)
        before[order[i]] = order[i - 1]
    for (i = 1; i <= count; i++)
        known[order[i]] = 1
    known["command"] = known["page"] = 1
    standard = "^(assert|complex|ctype|errno|fenv|float|inttypes|iso646|limits|locale|math|" \
        "setjmp|signal|stdalign|stdarg|stdatomic|stdbool|stddef|stdint|stdio|stdlib|" \
        "stdnoreturn|string|tgmath|threads|time|uchar|wchar|wctype)[.]h$"
}
function wrong(why) {
    print $1 ":" $2 ": includes " name ", " why
    bad = 1
}
{
    code = $0
    sub(/^[^:]*:[^:]*:/, "", code)
    parts = split($1, place, "/")
    folder = parts > 2 ? place[2] : ""
    if ($2 == 1 && (parts > 3 || (folder != "" && !(folder in known)))) {
        print $1 ":1: its folder is not one of the layers"
        bad = 1
    }
    if (code !~ /^[ \t]*#[ \t]*include/)
        next
    if (!match(code, /[<"][^>"]*[>"]/))
        next
    ours = substr(code, RSTART, 1) == "\""
    name = substr(code, RSTART + 1, RLENGTH - 2)
    if (!ours) {
        if ((folder == "path" || folder == "response") && name !~ standard)
            wrong("which is not of the C library")
    } else if ($1 ~ /^src\/(fairlead|model)[.]c$/ || name == "fairlead.h") {
        if ($1 == "src/fairlead.h")
            wrong("and the public header stands alone")
    } else if (folder == "")
        wrong("and the public header stands alone")
    else if (split(name, part, "/") != 2)
        wrong("wanted a path from src, such as \"base/text.h\"")
    else if (part[1] == folder)
        ;
    else if (folder == "command")
        wrong("and the command may use fairlead.h alone")
    else if (part[1] != "base" && name != before[folder] "/" before[folder] ".h")
        wrong("which is not of " folder "/, base/ or " \
            (before[folder] == "" ? "fairlead.h" : before[folder] "/" before[folder] ".h"))
}
END { exit bad }'
