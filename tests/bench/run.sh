#!/bin/sh
# Builds Fairlead and measures it: prints five tables as Markdown. Takes some minutes, on a machine
# that does nothing else.
#
#     sh tests/bench/run.sh           prints them
#     sh tests/bench/run.sh page      puts them into docs/performance.md too
set -eu
cd "$(dirname "$0")/../.."

page=
case ${1-} in
"") ;;
page) page=docs/performance.md ;;
*) echo "run.sh: expected nothing or 'page', found '$1'" >&2 && exit 2 ;;
esac

sh tests/packages.sh build test bench
mkdir -p build
{
    cmake -S . -B build/release -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release &&
        cmake --build build/release -j "$(nproc)"
} >build/bench.log 2>&1 || {
    tail -n 40 build/bench.log >&2
    echo "run.sh: the build failed, see build/bench.log" >&2
    exit 3
}
exec /usr/bin/python3 tests/bench/report.py build/release/tests/bench $page
