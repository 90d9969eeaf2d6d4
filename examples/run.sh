#!/bin/sh
# Builds Fairlead and sizes the first example. Goes with the exit code of the command: 0 every
# requirement met, 1 one is not, more when it could not run.
set -eu
cd "$(dirname "$0")/.."

sh tests/packages.sh build
mkdir -p build
{
    cmake -S . -B build -DCMAKE_BUILD_TYPE=Release -DFAIRLEAD_TESTS=OFF &&
        cmake --build build -j "$(nproc)"
} >build/build.log 2>&1 || {
    tail -n 40 build/build.log >&2
    echo "run.sh: the build failed, see build/build.log" >&2
    exit 3
}

code=0
build/bin/fairlead size examples/absorb/absorb.json --out build/absorb || code=$?
[ "$code" -le 1 ] || exit "$code"

echo
echo "Written to build/absorb:"
ls build/absorb | sed 's/^/  /'
[ ! -e build/absorb/report.html ] || {
    echo
    echo "Open build/absorb/report.html in a browser: the result in pictures, to be turned by hand."
}
echo
echo "Look next at"
for page in docs/tutorial-absorb.md docs/design-file.md; do
    echo "  $page"
done
echo "  build/bin/fairlead --help"
exit "$code"
