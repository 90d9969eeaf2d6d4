#!/bin/sh
# Bad usage: one message on standard error, nothing on standard output, exit code 2.
. "$FL_SOURCE_DIR/tests/check.sh"

# refused MESSAGE ARGUMENT...
refused() {
    message=$1
    shift
    run "$@"
    expect_status 2
    expect_no_out
    expect_err "fairlead: " "$message"
    expect test "$(wc -l <err)" -eq 1
}

refused "unknown verb 'sise', did you mean 'size'" sise x.json
refused "unknown verb 'explore'; 'fairlead help' lists them" explore x.json
refused "unknown verb 'centre'" centre x.json
refused "unknown verb 'fit'" fit x.json
refused "unknown verb ''" ""
refused "expected a verb" --json
refused "expected a design file" size
refused "expected one design file, found 'b.json' too" size a.json b.json
refused "unknown option '--jsn', did you mean '--json'" size x.json --jsn
refused "unknown option '--sample=3', did you mean '--samples'" size x.json --sample=3
refused "unknown option '--xyzzy'" size x.json --xyzzy
refused "unknown option '-x'" size x.json -x
refused "'--json' takes no value, found '1'" size x.json --json=1
refused "'--out' expects DIR, found nothing" size x.json --out
refused "'--out' expects DIR, found nothing" size x.json --out=
refused "'--out' is given twice" size x.json --out a --out b
refused "'--samples' expects a whole number from 1 to 1000000000000, found '0'" yield x --samples 0
refused "found '1e3'" yield x --samples 1e3
refused "found '-1'" yield x --seed -1
refused "found '99999999999999999999'" yield x --seed 99999999999999999999
refused "found ''" yield x --samples=
refused "found '0'" yield x --threads 0
refused "'check' does not take '--samples'" check x.json --samples 10
refused "'model' does not take '--threads'" model line --threads 2
refused "'--checkpoint' expects FILE, found nothing" yield x.json --checkpoint
refused "'--resume' expects '--checkpoint FILE' too" yield x.json --resume
refused "'size' does not take '--checkpoint'" size x.json --checkpoint a
refused "expected a kind" model
refused "'--at' expects FREQ, found nothing" model line --at
refused "'--sweep' is given twice" model line --sweep a=1:2:3 --sweep b=1:2:3
refused "'size' does not take '--at'" size x.json --at "28 GHz"
refused "unknown parameter 'frequency'" model line "frequency=28 GHz"
refused "fairlead: frequency: expected a frequency" model "series inductor" "inductance=1 nH" \
    --at 28
refused "expected 'parameter=low:high:count'" model line --sweep length
refused "'--at' is given more than 32 times" model line $(printf -- '--at 1GHz %.0s' $(seq 33))
# A control character goes to no terminal.
refused "unknown verb '?[31m'" "$(printf '\033[31m')"

# What is read, and where it is wrong.
printf '{"fairlead": 1, "bund": ["26 GHz", "30 GHz"]}' >wrong.json
refused "wrong.json:1:" check wrong.json
expect_err "bund" "band"
printf '{"fairlead": 1,' >cut.json
refused "cut.json:1:" size cut.json
: >empty.json
refused "empty.json" response empty.json

run size none.json
expect_status 3
expect_no_out
expect_err "fairlead: none.json: "
expect test "$(wc -l <err)" -eq 1
run size .
expect_status 3
expect_no_out

# After "--" nothing is an option.
run check -- --json
expect_status 3
expect_err "fairlead: --json: "
