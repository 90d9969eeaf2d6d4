# Makes a C source of the kernel's bytes. Run by cmake -P with IN, the file, and OUT, the source.
file(READ ${IN} hex HEX)
string(LENGTH "${hex}" digits)
math(EXPR length "${digits} / 2")
string(REGEX REPLACE "(..)" "0x\\1," bytes "${hex}")
string(REGEX REPLACE "(................................................................................)"
    "\\1\n" bytes "${bytes}")
file(WRITE ${OUT} "/* Made by src/page/bytes.cmake. */
#include \"live/live.h\"

const unsigned char fl_live_kernel[] = {\n${bytes}0};
const size_t fl_live_kernel_length = ${length};
")
