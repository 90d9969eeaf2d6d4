"""Yield of yield.json by someone who profiles: travelling waves in real arrays, in place.

    python3 tuned.py [SAMPLES]

The waves V + Z I and V - Z I of a reference Z: a line turns the second against the first, and a
factor common to both is dropped. The four pieces of the wire are one line, what has no spread is
made once, and blocks of samples are so small that all arrays stay in the cache.
"""

import numpy as np

from problem import BOARD, CENTRE, LIGHT, LIMIT, NEPER, OMEGA, PORT, ROOT, run

BLOCK = 512
omega = OMEGA[:, None]
root = ROOT[:, None]


def pair(column):
    """Real and imaginary part of a column, as waves are kept."""
    return np.stack((column.real, column.imag))[:, :, None]


def chain_of_board():
    """The reflection is k |n + g p|^2 / |p + h n|^2 with the waves p and n behind the stub."""
    theta = 3e-3 * (0.03 * NEPER * ROOT + 1j * OMEGA * np.sqrt(2.8) / LIGHT)
    block = 0.1 + 1 / (1j * OMEGA * 2e-12)
    c, s = np.cosh(theta), np.sinh(theta)
    a, b, lower, d = c, c * block + 51 * s, s / 51, s / 51 * block + c
    waves = [(a - BOARD * lower, b - BOARD * d), (a + BOARD * lower, b + BOARD * d)]
    (n_p, n_n), (p_p, p_n) = [(v + i / BOARD, v - i / BOARD) for v, i in waves]
    scale = np.abs(n_n / p_p) ** 2
    return pair(n_p / n_n), pair(p_n / p_p), scale[:, None]


PAD = pair(1j * OMEGA / (1 + 1j * OMEGA / (60 * CENTRE)) * PORT)
DIE_PORT = pair(PORT)
DIE_TURN = pair(np.exp(-300e-6 * (0.25 * NEPER * ROOT + 1j * OMEGA * np.sqrt(6.5) / LIGHT)))
BOARD_G, BOARD_H, BOARD_SCALE = chain_of_board()


class March:
    """Arrays [2][frequencies][samples]: real and imaginary part of the waves p and n."""

    def __init__(self, count):
        self.p, self.n, self.s, self.t = (np.empty((2, OMEGA.size, count)) for _ in range(4))
        self.u, self.v, self.w = (np.empty((OMEGA.size, count)) for _ in range(3))

    def sum_difference(self):
        """(p, n) becomes (p + n, p - n): voltage and current, or back, up to a factor 2."""
        np.subtract(self.p, self.n, out=self.t)
        self.p += self.n
        self.n, self.t = self.t, self.n

    def times(self, out, x, y):
        """out = x y; x and out are not the same array."""
        np.multiply(x, y[0], out=out)
        np.multiply(x[1], y[1], out=self.u)
        out[0] -= self.u
        np.multiply(x[0], y[1], out=self.u)
        out[1] += self.u

    def step(self, ratio):
        """Reference times the ratio."""
        r = (1 - ratio) / (1 + ratio)
        np.multiply(self.n, r, out=self.t)
        np.multiply(self.p, r, out=self.s)
        self.p += self.t
        self.n += self.s

    def turn(self, loss, length, permittivity):
        """A line: n times exp(-2 theta)."""
        np.multiply(omega, 2 / LIGHT * length * np.sqrt(permittivity), out=self.u)
        np.cos(self.u, out=self.v)
        np.sin(self.u, out=self.w)
        if np.ndim(length):
            np.multiply(root, -2 * loss * NEPER * length, out=self.u)
            decay = np.exp(self.u, out=self.u)
        else:
            decay = np.exp(-2 * loss * NEPER * length * root)
        self.v *= decay
        self.w *= decay
        np.multiply(self.n, self.w, out=self.t)
        self.n *= self.v
        self.n[0] += self.t[1]
        self.n[1] -= self.t[0]

    def die(self, q):
        """Port, pad, line of fixed length and coil, up to voltage and current."""
        z = q["die impedance"]
        np.multiply(PAD, z * q["pad"], out=self.s)
        self.s[0] += z
        np.add(DIE_PORT, self.s, out=self.p)
        np.subtract(DIE_PORT, self.s, out=self.t)
        self.times(self.n, self.t, DIE_TURN)
        self.sum_difference()
        np.multiply(self.n, q["coil"] / z, out=self.t)
        np.multiply(self.t, CENTRE / 18, out=self.s)
        self.p += self.s
        self.t *= omega
        self.p[0] -= self.t[1]
        self.p[1] += self.t[0]
        self.n *= q["wire impedance"] / z
        self.sum_difference()

    def package(self, q):
        """Wire and lead, solder and land."""
        self.turn(0.08, 4 * q["wire piece"], 1.0)
        self.step(44.0 / q["wire impedance"])
        self.turn(0.05, q["lead"], q["mould"])
        self.sum_difference()
        np.multiply(self.n, 12e-12 / 44 * omega, out=self.t)
        self.p[0] -= self.t[1]
        self.p[1] += self.t[0]
        np.multiply(omega, 44 * q["land"], out=self.u)
        np.multiply(self.p, self.u, out=self.t)
        self.n[0] -= self.t[1]
        self.n[1] += self.t[0]
        self.n *= q["match impedance"] / 44
        self.sum_difference()

    def stub_admittance(self, q, out):
        """tanh(x + j y) = (sinh 2x + j sin 2y) / (cosh 2x + cos 2y), over the impedance."""
        np.multiply(omega, 2 / LIGHT * q["stub"] * np.sqrt(q["laminate"]), out=self.u)
        np.sin(self.u, out=out[1])
        np.cos(self.u, out=self.v)
        np.multiply(root, 2 * 0.03 * NEPER * q["stub"], out=out[0])
        np.multiply(out[0], out[0], out=self.u)
        self.u *= 0.5
        self.v += self.u
        self.v += 1
        np.divide(q["match impedance"] / q["stub impedance"], self.v, out=self.v)
        out *= self.v

    def board(self, q):
        """Match and stub, then largest power of the reflection."""
        self.turn(0.03, 1.94e-3, q["laminate"])
        self.sum_difference()
        self.stub_admittance(q, self.s)
        self.times(self.t, self.p, self.s)
        self.n += self.t
        self.n *= BOARD / q["match impedance"]
        self.sum_difference()
        self.times(self.s, self.p, BOARD_G)
        self.s += self.n
        self.times(self.t, self.n, BOARD_H)
        self.t += self.p
        self.s *= self.s
        self.t *= self.t
        np.add(self.s[0], self.s[1], out=self.u)
        np.add(self.t[0], self.t[1], out=self.v)
        self.u /= self.v
        self.u *= BOARD_SCALE
        return self.u.max(axis=0)


MARCH = March(BLOCK)


def passes(q):
    MARCH.die(q)
    MARCH.package(q)
    return np.count_nonzero(MARCH.board(q) <= LIMIT)


if __name__ == "__main__":
    run(passes, BLOCK, 40)
