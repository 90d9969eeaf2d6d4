#!/bin/sh
# Plots below the text of a sizing or a yield: on a terminal alone, as it can show them.
. "$FL_SOURCE_DIR/tests/check.sh"
. "$FL_SOURCE_DIR/tests/command/designs"

design small.json "10 dB"

# on_terminal NAME=VALUE... -- ARGUMENT...: as run, but standard output is a terminal
cat >on-terminal.py <<'EOF'
import os, pty, sys
end = sys.argv.index("--")
os.environ.pop("LC_CTYPE", None)  # python itself sets it where there is no locale
for setting in sys.argv[1:end]:
    name, value = setting.split("=", 1)
    os.environ[name] = value
child, terminal = pty.fork()
if child == 0:
    os.execv(os.environ["FAIRLEAD"], ["fairlead"] + sys.argv[end + 1:])
shown = b""
try:
    while block := os.read(terminal, 65536):
        shown += block
except OSError:
    pass
status = os.waitpid(child, 0)[1]
sys.stdout.buffer.write(shown.replace(b"\r\n", b"\n"))
sys.exit(os.waitstatus_to_exitcode(status))
EOF
unset COLUMNS LC_ALL LC_CTYPE LANG
on_terminal() {
    call="on a terminal: $*"
    runs=$((runs + 1))
    status=0
    python3 on-terminal.py "$@" >out 2>err || status=$?
}

# has_blocks: out has block characters; has_plot: out has a plot in ASCII
has_blocks() {
    expect grep -q "$(printf '\342\226[\204\200]')" out
}
has_plot() {
    expect grep -q '^ *0 +' out
    expect test "$(LC_ALL=C tr -d '\000-\177' <out | wc -c)" -eq 0
}
has_none() {
    expect test "$(grep -c 'port, in dB' out)" -eq 0
}

for verb in size yield; do
    on_terminal TERM=xterm LANG=C.UTF-8 -- $verb small.json --samples 200
    expect_status 0
    has_blocks
    expect_out "Return loss, board port, in dB; line: required 10 dB"
    on_terminal TERM=xterm LANG=C -- $verb small.json --samples 200
    has_plot
done
expect_out "Worst return loss of the samples"

# The first of three variables that is set tells the writing; a dumb terminal has ASCII alone.
on_terminal TERM=xterm LC_ALL=C LANG=C.UTF-8 -- yield small.json --samples 200
has_plot
on_terminal TERM=xterm LC_CTYPE=xx_XX.utf8 LANG=C -- yield small.json --samples 200
has_blocks
on_terminal TERM=dumb LANG=C.UTF-8 -- yield small.json --samples 200
has_plot

# By COLUMNS, at most 80.
for columns in 50 80 200; do
    on_terminal TERM=xterm COLUMNS=$columns -- yield small.json --samples 200
    wanted=$((columns > 80 ? 80 : columns))
    expect test "$(grep -- '---$' out | awk '{ if (length > n) n = length } END { print n }')" \
        -eq $wanted
done

# Not into a pipe or a file, not where it was not asked for.
run yield small.json --samples 200
has_none
on_terminal TERM=xterm -- yield small.json --samples 200 --quiet
has_none
on_terminal TERM=xterm -- yield small.json --samples 200 --json
has_none
on_terminal TERM=xterm -- response small.json
has_none
