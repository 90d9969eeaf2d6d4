#!/bin/sh
# Opens reports in a browser, as a reader would, and looks for what is wrong.
#
#     sh tests/page/run.sh BUILD     BUILD: folder of a build with the page, such as build/release
#
# Needs Chromium, Node.js and npm; playwright-core and axe-core are installed below build/page.
# Reports, screenshots and a printed page are left in build/page/out.
set -eu
cd "$(dirname "$0")/../.."
build=$1
place=build/page
command=$PWD/$build/bin/fairlead

for tool in chromium node npm; do
    command -v $tool >/dev/null || {
        echo "page: no '$tool': sh tests/packages.sh page installs it (Debian)" >&2
        exit 1
    }
done
mkdir -p $place
cp tests/page/package.json $place/
[ -d $place/node_modules/playwright-core ] && [ -d $place/node_modules/axe-core ] ||
    npm --prefix $place install --no-audit --no-fund --silent || {
    echo "page: playwright-core and axe-core could not be had from npm" >&2
    exit 1
}

# A build without the page has all the rest, and says what is left out.
cmake -S . -B build/nopage -DCMAKE_BUILD_TYPE=None -DFAIRLEAD_TESTS=OFF -DFAIRLEAD_PAGE=OFF \
    >/dev/null
cmake --build build/nopage -j "$(nproc)" >/dev/null
rm -rf $place/without
build/nopage/bin/fairlead response examples/board/board.json --out $place/without \
    >$place/without.out 2>$place/without.err || [ $? -eq 1 ]
grep -q 'report.html is left out' $place/without.err || {
    echo "FAILED  a build without the page does not say so" && exit 1
}
[ -e $place/without/result.json ] && [ ! -e $place/without/report.html ] || {
    echo "FAILED  a build without the page writes other files" && exit 1
}
echo "ok      a build without the page"

# A report of every example; those that take long, with fewer samples.
rm -rf $place/out
for design in examples/*/*.json; do
    name=$(basename "$design" .json)
    grep -q '"band"' "$design" || continue
    code=0
    "$command" size "$design" --quiet --samples 2000 --out "$place/out/$name" >/dev/null || code=$?
    [ $code -le 1 ] || exit 1
done
mkdir -p $place/out/hostile
node tests/page/hostile.js >$place/out/hostile/hostile.json
for verb in size response yield sensitivity; do
    code=0
    "$command" $verb $place/out/hostile/hostile.json --quiet --out "$place/out/hostile-$verb" \
        >/dev/null || code=$?
    [ $code -le 1 ] || exit 1
done

NODE_PATH=$place/node_modules node tests/page/test.js "$command" "$place/out"
