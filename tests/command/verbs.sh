#!/bin/sh
# Each verb on a design: what it prints, and the exit code by the requirements.
. "$FL_SOURCE_DIR/tests/check.sh"
. "$FL_SOURCE_DIR/tests/command/designs"

design met.json "10 dB"
design missed.json "45 dB"
design cases.json "10 dB" '"cases": [
    {"name": "one"}, {"name": "two", "set": {"pad cap": "40 fF"}}],'

# fits: no line takes over 80 columns; out has no characters of several bytes here
fits() {
    expect test "$(awk 'length($0) > 80' out | wc -l)" -eq 0
}

run check met.json
expect_status 0
expect_no_err
expect_out "small" "Band 26 GHz to 30 GHz, 5 points" "The design can be used" \
    "Sections at 28 GHz" "pad" "30 fF" "Quantities" "wire inductance"
fits

# An example with a stack-up of the library, of which one value is set.
run check "$FL_SOURCE_DIR/examples/board/board.json"
expect_status 0
expect_no_err
expect_out "The design can be used" "board height" "130 um" "board permittivity" "0.0175"
fits

run response met.json
expect_status 0
expect_no_err
expect_out "Met: every requirement holds" "Requirements where they are worst" ">= 10 dB" \
    "Response in dB" "26.000" "30.000" "confirm with a field solution"
fits

run response missed.json
expect_status 1
expect_no_err
expect_out "Missed by"

run size met.json
expect_status 0
expect_no_err
expect_out "Met:" "Sized values" "wire inductance" "10 pH" "300 pH" "Sensitivity" \
    "Yield of 2 000 samples, seed 3"
fits

run size missed.json
expect_status 1
expect_out "Missed by" "Sized values"

run sensitivity met.json
expect_status 0
expect_out "Sensitivity: change in dB of the worst return loss" "pad cap"
fits

run yield met.json
expect_status 0
expect_out "Yield of 2 000 samples, seed 3, with 95 % confidence intervals"
fits

# A low yield does not change the exit code, a requirement that is missed does.
run yield missed.json
expect_status 1
expect_out "Yield 0.00 %"

run yield --samples 300 --seed 9 met.json
expect_status 0
expect_out "Yield of 300 samples, seed 9"
cp out first
run yield met.json --threads=1 --seed=9 --samples=300
expect_same out first

run size cases.json
expect_status 0
expect_err "fairlead: warning: " "'pad cap'"
expect_out "2 cases" "case 'two'" "every case together" "1 warning on the design"
fits
run size cases.json --quiet
expect_no_err

# Nothing to size: it says so and reports the rest.
sed 's/{"size".*/"100 pH"}],/
     /^ *"spread"/d' met.json >fixed.json
run size fixed.json
expect_status 0
expect_out "Nothing to size" "Response in dB" "Yield of"

run model "bond wires" count=2 diameter="25 um" span="300 um" "loop height=120 um" "pitch=100 um"
expect_status 0
expect_no_err
expect_out "bond wires at 28 GHz" "inductance" "By default: die height 100 um" \
    "confirm with a field solution"
fits
run model "series inductor" "inductance=0.2 nH" --at "10 GHz"
expect_status 0
expect_out "series inductor at 10 GHz" "12.57 ohm"
run model "series inductor" --at 10GHz,28GHz "inductance=0.2 nH" --at="40 GHz"
expect_status 0
expect_out "series inductor at 3 frequencies" "frequency  inductance" "12.57" "35.19" "50.27"
fits
run model microstrip width=280um length=1mm "substrate height=127um" "substrate permittivity=3.5"
expect_status 0
expect_out "microstrip at 28 GHz" "effective permittivity" "substrate conductivity 58 MS/m"
fits

# A sweep: a row a value. The model's range is left at small pitches.
run model "bond wires" count=2 diameter=25um span=300um "loop height=120um" \
    --sweep "pitch=30um:100um:8" --at "28 GHz,40 GHz"
expect_status 0
expect_out "bond wires at 28 GHz, pitch from 30 um to 100 um" "return loss"
expect test "$(awk 'NF == 6 && $1 ~ /^[0-9]+$/' out | wc -l)" -eq 8
expect_err "fairlead: warning: 'pitch' is under 2 diameters" "(from pitch 30 um to pitch 40 um)" \
    "fairlead: warning: the sweep is at 28 GHz alone"
fits
run model "bond wires" count=2 diameter=25um span=300um "loop height=120um" pitch=40um --quiet
expect_status 0
expect_no_err
expect_out "1 warning, listed in the JSON result"
run model "bond wires" count=2 diameter=25um span=300um "loop height=120um" pitch=20um
expect_status 2
expect_err "fairlead: bond wires: 'pitch' must be more than 'diameter'"
run model "series inductor" "inductance=0.2 mH/s"
expect_status 2
expect_no_out
expect_err "fairlead: inductance: "
run model "series induktor" "inductance=0.2 nH"
expect_status 2
expect_err "did you mean 'series inductor'"
run model measured
expect_status 2
