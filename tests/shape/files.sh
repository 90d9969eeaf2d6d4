#!/bin/sh
# Files: at most 600 lines, at most 100 columns, no tabs or trailing blanks, a first sentence that
# says what a source is, a stem that names a subject; the top level holds what it should.
set -eu
cd "$(dirname "$0")/../.."
status=0

for entry in * .[!.]*; do
    case $entry in
    README.md | DEVELOPERS.md | LICENSE | CMakeLists.txt) ;;
    src | models | tests | examples | docs | build | .*) ;;
    *) echo "$entry:1: does not belong at the top level" && status=1 ;;
    esac
done
if [ "$(wc -l <CMakeLists.txt)" -ge 120 ]; then
    echo "CMakeLists.txt:120: 120 lines or more" && status=1
fi

find src tests examples .ci CMakeLists.txt -type f \( -name '*.[ch]' -o -name '*.cpp' \
    -o -name '*.sh' -o -name '*.awk' -o -name CMakeLists.txt -o -path .ci/run \) |
    LC_ALL=C sort | LC_ALL=C xargs awk '
function wrong(line, why) {
    print name ":" line ": " why
    bad = 1
}
function finish() {
    if (name ~ /[.][ch]$/ && lines > 600)
        wrong(lines, "the file has " lines " lines, more than 600")
}
FNR == 1 {
    finish()
    name = FILENAME
    if (name ~ /^src\/.*[.][ch]$/ && $0 !~ /^\/\*/)
        wrong(1, "wanted a comment first, that says what the file is")
    if (name ~ /(^|\/)(utils?|common|helpers?|misc)[.][ch]$/)
        wrong(1, "the stem names no subject")
}
{
    lines = FNR
    text = $0
    gsub(/[\200-\277]/, "", text) # a character of several bytes counts once
    if (length(text) > 100)
        wrong(FNR, length(text) " columns, more than 100")
    if (text ~ /\t/)
        wrong(FNR, "a tab")
    if (text ~ /[ \t\r]$/)
        wrong(FNR, "blanks at the end of the line")
}
END {
    finish()
    exit bad
}' || status=1
exit $status
