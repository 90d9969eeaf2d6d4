#!/bin/sh
# What the pages name exists: relative paths in README.md and DEVELOPERS.md, links between pages,
# and the functions that DEVELOPERS.md speaks of. DEVELOPERS.md stays under 150 lines.
set -eu
cd "$(dirname "$0")/../.."
status=0

for page in README.md DEVELOPERS.md; do
    [ -e "$page" ] || { echo "$page:1: missing" && status=1; }
done
pages=$(ls README.md DEVELOPERS.md docs/*.md examples/*.md examples/*/*.md 2>/dev/null || true)

# "page line path" of all links, and of all words of the two top pages that look like a path.
awk '
function look(word) {
    gsub(/^[^A-Za-z0-9.<*\/]+|[^A-Za-z0-9>*\/]+$/, "", word)
    sub(/^\.\//, "", word)
    sub(/#.*$/, "", word)
    if (word ~ /^models\/[a-z_]+[.][ch]$/)
        print FILENAME, FNR, "src/" word
    else if (word ~ /^(src|tests|docs|models|examples|[.]ci)\/[^<>]*$/)
        print FILENAME, FNR, word
    else if (word ~ /^(base|design|path|response|studies|result|reports|command)\/[a-z_]+[.][ch]$/)
        print FILENAME, FNR, "src/" word
    else if (word ~ /^[A-Za-z_-]+[.](md|sh)$/)
        print FILENAME, FNR, word
}
{
    text = $0
    while (match(text, /\]\([^)]*\)/)) {
        target = substr(text, RSTART + 2, RLENGTH - 3)
        text = substr(text, 1, RSTART) " " substr(text, RSTART + RLENGTH)
        folder = FILENAME
        sub(/[^\/]*$/, "", folder)
        sub(/#.*$/, "", target)
        if (target != "" && target !~ /^[a-z]+:/)
            print FILENAME, FNR, folder target
    }
    if (FILENAME ~ /^(README|DEVELOPERS)[.]md$/) {
        count = split(text, words, /[ \t`"(),;|]+/)
        for (i = 1; i <= count; i++)
            look(words[i])
    }
}' $pages /dev/null | LC_ALL=C sort -u | {
    found=0
    while read -r page line path; do
        set -- $path
        [ -e "$1" ] || { echo "$page:$line: '$path' does not exist" && found=1; }
    done
    exit $found
} || status=1

if [ -e DEVELOPERS.md ]; then
    if [ "$(wc -l <DEVELOPERS.md)" -ge 150 ]; then
        echo "DEVELOPERS.md:150: 150 lines or more" && status=1
    fi
    for name in $(grep -o '\<fl_[a-z0-9_]*\>' DEVELOPERS.md | LC_ALL=C sort -u); do
        if ! grep -rqw -- "$name" src; then
            line=$(grep -nw -m 1 "$name" DEVELOPERS.md | cut -d: -f1)
            echo "DEVELOPERS.md:$line: no '$name' in src" && status=1
        fi
    done
fi
exit $status
