#!/bin/sh
# Every source of the library has its test, of the same folder and stem, under the same name in its
# group; the command's sources are tested from outside, by tests/command.
set -eu
cd "$(dirname "$0")/../.."
status=0

sources=$(find src -name '*.c' ! -path 'src/command/*' ! -path 'src/page/*' | LC_ALL=C sort)
for source in $sources; do
    name=${source#src/}
    name=${name%.c}
    if [ ! -e "tests/$name.c" ]; then
        echo "$source:1: no test tests/$name.c" && status=1
    elif ! grep -q "cmocka_run_group_tests_name(\"$name\"" "tests/$name.c"; then
        echo "tests/$name.c:1: no group of tests named \"$name\"" && status=1
    fi
done
exit $status
