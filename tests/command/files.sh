#!/bin/sh
# Files of a result: which there are, whole or not at all, and that any command can go on from them.
. "$FL_SOURCE_DIR/tests/check.sh"
. "$FL_SOURCE_DIR/tests/command/designs"

design small.json "10 dB"
design cases.json "10 dB" '"cases": [{"name": "a b"}, {"name": "a/b"}],'

# holds FOLDER NAME...: the folder has these files and no more
holds() {
    folder=$1
    shift
    expect test "$(ls -A "$folder" | LC_ALL=C sort | tr '\n' ' ')" = \
        "$(printf '%s\n' "$@" | LC_ALL=C sort | tr '\n' ' ')"
}

# expect_xml FILE: an XML reader of another make takes the file
expect_xml() {
    expect python3 -c 'import sys, xml.dom.minidom as d; d.parse(sys.argv[1])' "$1"
}

run check small.json --out check
expect_status 0
holds check result.json
run response small.json --out deep/er/response
holds deep/er/response result.json report.html response.csv response.svg transition.svg \
    transition.s2p
expect_out "Written to deep/er/response: result.json, report.html, response.csv" "transition.s2p"
run response small.json --out again
for picture in response.svg transition.svg; do
    expect_xml "deep/er/response/$picture"
    expect_same "deep/er/response/$picture" "again/$picture"
done
run sensitivity small.json --out sensitivity
holds sensitivity result.json report.html response.csv response.svg transition.svg transition.s2p
run yield small.json --out yield --samples 100
holds yield result.json report.html response.csv response.svg transition.svg transition.s2p \
    samples.csv
expect test "$(wc -l <yield/samples.csv)" -eq 101
# A plan: a line a wafer, lots by the samples asked for.
sed 's/"samples": 2000/"plan": {"wafers": 3, "dice per wafer": 20}/' small.json >plan.json
run yield plan.json --out plan --samples 100
expect_out "Yield of 120 samples, seed 3" "2 lots of 3 wafers of 20 dice" "good dice of 20"
holds plan result.json report.html response.csv response.svg transition.svg transition.s2p \
    samples.csv \
    wafers.csv
expect test "$(wc -l <plan/wafers.csv)" -eq 7
run size cases.json --out size
expect_status 0
holds size result.json report.html response.csv response.svg transition.svg \
    transition-a-b.s2p transition-a-b-2.s2p \
    samples.csv sized.json
expect test "$(wc -l <size/response.csv)" -eq 11
run model "series inductor" "inductance=0.2 nH" --out model
holds model result.json

# From sized.json on: the margin is the one that was reported.
run size small.json --out sized --json
grep '"margin dB"' out | head -n 1 >wanted
run response sized/sized.json --json
expect_status 0
grep '"margin dB"' out | head -n 1 >got
expect_same wanted got

# The response written is one that can be read.
cat >again.json <<'EOF'
{"fairlead": 1, "band": ["26 GHz", "30 GHz"], "points": 5,
 "ports": {"die": {"impedance": "50 ohm"}, "board": {"impedance": "50 ohm"}},
 "path": [{"name": "data", "kind": "measured", "side": "package",
           "file": "sized/transition.s2p"}]}
EOF
run response sized/sized.json --out first
run response again.json --out again
expect_status 0
cut -d, -f2- first/response.csv >wanted
cut -d, -f2- again/response.csv >got
expect awk -F, 'NR == FNR { for (i = 1; i <= NF; i++) w[FNR, i] = $i; next }
    FNR > 1 {
        for (i = 1; i <= 9; i++) {
            off = $i - w[FNR, i]
            if (off > 1e-9 || off < -1e-9)
                exit 1
        }
    }' wanted got

# The folder stands by itself: what the design and its model files name from beside the design comes
# along, and every command takes the sized design from there.
mkdir -p home/parts
cp sized/transition.s2p home/die.s2p
cp sized/transition.s2p home/parts/lead.s2p
cat >home/parts/lead.json <<'EOF'
{"fairlead": 1, "path": [
  {"name": "data", "kind": "measured", "file": "lead.s2p"},
  {"name": "same", "kind": "measured", "file": "../die.s2p"}]}
EOF
cat >home/design.json <<'EOF'
{"fairlead": 1, "band": ["26 GHz", "30 GHz"], "points": 5,
 "ports": {"die": {"file": "die.s2p", "port": 1}, "board": {"impedance": "50 ohm"}},
 "path": [{"name": "lead", "use": "parts/lead.json", "side": "package"},
          {"name": "pad", "kind": "shunt capacitor", "side": "board",
           "capacitance": {"size": ["1 fF", "90 fF"], "grid": "1 fF"}}]}
EOF
run size home/design.json --out away
expect_status 0
expect_out "Written to away: result.json, report.html, response.csv," \
    "response.svg" "transition.svg" "transition.s2p" \
    "die.s2p" "parts/lead.json" "parts/lead.s2p" "sized.json"
expect_same home/die.s2p away/die.s2p
expect_same home/parts/lead.s2p away/parts/lead.s2p
expect_same home/parts/lead.json away/parts/lead.json
mv home moved
for verb in check response sensitivity yield size; do
    run "$verb" away/sized.json
    expect_status 0
    expect_no_err
done
mv moved home

# A stack-up that lies beside the design comes along; an installed one stays where it is.
cp "$FL_SOURCE_DIR/models/rf-board-127um.json" home/stack.json
for use in stack.json models/rf-board-127um.json; do
    cat >home/laid.json <<EOF
{"fairlead": 1, "band": ["26 GHz", "30 GHz"], "points": 5, $ports,
 "substrates": {"board": {"use": "$use", "set": {"height": {"size": ["100 um", "150 um"]}}}},
 "path": [{"name": "line", "kind": "microstrip", "side": "board", "substrate": "board",
           "width": "250 um", "length": "1 mm"}],
 "yield": {"samples": 100}}
EOF
    run size home/laid.json --out laid
    expect_status 0
    expect_no_err
    expect_out "board height" "board permittivity"
    run response laid/sized.json
    expect_status 0
    expect_no_err
    rm laid/sized.json
    [ "$use" = stack.json ] || break
    expect_same home/stack.json laid/stack.json
    rm laid/stack.json
done
expect_no_file laid/stack.json

# Into the design's own folder nothing is copied, nor over the very same file.
run size home/design.json --out home
expect_status 0
expect_out "Written to home: result.json, report.html, response.csv," \
    "response.svg" "transition.svg" "transition.s2p" "sized.json"
holds home/parts lead.json lead.s2p
mkdir -p near && ln -sf ../home/die.s2p near/die.s2p
run size home/design.json --out near
expect test -h near/die.s2p
expect_same home/die.s2p near/die.s2p

# A file of the design that is called like one of the result is left alone.
mv home/die.s2p home/transition.s2p
sed 's/die.s2p/transition.s2p/' home/design.json >home/clash.json
sed 's/die.s2p/transition.s2p/' home/parts/lead.json >near/lead.json
mv near/lead.json home/parts/lead.json
cp home/transition.s2p kept.s2p
run size home/clash.json --out clash
expect_status 2
expect_err "home/transition.s2p: the result has a file of this name too"
expect_no_file clash/result.json
run response home/clash.json --out home
expect_status 2
expect_same kept.s2p home/transition.s2p

# An old file is replaced whole, or left as it was.
echo old >keep
mkdir -p full
cp keep full/result.json
run response small.json --out full
expect_status 0
expect sh -c '! grep -q old full/result.json'
echo plain >plain
run response small.json --out plain
expect_status 3
expect_out "Met:"
expect_err "fairlead: "
expect test "$(cat plain)" = plain
if [ "$(id -u)" -ne 0 ]; then
    mkdir -p shut && cp keep shut/result.json && chmod 500 shut
    run response small.json --out shut
    expect_status 3
    expect_same keep shut/result.json
    chmod 700 shut
fi

# Names of 200 bytes and of other writings make files and keep tables in shape.
long=$(printf 'l%.0s' $(seq 200))
design names.json "10 dB" "\"cases\": [{\"name\": \"$long\"}, {\"name\": \"封装 €\"}],"
run size names.json --out names
expect_status 0
expect test "$(ls names | grep -c '^transition-')" -eq 2
if command -v python3 >/dev/null; then
    expect python3 -c '
import sys, unicodedata
for line in open("out", encoding="utf-8"):
    w = sum(2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in line.rstrip("\n"))
    assert w <= 80 or line.startswith("  transition") or line.startswith("Written"), (w, line)'
fi
