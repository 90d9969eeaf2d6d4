#!/bin/sh
# The model library: each file serves in a small design, read and checked without a warning.
. "$FL_SOURCE_DIR/tests/check.sh"

# A band in which no body of the file resonates.
band_of() {
    case $1 in
    lead-frame-4mm) echo '["20 GHz", "22 GHz"]' ;;
    *) echo '["27 GHz", "29 GHz"]' ;;
    esac
}

# package NAME: its path, and the end of the land on a board.
package() {
    cat >"$1.json" <<END
{"fairlead": 1, "band": $(band_of "$1"), "points": 5,
 "ports": {"die": {"impedance": "50 ohm"}, "board": {"impedance": "50 ohm"}},
 "substrates": {"board": {"height": "127 um", "permittivity": 3.5, "loss tangent": 0.002}},
 "path": [{"name": "package", "use": "models/$1.json", "side": "package"},
          {"name": "land", "kind": "pad", "side": "board", "substrate": "board",
           "width": "0.28 mm", "length": "0.2 mm"}]}
END
}

# stack NAME SIDE WIDTH: lines on it, microstrip and grounded coplanar.
stack() {
    cat >"$1.json" <<END
{"fairlead": 1, "band": ["27 GHz", "29 GHz"], "points": 5,
 "ports": {"die": {"impedance": "50 ohm"}, "board": {"impedance": "50 ohm"}},
 "substrates": {"$2": {"use": "models/$1.json"}},
 "path": [{"name": "line", "kind": "microstrip", "side": "$2", "substrate": "$2",
           "width": "$3", "length": "0.3 mm"},
          {"name": "coplanar", "kind": "grounded coplanar", "side": "$2", "substrate": "$2",
           "width": "$3", "gap": "$3", "length": "0.3 mm"}]}
END
}

antenna() {
    cat >"$1.json" <<END
{"fairlead": 1, "band": ["27 GHz", "29 GHz"], "points": 5,
 "ports": {"die": {"impedance": "50 ohm"},
           "board": {"file": "models/$1.s1p", "port": 1}},
 "path": [{"name": "bump", "kind": "bump", "side": "package", "diameter": "80 um",
           "height": "60 um", "returns": 2, "pitch": "180 um"}]}
END
}

checked() {
    run check "$1.json"
    expect_status 0
    expect_no_err
}

for file in "$FL_SOURCE_DIR"/models/*; do
    name=$(basename "$file")
    name=${name%.*}
    case $file in
    */board-*.json | */rf-board-*.json) stack "$name" board "200 um" ;;
    */die-silicon-*.json) stack "$name" die "12 um" ;;
    */die-*.json) stack "$name" die "20 um" ;;
    *.json) package "$name" ;;
    *.s1p) antenna "$name" ;;
    *) continue ;;
    esac
    checked "$name"
done

# The data are what the script beside them writes.
cp "$FL_SOURCE_DIR"/models/antenna-28ghz.sh . && sh ./antenna-28ghz.sh
call="sh antenna-28ghz.sh"
runs=$((runs + 1))
expect_same antenna-28ghz.s1p "$FL_SOURCE_DIR/models/antenna-28ghz.s1p"

# A package in the band in which its body resonates says so.
package lead-frame-4mm
sed 's/"20 GHz", "22 GHz"/"26.5 GHz", "29.5 GHz"/' lead-frame-4mm.json >resonant.json
run check resonant.json
expect_status 0
expect_err "body: the mould, taken as a closed box (mode 1 1 0), resonates at 27.2 GHz"

# All kinds of sizes at once on a package of the library: three line widths, a span, a pad's length.
cp "$FL_SOURCE_DIR/tests/data/designs/widths.json" .
run size widths.json --samples 100 --quiet
expect_status 0
expect_out "package/span" "die line width" "land length" "first line width" "second line width"
