#!/bin/sh
# JSON on standard output: valid, nothing else beside it, the same bytes every time.
. "$FL_SOURCE_DIR/tests/check.sh"
. "$FL_SOURCE_DIR/tests/command/designs"

design small.json "10 dB"

# has KEY...: the JSON in out has these keys
has() {
    for key in "$@"; do
        expect_out "\"$key\":"
    done
}

for verb in check response size sensitivity yield; do
    run "$verb" small.json --json
    expect_status 0
    expect_no_err
    expect test "$(head -c 1 out)" = "{"
    expect test "$(tail -n 1 out)" = "}"
    expect_out "\"command\": \"$verb\"" '"fairlead": 1' '"limit": null'
    has title version seed sized cases "margin dB" sensitivity yield warnings met interrupted
    expect sh -c '! grep -qiE ": *-?(nan|inf)" out'
done

run model "series inductor" "inductance=0.2 nH" --json
expect_status 0
expect_out '"command": "model"' '"sections": [' '"inductance"' '"swept": null' '"warnings": []' \
    '"frequency Hz": 28000000000'
run model "bond wires" count=2 diameter=25um span=300um "loop height=120um" \
    --sweep "pitch=40um:60um:3" --json
expect_status 0
expect_out '"swept": {"name": "pitch", "unit": "m"}' "\"'pitch' is under 2 diameters" \
    '(at pitch 40 um)' '{"name": "cover", "value": 1, "unit": "", "given": false}'
expect test "$(grep -c '"return loss dB": [0-9]' out)" -eq 3

run check small.json --json
expect_out '"margin dB": null' '"sized": null' '"yield": null' '"sensitivity": null'

run --json size small.json
expect_out '"name": "wire inductance"' '"unit": "H"' '"at bound": null' '"estimate": ' \
    'percentiles": {' '"dB per percent": ' '"dB per sigma": ' '"share of variance": '
cp out first
for threads in 1 2 3; do
    run size --threads "$threads" small.json --json
    expect_same out first
done
run size small.json --json --seed 4
expect_out '"seed": 4'

# The result in a folder is that of standard output.
run size small.json --json --out results
expect_same out first
expect_same results/result.json first
