#!/bin/sh
# Makes second-package.s2p from second-package.json: the response of the ladder, as Touchstone.
# The file is kept in the repository, so this need not be run. FAIRLEAD names another program.
set -eu
cd "$(dirname "$0")"
fairlead=${FAIRLEAD:-../../build/bin/fairlead}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

"$fairlead" response second-package.json --quiet --out "$scratch" >/dev/null
mv "$scratch/transition.s2p" second-package.s2p
