#!/bin/sh
# One way out: the only label is `cleanup`, and every goto goes there.
set -eu
cd "$(dirname "$0")/../.."

find src -name '*.[ch]' | LC_ALL=C sort | xargs awk -f tests/shape/code.awk | awk -F: '
{
    code = $0
    sub(/^[^:]*:[^:]*:/, "", code)
    if (code ~ /(^|[^A-Za-z0-9_])goto[ \t]/ && code !~ /goto cleanup;/) {
        print $1 ":" $2 ": a goto to another place than cleanup"
        bad = 1
    }
    if (code ~ /^[ \t]*[A-Za-z_][A-Za-z0-9_]*:[ \t]*(;|$)/ && code !~ /^[ \t]*(default|cleanup):/) {
        print $1 ":" $2 ": a label other than cleanup"
        bad = 1
    }
}
END { exit bad }'
