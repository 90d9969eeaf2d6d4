#!/bin/sh
# Runs the command of a build with ranks under mpirun: any number of ranks and threads must write
# the same bytes, and a rank that is lost ends the run without a result.
#
#     sh tests/ranks/run.sh build/ranks
set -eu
cd "$(dirname "$0")/../.."
fairlead=$PWD/$1/bin/fairlead
scratch=$PWD/$1/scratch
export OMPI_ALLOW_RUN_AS_ROOT=1 OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1
export OMPI_MCA_rmaps_base_oversubscribe=1 OMPI_MCA_btl_base_warn_component_unused=0
rm -rf "$scratch"
mkdir -p "$scratch"

fail() {
    echo "ranks: $*" >&2
    exit 1
}

# ranks COUNT ARGUMENT...
ranks() {
    count=$1
    shift
    timeout 300 mpirun -n "$count" "$fairlead" "$@"
}

# same NAME ARGUMENT...: the text and the folder of one thread, seven threads, four ranks and three
# ranks of two threads. The names of folders are as long as each other: they are printed.
same() {
    name=$scratch/$1
    shift
    "$fairlead" "$@" --quiet --threads 1 --out "$name.1t" >"$name.1t.txt"
    "$fairlead" "$@" --quiet --threads 7 --out "$name.7t" >"$name.7t.txt"
    ranks 4 "$@" --quiet --threads 1 --out "$name.4r" >"$name.4r.txt"
    ranks 3 "$@" --quiet --threads 2 --out "$name.3r" >"$name.3r.txt"
    for other in 7t 4r 3r; do
        diff -r "$name.1t" "$name.$other" || fail "$* differs: $other"
        sed "s/\.$other/.1t/" "$name.$other.txt" | cmp - "$name.1t.txt" ||
            fail "$* prints something else: $other"
    done
}

same size size examples/board/board.json
same yield yield examples/yield/yield.json --samples 300000
same sensitivity sensitivity "$scratch/size.1t/sized.json"

code=0
ranks 2 yield nowhere.json >"$scratch/none.txt" 2>"$scratch/none.err" || code=$?
[ "$code" -eq 3 ] || fail "a file that is not there: exit code $code"
[ "$(grep -c 'fairlead: nowhere.json' "$scratch/none.err")" -eq 1 ] ||
    fail "a file that is not there: no message, or more than one"

# One of three is killed at work: all end, with a message, and no file is there.
code=0
ranks 3 yield examples/yield/yield.json --samples 2000000000 --threads 1 --out "$scratch/lost" \
    >"$scratch/lost.txt" 2>"$scratch/lost.err" &
launcher=$!
tries=0
while victim=$(pgrep -n -f "^$fairlead yield .*$scratch/lost" || true) && [ -z "$victim" ]; do
    tries=$((tries + 1))
    [ "$tries" -lt 100 ] || fail "the run to be disturbed did not begin"
    sleep 0.1
done
sleep 2
kill -9 "$victim" || fail "the run to be disturbed was over: $(cat "$scratch/lost.err")"
wait "$launcher" || code=$?
[ "$code" -ne 0 ] || fail "a lost rank: exit code 0"
[ -s "$scratch/lost.err" ] || fail "a lost rank: no message"
[ ! -s "$scratch/lost.txt" ] || fail "a lost rank: a result was printed"
[ ! -e "$scratch/lost/result.json" ] || fail "a lost rank: a result was written"
echo "ranks: the same bytes on all, and a lost rank ends the run"
