"""The problem of yield.json: its numbers, and its draws by NumPy's generator."""

import sys
import time

import numpy as np

POINTS = 51
OMEGA = 2 * np.pi * np.linspace(26.5e9, 29.5e9, POINTS)
CENTRE = 2 * np.pi * 28e9
ROOT = np.sqrt(OMEGA / CENTRE)
LIGHT = 299792458.0
NEPER = np.log(10) / 20 * 1e3  # per metre, of 1 dB/mm
LIMIT = 10 ** -1.4  # return loss of 14 dB
PORT = 28 / (1 + 1j * OMEGA * 28 * 60e-15)
BOARD = 50.0

# Nominal values, and the standard deviation of each component: absolute, or a share of the value.
VALUES = {
    "pad": (30e-15, {"lot": 0.03, "wafer": 0.02, "die": 0.01}),
    "die impedance": (62.0, {"lot": 0.015, "wafer": 0.01}),
    "coil": (25e-12, {"wafer": 0.02}),
    "wire impedance": (120.0, {"assembly": 4 / 120}),
    "wire piece": (75e-6, {"assembly": 4 / 75}),
    "lead": (550e-6, {"assembly": 15 / 550}),
    "mould": (3.7, {"lot": 0.01}),
    "land": (44e-15, {"board": 0.04}),
    "laminate": (2.8, {"lot": 0.008, "board": 0.004}),
    "match impedance": (58.0, {"etching": 1.2 / 58}),
    "stub impedance": (64.0, {"etching": 1.4 / 64}),
    "stub": (545e-6, {"board": 8 / 545}),
}


def draw(generator, count):
    """Arrays of values: a draw for each value and level, but one of the etching for both lines."""
    etching = generator.standard_normal(count)
    found = {}
    for name, (nominal, components) in VALUES.items():
        factor = np.ones(count)
        for level, share in components.items():
            own = etching if level == "etching" else generator.standard_normal(count)
            factor += share * own
        found[name] = nominal * factor
    return found


def run(passes, block, piece):
    """Runs as many samples as the command line says; prints their number, passes and seconds.

    Seconds are those of the fastest piece of so many blocks, for all: other work on the machine
    slows some of them.
    """
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100000
    generator = np.random.default_rng(1)
    passed, best, blocks = 0, np.inf, -(-count // block)
    for first in range(0, blocks, piece):
        begin = time.process_time()
        done = min(piece, blocks - first)
        for _ in range(done):
            passed += passes(draw(generator, block))
        best = min(best, (time.process_time() - begin) / (done * block))
    print(blocks * block, passed, best * blocks * block)
