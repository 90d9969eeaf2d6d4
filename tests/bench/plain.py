"""Yield of yield.json as one would first write it: chain parameters in complex numbers.

    python3 plain.py [SAMPLES]
"""

import numpy as np

from problem import BOARD, CENTRE, LIGHT, LIMIT, NEPER, OMEGA, PORT, ROOT, run

# Frequencies go down, samples across.
omega = OMEGA[:, None]
root = ROOT[:, None]


def series(v, i, impedance):
    return v + impedance * i, i


def shunt(v, i, admittance):
    return v, i + admittance * v


def theta(length, permittivity, loss):
    return length * (loss * NEPER * root + 1j * omega * np.sqrt(permittivity) / LIGHT)


def line(v, i, impedance, angle, pieces=1):
    c, s = np.cosh(angle), np.sinh(angle)
    for _ in range(pieces):
        v, i = c * v + impedance * s * i, c * i + s / impedance * v
    return v, i


def capacitance(value, quality=np.inf):
    return 1j * omega * value / (1 + 1j * omega / (CENTRE * quality))


def march(q):
    """Voltage and current at the board, from the die."""
    v, i = PORT[:, None], np.ones((1, 1))
    v, i = shunt(v, i, capacitance(q["pad"], 60))
    v, i = line(v, i, q["die impedance"], theta(150e-6, 6.5, 0.25))
    v, i = series(v, i, q["coil"] * (1j * omega + CENTRE / 18))
    v, i = line(v, i, q["wire impedance"], theta(q["wire piece"], 1.0, 0.08), 4)
    v, i = line(v, i, 44.0, theta(q["lead"], q["mould"], 0.05))
    v, i = series(v, i, 1j * omega * 12e-12)
    v, i = shunt(v, i, capacitance(q["land"]))
    v, i = line(v, i, q["match impedance"], theta(1.94e-3, q["laminate"], 0.03))
    v, i = shunt(v, i, np.tanh(theta(q["stub"], q["laminate"], 0.03)) / q["stub impedance"])
    v, i = series(v, i, 0.1 + 1 / (1j * omega * 2e-12))
    return line(v, i, 51.0, theta(3e-3, 2.8, 0.03))


def passes(q):
    v, i = march(q)
    reflection = (v - BOARD * i) / (v + BOARD * i)
    return np.count_nonzero(np.max(np.abs(reflection) ** 2, axis=0) <= LIMIT)


if __name__ == "__main__":
    run(passes, 1000, 2)
