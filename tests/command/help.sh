#!/bin/sh
# Help and version: on standard output with 0, the same whichever way it is asked for.
. "$FL_SOURCE_DIR/tests/check.sh"

run
expect_status 0
expect_no_err
expect_out "fairlead size absorb.json --out results" "Verbs:" "Options" "Exit codes:"
expect test "$(head -n 1 out)" = "Example:"
cp out plain
for verb in check response size sensitivity yield model; do
    expect_out "  $verb "
done
for absent in explore centre fit; do
    expect sh -c "! grep -qw $absent out"
done

run --help
expect_status 0
expect_same out plain
run help
expect_status 0
expect_same out plain
run -h
expect_same out plain

for verb in check response size sensitivity yield model; do
    run help "$verb"
    expect_status 0
    expect_no_err
    expect_out "Example:" "  fairlead $verb " "Usage:" "--json" "--out DIR" "--quiet"
    expect test "$(awk 'length($0) > 80' out | wc -l)" -eq 0
    cp out plain
    run "$verb" --help
    expect_status 0
    expect_same out plain
    run --help "$verb" nonsense.json --json
    expect_status 0
    expect_same out plain
done

# An option is listed with the verbs that take it, and with no other.
run help size
expect_out "--samples N" "--seed N" "--threads N"
run help check
expect sh -c "! grep -q -e --samples out"
run help model
expect_out "bond wires" "--at FREQ" "--sweep RANGE"
expect grep -Eqx '  loop height +m +must be given' out
expect grep -Eqx '  die height +m +100 um' out
expect grep -Eqx '  pitch +m +none' out
expect grep -Eqx '  substrate permittivity +must be given' out
expect sh -c "! grep -q measured out"

run --version
expect_status 0
expect_no_err
expect grep -Eqx 'fairlead [0-9]+\.[0-9]+\.[0-9]+' out
run size nonsense.json --version
expect_status 0

run help sise
expect_status 2
expect_no_out
expect_err "fairlead: unknown verb 'sise', did you mean 'size'"
