#!/bin/sh
# The shared library exports the functions that fairlead.h declares with FL_API, 60 at most, and
# nothing else; what files share between them is hidden and starts with fl_ all the same.
# usage: exports.sh [BUILD]
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build/release}
library=$build/lib/libfairlead.so
[ -e "$library" ] || { echo "$library:1: not built" && exit 1; }

{
    awk -f tests/shape/code.awk src/fairlead.h | sed 's/^\([^:]*\):\([^:]*\):/declared \2 /'
    nm -D --defined-only "$library" | awk '{ print "exported", $2, $3 }'
    nm -A --defined-only --extern-only "$build/lib/libfairlead.a" |
        awk 'NF { split($1, part, ":"); print "shared", part[2], $NF }'
} | awk -v library="$library" '
$1 == "declared" {
    line = $2
    text = $0
    sub(/^declared [0-9]+ ?/, "", text)
    if (text ~ /^[ \t]*#/)
        next
    if (text ~ /FL_API/) {
        open = 1
        start = line
        joined = ""
    }
    if (open) {
        joined = joined " " text
        if (match(joined, /fl_[a-z0-9_]+[ ]*\(/)) {
            name = substr(joined, RSTART, RLENGTH)
            sub(/[ ]*\($/, "", name)
            declared[name] = start
            count++
            open = 0
        }
    }
}
$1 == "exported" && $2 !~ /^[wv]$/ { exported[$3] = $2 }
$1 == "shared" && $3 !~ /^fl_/ {
    print library ":1: " $2 " shares " $3 ", which does not start with fl_"
    bad = 1
}
END {
    for (name in declared)
        if (!(name in exported)) {
            print "src/fairlead.h:" declared[name] ": " name " is declared and not exported"
            bad = 1
        }
    for (name in exported)
        if (!(name in declared)) {
            print library ":1: exports " name ", which fairlead.h does not declare with FL_API"
            bad = 1
        }
    if (!count || count > 60) {
        print "src/fairlead.h:1: " count + 0 " public functions, wanted 1 to 60"
        bad = 1
    }
    exit bad
}'
