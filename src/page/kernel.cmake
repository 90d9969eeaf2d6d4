# The engine for browsers: the sources below compiled to WebAssembly, packed, as a C source. It
# needs Debian's clang, its linker and the C library for it; without them the source is there too,
# with nothing in it, and pages have nothing to turn.
#
# Little code and vectors of two doubles: a page carries it. Nothing is taken from the browser: what
# the C library would ask of an operating system is in browser.c.
set(kernel_parts
    base/arena base/beta base/checksum base/error base/nodes base/number base/pack base/random base/text base/vector
    base/vector_plain
    design/answer design/carry design/name design/rule design/start_text design/unit
    models/dual models/interpolant models/line models/lumped models/measured models/models
    models/polynomial models/rows models/scattering models/stand_in
    path/carry path/data path/files path/groundwork path/lanes path/path path/port path/prepared
    path/solution path/twoport
    response/block response/block_nodes response/block_plan response/chain response/figure
    response/march response/margins response/scatter response/slopes response/sweep response/walk
    studies/draw studies/draw_lanes studies/interval studies/lot studies/numbers studies/peaks
    studies/points studies/quick studies/rows
    studies/shares studies/sobol studies/tally
    live/kernel live/live
    page/browser)
set(kernel_source ${CMAKE_CURRENT_BINARY_DIR}/kernel_bytes.c)
set(kernel ${CMAKE_CURRENT_BINARY_DIR}/kernel.wasm)

find_program(FAIRLEAD_CLANG clang-14)
find_program(FAIRLEAD_WASM_LD wasm-ld-14)
find_program(FAIRLEAD_GZIP gzip)
find_file(FAIRLEAD_WASI_LIBC libc.a PATHS /usr/lib/wasm32-wasi NO_DEFAULT_PATH)
find_file(FAIRLEAD_WASM_BUILTINS libclang_rt.builtins-wasm32.a
    PATHS /usr/lib/llvm-14/lib/clang/14.0.6/lib/wasi NO_DEFAULT_PATH)
mark_as_advanced(FAIRLEAD_CLANG FAIRLEAD_WASM_LD FAIRLEAD_GZIP FAIRLEAD_WASI_LIBC
    FAIRLEAD_WASM_BUILTINS)
set(kernel_tools ${FAIRLEAD_CLANG} ${FAIRLEAD_WASM_LD} ${FAIRLEAD_GZIP} ${FAIRLEAD_WASI_LIBC}
    ${FAIRLEAD_WASM_BUILTINS})
if("${kernel_tools}" MATCHES "NOTFOUND")
    message(STATUS "Report page: nothing to turn, no compiler for browsers (Debian: clang-14, "
        "lld-14, wasi-libc, libclang-rt-14-dev-wasm32)")
    file(WRITE ${kernel_source} "#include \"live/live.h\"
const unsigned char fl_live_kernel[] = {0};
const size_t fl_live_kernel_length = 0;
")
    return()
endif()
set(FAIRLEAD_HAS_KERNEL ON PARENT_SCOPE)

# All that live/kernel.h declares is called from outside.
set(kernel_header ${CMAKE_CURRENT_LIST_DIR}/../live/kernel.h)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${kernel_header})
file(STRINGS ${kernel_header} kernel_lines REGEX "fl_kernel_[a-z_]+\\(")
set(kernel_exports "")
foreach(line ${kernel_lines})
    string(REGEX REPLACE ".*(fl_kernel_[a-z_]+)\\(.*" "--export=\\1" name "${line}")
    list(APPEND kernel_exports ${name})
endforeach()

# The steps of the lanes are left rolled: unrolled they are no faster, and twice as long.
set(kernel_objects "")
foreach(part ${kernel_parts})
    string(REPLACE / _ name ${part})
    set(object ${CMAKE_CURRENT_BINARY_DIR}/kernel/${name}.o)
    set(source ${CMAKE_CURRENT_LIST_DIR}/../${part}.c)
    add_custom_command(OUTPUT ${object}
        COMMAND ${FAIRLEAD_CLANG} --target=wasm32-wasi -std=c17 -D_POSIX_C_SOURCE=200809L
            -DNDEBUG -Os -msimd128 -fno-unroll-loops -ffp-contract=off -fno-math-errno
            -ffunction-sections -fdata-sections -I ${CMAKE_CURRENT_LIST_DIR}/..
            -MD -MF ${object}.d -c ${source} -o ${object}
        DEPENDS ${source} DEPFILE ${object}.d
        COMMENT "Compiling ${part}.c for browsers" VERBATIM)
    list(APPEND kernel_objects ${object})
endforeach()
file(MAKE_DIRECTORY ${CMAKE_CURRENT_BINARY_DIR}/kernel)

# Linked apart from compiling: the compiler would have the result rewritten by another tool, if that
# is there. Objects hold functions that are never called and that need what is not here.
add_custom_command(OUTPUT ${kernel}
    COMMAND ${FAIRLEAD_WASM_LD} --no-entry --strip-all --gc-sections -z stack-size=1048576
        ${kernel_exports} ${kernel_objects} ${FAIRLEAD_WASI_LIBC} ${FAIRLEAD_WASM_BUILTINS}
        -o ${kernel}
    DEPENDS ${kernel_objects}
    COMMENT "Linking the kernel for browsers" VERBATIM)
add_custom_command(OUTPUT ${kernel_source}
    COMMAND ${FAIRLEAD_GZIP} -9nkf ${kernel}
    COMMAND ${CMAKE_COMMAND} -DIN=${kernel}.gz -DOUT=${kernel_source}
        -P ${CMAKE_CURRENT_LIST_DIR}/bytes.cmake
    DEPENDS ${kernel} ${CMAKE_CURRENT_LIST_DIR}/bytes.cmake
    COMMENT "Embedding the kernel for browsers" VERBATIM)
