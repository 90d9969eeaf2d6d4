#!/bin/sh
# Every function of a header has a doc comment directly above it (in fairlead.h each its own; in
# the others a run of functions without a blank line may share one). Of the lines that are not
# blank, those with a comment are at least half in fairlead.h and 10 to 25 in 100 in the sources.
set -eu
cd "$(dirname "$0")/../.."
status=0

awk '
/^FL_API/ && before !~ /\*\/$/ {
    print FILENAME ":" FNR ": no doc comment directly above"
    bad = 1
}
/^\/\*\*/ { doc = 1 }
/^\/\*[^*]/ { doc = 0 }
/^FL_API/ && !doc {
    print FILENAME ":" FNR ": the comment above is no doc comment"
    bad = 1
}
{ before = $0 }
END { exit bad }' src/fairlead.h || status=1

# Lines with a comment among the lines that are not blank: "file share".
share() {
    for file in "$@"; do
        awk -v file="$file" '
        /^[ \t]*$/ { next }
        { all++ }
        inside || /\/\*/ || /\/\// { comments++ }
        /\/\*/ { inside = 1 }
        /\*\// { inside = 0 }
        END { print file, comments + 0, all + 0 }' "$file"
    done
}
share src/fairlead.h | awk '$2 < 0.5 * $3 {
    print $1 ":1: comments are on " $2 " of " $3 " lines, less than half"
    bad = 1
} END { exit bad }' || status=1
share $(find src -name '*.c' | LC_ALL=C sort) | awk '
{
    comments += $2
    all += $3
}
END {
    share = all ? comments / all : 0
    printf "comments are on %.3f of the lines of the sources\n", share
    if (share < 0.10 || share > 0.25) {
        print "src:1: wanted a share of comments of 0.10 to 0.25"
        exit 1
    }
}' || status=1
exit $status
