# Makes the page's template out of its parts, and a C source of it. Run by cmake -P with
#
#     OUT        the C source to write; the template itself is written beside it
#     FOLDER     src/page
#     LIBRARIES  scripts of the chart library, in their order (a list; empty: no page)
#     LICENCES   the licence texts that go with them
#     SCRIPTS    our scripts, in their order
#
# CMake's own lists end at semicolons and brackets, so texts go through files and hex digits alone.
set(names LIBRARIES LICENCES SCRIPTS)
foreach(name ${names})
    string(REPLACE "|" ";" ${name} "${${name}}")
endforeach()

# read_all RESULT FILE...: the texts one after the other.
function(read_all result)
    set(all "")
    foreach(file ${ARGN})
        file(READ ${file} text)
        string(REGEX REPLACE "//# sourceMappingURL=[^\n]*" "" text "${text}")
        string(APPEND all "${text}\n")
    endforeach()
    set(${result} "${all}" PARENT_SCOPE)
endfunction()

set(hex "")
if(LIBRARIES)
    file(READ ${FOLDER}/page.html page)
    file(READ ${FOLDER}/page.css style)
    read_all(library ${LIBRARIES})
    read_all(script ${SCRIPTS})
    read_all(licence ${LICENCES})
    string(REPLACE "&" "&amp;" licence "${licence}")
    string(REPLACE "<" "&lt;" licence "${licence}")
    string(REPLACE "<!--STYLE-->" "${style}" page "${page}")
    string(REPLACE "<!--LICENCES-->" "${licence}" page "${page}")
    string(REPLACE "<!--LIBRARY-->" "${library}" page "${page}")
    string(REPLACE "<!--SCRIPT-->" "${script}" page "${page}")
    file(WRITE ${OUT}.html "${page}")
    file(READ ${OUT}.html hex HEX)
endif()
string(LENGTH "${hex}" digits)
math(EXPR length "${digits} / 2")
string(REGEX REPLACE "(..)" "0x\\1," bytes "${hex}")
string(REGEX REPLACE "(................................................................................)"
    "\\1\n" bytes "${bytes}")
file(WRITE ${OUT} "/* Made by src/page/embed.cmake from src/page and the chart library. */
#include \"reports/page.h\"

const unsigned char fl_page_template[] = {\n${bytes}0};
const size_t fl_page_template_length = ${length};
")
