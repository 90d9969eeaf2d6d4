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

run check small.json --out check
expect_status 0
holds check result.json
run response small.json --out deep/er/response
holds deep/er/response result.json response.csv transition.s2p
expect_out "Written to deep/er/response: result.json, response.csv, transition.s2p"
run sensitivity small.json --out sensitivity
holds sensitivity result.json response.csv transition.s2p
run yield small.json --out yield --samples 100
holds yield result.json response.csv transition.s2p samples.csv
expect test "$(wc -l <yield/samples.csv)" -eq 101
run size cases.json --out size
expect_status 0
holds size result.json response.csv transition-a-b.s2p transition-a-b-2.s2p samples.csv sized.json
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
