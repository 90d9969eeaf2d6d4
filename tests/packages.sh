#!/bin/sh
# The Debian packages that Fairlead is built and tested with, named here alone.
#
#     sh tests/packages.sh build         what a build needs
#     sh tests/packages.sh build test    what all tests need too
#     sh tests/packages.sh page          a browser, for tests/page alone
#     sh tests/packages.sh bench         what tests/bench compares with
#
# Installs what is missing and touches nothing when all is there. Elsewhere than on Debian it says
# what is needed and goes on.
set -eu

build="gcc libc6-dev make cmake pkg-config libnlopt-dev libgsl-dev libcjson-dev
       clang-14 lld-14 wasi-libc libclang-rt-14-dev-wasm32
       node-d3-axis node-d3-scale node-d3-selection node-d3-shape"
test="libcmocka-dev g++ binutils clang-tidy-14 clang-format-14 libomp-14-dev valgrind
      libopenmpi-dev openmpi-bin procps libc6-dbg universal-ctags python3"
bench="python3-numpy python3-scipy libsleef-dev"

# Node.js may have come from elsewhere, with its npm; Debian's would then be in its way.
page="chromium fonts-dejavu-core"
command -v npm >/dev/null || page="$page nodejs npm"

wanted=
for group in "$@"; do
    case $group in
    build) wanted="$wanted $build" ;;
    test) wanted="$wanted $test" ;;
    page) wanted="$wanted $page" ;;
    bench) wanted="$wanted $bench" ;;
    *) echo "packages.sh: unknown group '$group'" >&2 && exit 2 ;;
    esac
done

if ! command -v dpkg-query >/dev/null; then
    echo "packages.sh: not a Debian system, these are needed:" $wanted >&2
    exit 0
fi

missing=
for package in $wanted; do
    status=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null) || status=none
    [ "$status" = installed ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

as_root=
if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || {
        echo "packages.sh: install as root, then try again:$missing" >&2
        exit 1
    }
    as_root=sudo
fi
echo "installing$missing"
export DEBIAN_FRONTEND=noninteractive
$as_root apt-get update -qq
$as_root apt-get install -y -qq --no-install-recommends $missing
