#!/bin/sh
# Writes antenna-28ghz.s1p: an antenna in a package, as seen from the end of its feed line. Invented:
# a feed of 45 pH in series, then R, L and C side by side as a patch has them near its resonance:
# 62 ohm, 28.6 GHz, quality factor 7. The file is kept beside this script, so this need not be run.
set -eu
cd "$(dirname "$0")"

awk 'BEGIN {
    feed = 45e-12; r = 62; f0 = 28.6e9; q = 7; z0 = 50
    pi = atan2(0, -1)
    print "! antenna in a package at the end of its feed, invented; antenna-28ghz.sh made it"
    print "! 45 pH in series with 62 ohm, 28.6 GHz, quality factor 7, all three side by side"
    print "# GHz S RI R 50"
    for (i = 0; i <= 120; i++) {
        f = 24e9 + i * 75e6
        b = q / r * (f / f0 - f0 / f)           # susceptance beside the conductance 1 / r
        y2 = 1 / (r * r) + b * b
        re = 1 / r / y2
        im = -b / y2 + 2 * pi * f * feed
        d = (re + z0) * (re + z0) + im * im
        printf "%.3f %.9f %.9f\n", f / 1e9, ((re - z0) * (re + z0) + im * im) / d, 2 * z0 * im / d
    }
}' >antenna-28ghz.s1p
