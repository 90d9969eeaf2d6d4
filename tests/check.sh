# Checks for the tests of the command. Each tests/command/<subject>.sh begins with
#
#     . "$FL_SOURCE_DIR/tests/check.sh"
#
# and then runs in an empty folder of its own. FAIRLEAD names the command (under valgrind, a script
# that starts it), FL_SOURCE_DIR the source tree, FL_TEST_QUICK is set where time is dear.
#
#     run ARGUMENT...         runs the command; its exit code is in $status, what it wrote in the
#                             files out and err
#     expect_status N         the exit code was N
#     expect_out TEXT...      each text is in out
#     expect_err TEXT...      each text is in err
#     expect_no_out           nothing was written to standard output
#     expect_no_err           nothing was written to standard error
#     expect_file FILE...     each file is there and is not empty
#     expect_no_file FILE...  none of the files is there
#     expect_same FILE FILE   both hold the same bytes
#     expect COMMAND...       the command succeeds
#
# What does not hold is printed with the call, its exit code and its output, and the script goes
# on. A run is a test; it fails if one of the expectations after it does.
set -u

mkdir -p "$FL_SCRATCH_DIR" && cd "$FL_SCRATCH_DIR" || exit 1
find . -mindepth 1 -delete

exec </dev/null
runs=0
failed_runs=0
last_failed=0
status=
call="(no run yet)"

run() {
    call="fairlead $*"
    runs=$((runs + 1))
    status=0
    "$FAIRLEAD" "$@" >out 2>err || status=$?
}

fail() {
    [ "$last_failed" -eq "$runs" ] && [ "$runs" -gt 0 ] || failed_runs=$((failed_runs + 1))
    last_failed=$runs
    echo "$call: $*"
    echo "  exit code $status"
    [ ! -e out ] || head -n 30 out | sed 's/^/  out: /'
    [ ! -e err ] || head -n 30 err | sed 's/^/  err: /'
}

expect_status() {
    [ "$status" = "$1" ] || fail "wanted exit code $1, got $status"
}

expect_in() {
    file=$1
    shift
    for text in "$@"; do
        grep -qF -e "$text" "$file" || fail "wanted in $file '$text'"
    done
}

expect_out() {
    expect_in out "$@"
}

expect_err() {
    expect_in err "$@"
}

expect_no_out() {
    [ ! -s out ] || fail "wanted nothing on standard output"
}

expect_no_err() {
    [ ! -s err ] || fail "wanted nothing on standard error"
}

expect_file() {
    for file in "$@"; do
        [ -s "$file" ] || fail "wanted a file '$file'"
    done
}

expect_no_file() {
    for file in "$@"; do
        [ ! -e "$file" ] || fail "wanted no file '$file'"
    done
}

expect_same() {
    cmp "$1" "$2" || fail "wanted the same bytes in '$1' and '$2'"
}

expect() {
    "$@" || fail "this does not hold: $*"
}

# The closing lines are those of the other tests, so that the driver counts them alike.
finish() {
    code=$?
    [ "$code" -eq 0 ] || fail "the script ended early with $code"
    [ "$runs" -gt 0 ] || fail "nothing was run"
    [ "$failed_runs" -ge "$runs" ] || echo "[  PASSED  ] $((runs - failed_runs)) test(s)."
    [ "$failed_runs" -eq 0 ] || echo "[  FAILED  ] $0: $failed_runs test(s)"
    [ "$failed_runs" -eq 0 ] || exit 1
    exit 0
}
trap finish EXIT
