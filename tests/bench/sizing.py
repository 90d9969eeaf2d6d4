"""Sizes sizing.json with SciPy: SLSQP from many starts, and differential evolution.

    python3 sizing.py LOSS [STARTS]

LOSS is the worst return loss that is known to be possible, dB. A line for each: whether it came
within 0.01 dB of that, seconds until then, and seconds of the whole search with its best loss.
"""

import sys
import time

import numpy as np
from scipy.optimize import Bounds, differential_evolution, minimize
from scipy.stats import qmc

OMEGA = 2 * np.pi * np.linspace(26.5e9, 29.5e9, 61)
CENTRE = 2 * np.pi * 28e9
ROOT = np.sqrt(OMEGA / CENTRE)
LIGHT = 299792458.0
NEPER = np.log(10) / 20 * 1e3
LOW = np.array([50.0, 50e-6, 10e-15, 40.0, 0.1e-3])
HIGH = np.array([85.0, 600e-6, 150e-15, 90.0, 2.0e-3])
CASES = [(260e-12, 46.0, 3.8), (230e-12, 68.0, 1.4)]
LIMIT = 10 ** -1.5
STEP = 1e-7


def theta(length, permittivity, loss):
    return length * (loss * NEPER * ROOT + 1j * OMEGA * np.sqrt(permittivity) / LIGHT)


def line(v, i, impedance, angle):
    c, s = np.cosh(angle), np.sinh(angle)
    return c * v + impedance * s * i, c * i + s / impedance * v


def figures(x):
    """Power of the reflection over its limit: points of [..., 5] in 0 to 1 give [..., 122]."""
    z1, l1, c1, z2, l2 = np.moveaxis(LOW + x * (HIGH - LOW), -1, 0)[..., None]
    port = 50 / (1 + 1j * OMEGA * 50 * 50e-15)
    v0, i0 = line(port, 1.0, z1, theta(l1, 7.3, 0.4))
    i0 = i0 + v0 * 1j * OMEGA * c1 / (1 + 1j * OMEGA / (CENTRE * 40))
    last = theta(l2, 2.75, 0.03)
    c, s = np.cosh(last), np.sinh(last)
    found = []
    for inductance, impedance, permittivity in CASES:
        v = v0 + i0 * inductance * (1j * OMEGA + CENTRE / 50)
        v, i = line(v, i0, impedance, theta(600e-6, permittivity, 0.05))
        i = i + 1j * OMEGA * 60e-15 * v
        v, i = c * v + z2 * s * i, c * i + s / z2 * v
        found.append(np.abs((v - 50 * i) / (v + 50 * i)) ** 2 / LIMIT)
    return np.concatenate(found, axis=-1)


def loss(x):
    return 15 - 10 * np.log10(figures(x).max())


def slopes(x):
    """All differences in one call."""
    values = figures(x + STEP * np.vstack((np.zeros(5), np.eye(5))))
    return (values[1:] - values[0]).T / STEP


def descend(start):
    """Least t such that no figure is above it."""
    least = minimize(
        lambda y: y[5],
        np.append(start, figures(start).max()),
        jac=lambda y: np.eye(6)[5],
        bounds=Bounds([0] * 5 + [0], [1] * 5 + [np.inf]),
        constraints={
            "type": "ineq",
            "fun": lambda y: y[5] - figures(y[:5]),
            "jac": lambda y: np.hstack((-slopes(y[:5]), np.ones((122, 1)))),
        },
        method="SLSQP",
        options={"maxiter": 200, "ftol": 1e-7},
    )
    return np.clip(least.x[:5], 0, 1)


class Watch:
    """Best loss so far, and when it came near to what is possible."""

    def __init__(self, wanted):
        self.wanted, self.best, self.reached = wanted, -np.inf, None
        self.begin = time.process_time()

    def see(self, x):
        self.best = max(self.best, loss(x))
        if self.reached is None and self.best > self.wanted - 0.01:
            self.reached = time.process_time() - self.begin

    def show(self, name, rounds):
        seconds = time.process_time() - self.begin
        reached = -1 if self.reached is None else self.reached
        print(f"{name} rounds {rounds} loss {self.best:.4f} reached {reached:.4f} "
              f"seconds {seconds:.4f}")


def main():
    wanted = float(sys.argv[1])
    starts = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    watch = Watch(wanted)
    near = 0
    for start in qmc.Sobol(5, seed=1).random(starts):
        found = descend(start)
        near += loss(found) > wanted - 0.01
        watch.see(found)
    watch.show("slsqp", starts)
    print("near", near)
    watch = Watch(wanted)
    evolved = differential_evolution(
        lambda x: figures(x.T).max(axis=-1), [(0, 1)] * 5, seed=1, vectorized=True, tol=1e-6,
        maxiter=10 * starts, polish=False, updating="deferred",
        callback=lambda x, convergence: watch.see(x))
    watch.see(evolved.x)
    watch.show("evolution", evolved.nit)


if __name__ == "__main__":
    main()
