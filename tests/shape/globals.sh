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
    size -A "$object" | awk -v source="$source" '
        $1 ~ /^[.]t?(data|bss)/ && $1 !~ /[.]rel[.]ro/ && $2 > 0 {
            print source ":1: " $2 " bytes in " $1
        }'
    objdump -t "$object" | sed 's/ [.]hidden / /' | awk '
        NF > 4 && $(NF - 2) ~ /^([.]t?(data|bss)|[*]COM[*])/ &&
            $(NF - 2) !~ /[.]rel[.]ro/ && $NF !~ /^[.]/ { print $NF }' |
        while read -r name; do
            line=$(grep -n -m 1 -w "${name%%.*}" "$source" | cut -d: -f1)
            echo "$source:${line:-1}: '${name%%.*}' can change"
        done
done | awk '{ print; bad = 1 } END { exit bad }'
