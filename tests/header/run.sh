#!/bin/sh
# The public header alone is C99 and C++17 without a warning, and every internal header includes
# what it needs.
set -eu
cd "$(dirname "$0")/../.."
status=0

${CC:-gcc} -std=c99 -pedantic -Wall -Wextra -Wstrict-prototypes -Werror -fsyntax-only \
    -Isrc tests/header/alone.c || status=1
${CXX:-g++} -std=c++17 -pedantic -Wall -Wextra -Werror -fsyntax-only \
    -Isrc tests/header/alone.cpp || status=1
flags=$(pkg-config --cflags libcjson)
for header in $(find src -name '*.h' | LC_ALL=C sort); do
    ${CC:-gcc} -std=c17 -D_POSIX_C_SOURCE=200809L -Wall -Wextra -Wpedantic -Werror -fsyntax-only \
        -Isrc $flags -include "$header" -x c /dev/null || status=1
done
exit $status
