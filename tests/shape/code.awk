# Prints "file:line:code" for C files, with comments and the insides of strings and character
# constants taken out, so that what is left can be searched for code.
FNR == 1 { inside = 0 }
{
    code = ""
    text = $0
    while (length(text) > 0) {
        if (inside) {
            end = index(text, "*/")
            text = end ? substr(text, end + 2) : ""
            inside = !end
        } else if (match(text, /\/\*|\/\/|"([^"\\]|\\.)*"|'([^'\\]|\\.)*'/)) {
            code = code substr(text, 1, RSTART - 1)
            start = substr(text, RSTART, 2)
            if (start == "//") {
                text = ""
            } else if (start == "/*") {
                inside = 1
                text = substr(text, RSTART + 2)
            } else {
                # The name of an included file stays.
                kept = code ~ /^[ \t]*#[ \t]*include/ ? substr(text, RSTART, RLENGTH) : "\"\""
                code = code kept
                text = substr(text, RSTART + RLENGTH)
            }
        } else {
            code = code text
            text = ""
        }
    }
    print FILENAME ":" FNR ":" code
}
