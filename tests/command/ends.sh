#!/bin/sh
# Ends other than a good one: full disk, a reader gone away, interrupts; and terminals.
. "$FL_SOURCE_DIR/tests/check.sh"
. "$FL_SOURCE_DIR/tests/command/designs"

design small.json "10 dB"

# A full disk.
if [ -c /dev/full ]; then
    for arguments in "response small.json" "response small.json --json" --help --version; do
        call="fairlead $arguments >/dev/full"
        runs=$((runs + 1))
        status=0
        "$FAIRLEAD" $arguments >/dev/full 2>err || status=$?
        : >out
        expect_status 3
        expect_err "fairlead: standard output: "
    done
    call="fairlead response small.json >&-"
    runs=$((runs + 1))
    status=0
    "$FAIRLEAD" response small.json >&- 2>err || status=$?
    expect_status 3
fi

# A reader that goes away: nothing is said, and files are written all the same.
call="fairlead response small.json --out gone | true"
runs=$((runs + 1))
{
    sleep 0.2
    status=0
    "$FAIRLEAD" response small.json --out gone 2>err || status=$?
    echo "$status" >code
} | true
status=$(cat code)
: >out
expect_status 3
expect_no_err
expect_file gone/result.json gone/transition.s2p

# An interrupt: the best so far is reported. Sampling without end, so that it cannot come too late.
# To the command alone: a group would get it once more, and a second one ends the command.
interrupted() {
    call="fairlead $* (interrupted)"
    runs=$((runs + 1))
    status=0
    timeout --foreground --preserve-status -s INT "$seconds" \
        "$FAIRLEAD" "$@" >out 2>err || status=$?
}
seconds=1
if [ -z "${FL_TEST_QUICK:-}" ]; then
    interrupted yield small.json --samples 1000000000
    expect_status 130
    expect_no_err
    expect_out "Interrupted: " "Response in dB"
    interrupted size small.json --samples 1000000000 --json --out stopped
    expect_status 130
    expect_no_err
    expect_out '"interrupted": true' '"name": "wire inductance"' '"yield": null'
    expect_file stopped/result.json stopped/sized.json

    # A second interrupt ends the command at once. A shell lets what it starts beside itself ignore
    # interrupts; env undoes that.
    call="fairlead yield small.json (interrupted twice)"
    runs=$((runs + 1))
    status=0
    env --default-signal=INT "$FAIRLEAD" yield small.json --samples 1000000000 >out 2>err &
    sleep "$seconds"
    kill -INT $!
    kill -INT $! 2>/dev/null
    wait $! || status=$?
    expect_status 130
fi

# A checkpoint: interrupted, and killed without a word, the same call goes on to the same bytes; the
# wish of a batch system to end is an interrupt.
if [ -z "${FL_TEST_QUICK:-}" ]; then
    long="yield small.json --samples 16000000"
    run $long
    expect_status 0
    cp out wanted
    call="fairlead $long --checkpoint (ended)"
    runs=$((runs + 1))
    status=0
    timeout --foreground --preserve-status -s TERM 0.1 "$FAIRLEAD" $long --checkpoint run.check \
        >out 2>err || status=$?
    expect test "$status" -eq 130 -o "$status" -eq 0
    [ "$status" -eq 0 ] || expect_err "'--resume' goes on from run.check"
    "$FAIRLEAD" $long --checkpoint run.check --resume --quiet >out 2>err &
    sleep 0.1
    kill -KILL $! 2>/dev/null
    wait $! || true
    expect_file run.check
    run $long --checkpoint run.check
    expect_status 2
    expect_err "run.check: there is a checkpoint already"
    run $long --checkpoint run.check --resume
    expect_status 0
    expect_same wanted out
    run $long --checkpoint run.check --resume --seed 4
    expect_status 2
    expect_err "run.check: the checkpoint is of another seed"
fi

# No terminal: no progress. A terminal: one line, redrawn; not with --quiet or a dumb terminal.
run size small.json
expect_no_err
if command -v script >/dev/null && script -qec true /dev/null >/dev/null 2>&1; then
    on_terminal() {
        call="fairlead $* (on a terminal, TERM=$TERM)"
        runs=$((runs + 1))
        status=0
        script -qec "'$FAIRLEAD' $* >report" /dev/null >out 2>err || status=$?
    }
    export TERM=xterm NO_COLOR=1
    on_terminal size small.json --samples 20000
    expect_status 0
    expect_out "%"
    expect sh -c "! grep -q \"\$(printf '\\033')\" out"
    expect test "$(wc -l <out)" -eq 0
    expect grep -q "Sized values" report
    on_terminal size small.json --quiet
    expect test ! -s out
    TERM=dumb
    on_terminal size small.json
    expect test ! -s out
fi
