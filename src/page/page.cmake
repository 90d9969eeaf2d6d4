# The page of report.html as a C source. Without the chart library the source is there too, with an
# empty template: the build goes on and the command says that it writes no page.
option(FAIRLEAD_PAGE "Build the page of report.html, if d3 is there" ON)

# Scales of time, which need two more parts, are not used.
set(page_parts array collection color format interpolate scale path shape selection axis)
set(page_libraries "")
set(page_licences "")
foreach(part ${page_parts})
    find_file(FAIRLEAD_D3_${part} d3-${part}.min.js
        PATHS /usr/share/nodejs/d3-${part}/dist NO_DEFAULT_PATH)
    find_file(FAIRLEAD_D3_${part}_LICENCE copyright
        PATHS /usr/share/doc/node-d3-${part} NO_DEFAULT_PATH)
    mark_as_advanced(FAIRLEAD_D3_${part} FAIRLEAD_D3_${part}_LICENCE)
    list(APPEND page_libraries ${FAIRLEAD_D3_${part}})
    list(APPEND page_licences ${FAIRLEAD_D3_${part}_LICENCE})
endforeach()
if(NOT FAIRLEAD_PAGE)
    set(page_libraries "")
    set(page_licences "")
elseif("${page_libraries};${page_licences}" MATCHES "NOTFOUND")
    message(STATUS "Report page: left out, no d3 (Debian: node-d3-axis, -scale, -selection, -shape)")
    set(page_libraries "")
    set(page_licences "")
endif()

set(page_scripts words numbers tables chart bars smith verdict sections live turn start)
list(TRANSFORM page_scripts REPLACE "(.+)" "${CMAKE_CURRENT_LIST_DIR}/\\1.js")
set(page_source ${CMAKE_CURRENT_BINARY_DIR}/page_template.c)
list(JOIN page_libraries "|" libraries)
list(JOIN page_licences "|" licences)
list(JOIN page_scripts "|" scripts)
add_custom_command(OUTPUT ${page_source}
    COMMAND ${CMAKE_COMMAND} -DOUT=${page_source} -DFOLDER=${CMAKE_CURRENT_LIST_DIR}
        "-DLIBRARIES=${libraries}" "-DLICENCES=${licences}" "-DSCRIPTS=${scripts}"
        -P ${CMAKE_CURRENT_LIST_DIR}/embed.cmake
    DEPENDS ${CMAKE_CURRENT_LIST_DIR}/embed.cmake ${CMAKE_CURRENT_LIST_DIR}/page.html
        ${CMAKE_CURRENT_LIST_DIR}/page.css ${page_scripts} ${page_libraries} ${page_licences}
    COMMENT "Putting the report page together" VERBATIM)
