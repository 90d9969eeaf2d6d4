# Reads what ctest -V wrote and counts the single tests in each program; a program that says
# nothing of them, or dies, counts as one. Prints the failed ones with the end of what they wrote,
# and "N passed, N failed" last.
/^[0-9]+: / {
    key = $1
    sub(/:.*/, "", key)
    text = $0
    sub(/^[0-9]+: ?/, "", text)
    if (match(text, /^\[  PASSED  \] [0-9]+ test\(s\)/))
        good[key] += number(text)
    else if (match(text, /^\[  FAILED  \] (.*: )?[0-9]+ test\(s\)/))
        wrong[key] += number(text)
    count[key]++
    kept[key, count[key] % shown] = text
}
/^ *[0-9]+\/[0-9]+ Test +#[0-9]+:/ {
    key = $0
    sub(/^[^#]*#/, "", key)
    sub(/:.*/, "", key)
    if ($0 ~ / Passed +[0-9.]+ sec/) {
        passed += good[key] > 0 ? good[key] : 1
        next
    }
    passed += good[key]
    failed += wrong[key] > 0 ? wrong[key] : 1
    name = $0
    sub(/^[^:]*: */, "", name)
    print "FAILED  " title ": " name
    for (i = count[key] - shown + 1; i <= count[key]; i++)
        if (i > 0)
            print "    " kept[key, i % shown]
}
function number(text) {
    text = substr(text, RSTART, RLENGTH)
    sub(/ test\(s\)$/, "", text)
    sub(/^.* /, "", text)
    return text + 0
}
END {
    if (passed + failed == 0) {
        print "FAILED  " title ": no test was run"
        failed = 1
    }
    print passed + 0 " passed, " failed + 0 " failed"
}
