#!/bin/sh
# The programs that measure run, and the yields of Fairlead and of the scripts in NumPy agree.
# FL_BENCH_DIR names the folder of the built programs.
set -eu

if ! /usr/bin/python3 -c 'import numpy' 2>/dev/null; then
    echo "skipped: python3-numpy is not installed"
    exit 0
fi
exec /usr/bin/python3 "$FL_SOURCE_DIR/tests/bench/report.py" --check "$FL_BENCH_DIR"
