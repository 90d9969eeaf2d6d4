#!/bin/sh
# Installs a build into a scratch folder and uses it from outside, in one of the ways below.
# usage: run.sh PART BUILD
set -eu
part=$1
build=$(cd "$2" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
work=$build/scratch/install/$part
prefix=$work/prefix

fail() {
    echo "run.sh: $*" >&2
    exit 1
}

rm -rf "$work"
mkdir -p "$work"
cmake --install "$build" --prefix "$prefix" >"$work/install.log" || fail "the install failed"
pc=$(find "$prefix" -name fairlead.pc)
[ -n "$pc" ] || fail "no fairlead.pc"
libraries=$(dirname "$(dirname "$pc")")
export PKG_CONFIG_PATH="$libraries/pkgconfig"
cd "$work"

layout() {
    for file in bin/fairlead include/fairlead.h share/doc/fairlead/LICENSE \
        share/doc/fairlead/references.md; do
        [ -s "$prefix/$file" ] || fail "not installed: $file"
    done
    for model in "$here"/../../models/*.json; do
        cmp "$model" "$prefix/share/fairlead/models/$(basename "$model")"
    done
    for file in libfairlead.a libfairlead.so libfairlead.so.0 cmake/fairlead/fairlead-config.cmake \
        cmake/fairlead/fairlead-config-version.cmake; do
        [ -s "$libraries/$file" ] || fail "not installed: $file"
    done
    [ "$(ls "$prefix/include")" = fairlead.h ] || fail "more headers than fairlead.h"
    readelf -d "$libraries/libfairlead.so" | grep -q 'SONAME.*\[libfairlead[.]so[.]0\]' ||
        fail "the shared library has another name than libfairlead.so.0"
    ! grep -rqF "$build" "$libraries/cmake" "$libraries/pkgconfig" ||
        fail "the package names the build folder"
    [ "$(pkg-config --modversion fairlead)" = "$("$prefix/bin/fairlead" --version |
        grep -o '[0-9]*[.][0-9]*[.][0-9]*' | head -n 1)" ] || fail "two versions"
}

# The installed command finds its models in another folder, after a move too.
moved() {
    mv "$prefix" "$work/moved"
    cat >design.json <<'END'
{"fairlead": 1, "band": ["26 GHz", "30 GHz"], "points": 5,
 "ports": {"die": {"impedance": "50 ohm"}, "board": {"impedance": "50 ohm"}},
 "path": [{"name": "package", "use": "models/lead-frame-4mm.json"}]}
END
    "$work/moved/bin/fairlead" check design.json || fail "the moved command found no model"
}

# consume PROGRAM shared|static: runs it, and looks which library it took.
consume() {
    LD_LIBRARY_PATH=$libraries "$1" || fail "the program failed"
    if readelf -d "$1" | grep -q 'NEEDED.*libfairlead'; then
        [ "$2" = shared ] || fail "wanted the static library, got the shared one"
    else
        [ "$2" = static ] || fail "wanted the shared library, got the static one"
    fi
}

by_cmake() {
    cmake -S "$here" -B consumer -DCMAKE_PREFIX_PATH="$prefix" "$@" || fail "configuring failed"
    cmake --build consumer || fail "building failed"
}

case $part in
layout | moved)
    $part
    ;;
cmake-shared)
    by_cmake
    consume consumer/consumer shared
    ;;
cmake-static)
    by_cmake -DSTATIC=ON
    consume consumer/consumer static
    ;;
pkgconfig-shared)
    ${CC:-gcc} -o consumer "$here/consumer.c" $(pkg-config --cflags --libs fairlead)
    consume ./consumer shared
    ;;
pkgconfig-static)
    ${CC:-gcc} -o consumer "$here/consumer.c" $(pkg-config --cflags fairlead) \
        -L"$libraries" -Wl,-Bstatic -lfairlead -Wl,-Bdynamic \
        $(pkg-config --static --libs fairlead | sed 's/-lfairlead//')
    consume ./consumer static
    ;;
*)
    fail "unknown part '$part'"
    ;;
esac
