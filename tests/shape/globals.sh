#!/bin/sh
# The library has no variable that outlives a call: .data and .bss of its objects are empty.
# Constant tables are well; those of pointers lie in .data.rel.ro.
# usage: globals.sh [BUILD]
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build/release}
objects=$(find "$build/src/CMakeFiles/fairlead_objects.dir" -name '*.o' 2>/dev/null | LC_ALL=C sort)
[ -n "$objects" ] || { echo "$build:1: not built" && exit 1; }

for object in $objects; do
    source=src/${object#"$build"/src/CMakeFiles/fairlead_objects.dir/}
    source=${source%.o}
    size -A "$object" |
        awk '$1 ~ /^[.]t?(data|bss)/ && $1 !~ /[.]rel[.]ro/ && $2 > 0 { print $1, $2 }' |
        while read -r section bytes; do
            names=$(nm "$object" | awk '$2 ~ /^[dDbBC]$/ { print $3 }')
            for name in $names; do
                line=$(grep -n -m 1 -w "${name%%.*}" "$source" | cut -d: -f1)
                echo "$source:${line:-1}: '${name%%.*}' lies in $section and can change"
            done
            [ -n "$names" ] || echo "$source:1: $bytes bytes in $section"
        done
done | sort -u | awk '{ print; bad = 1 } END { exit bad }'
