#!/bin/sh
# Every [Key] cited in sources, tests, models and pages is in docs/references.md, once, and the
# entries there are sorted and cited somewhere.
set -eu
cd "$(dirname "$0")/../.."

# A place in the work may follow behind a comma; a key may begin with a small letter.
keys='\[[A-Za-z][A-Za-z]*[12][0-9][0-9][0-9][a-z]\{0,1\}[],]'
grep -rno "$keys" src tests docs models examples $(ls README.md DEVELOPERS.md 2>/dev/null) \
    --include='*.[ch]' --include='*.md' --include='*.sh' --include='*.json' | sed 's/,$/]/' |
    awk -F: '
$1 == "docs/references.md" {
    if (known[$3]++) {
        print $1 ":" $2 ": " $3 " is there twice"
        bad = 1
    }
    if (last != "" && tolower($3) < tolower(last)) {
        print $1 ":" $2 ": " $3 " is out of order, it goes before " last
        bad = 1
    }
    last = $3
    place[$3] = $1 ":" $2
    next
}
!($3 in cited) { cited[$3] = $1 ":" $2 }
END {
    for (key in cited)
        if (!(key in known)) {
            print cited[key] ": " key " is not in docs/references.md"
            bad = 1
        }
    for (key in known)
        if (!(key in cited)) {
            print place[key] ": " key " is cited nowhere"
            bad = 1
        }
    exit bad
}'
