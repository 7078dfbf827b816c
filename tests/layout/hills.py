"""Grounds with exact derivatives, for tests."""

import math
from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st


@dataclass(frozen=True)
class Hill:
    """z, dz/dx and dz/dy from one function; `turn` and `shift` move it in plan, `flip` mirrors."""

    function: object
    turn: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    flip: bool = False

    def at(self, x, y):
        x, y = np.asarray(x, float) - self.shift[0], np.asarray(y, float) - self.shift[1]
        c, s, m = math.cos(self.turn), math.sin(self.turn), -1.0 if self.flip else 1.0
        with np.errstate(invalid="ignore", divide="ignore"):
            z, p, q = self.function(m * (c * x + s * y), -s * x + c * y)
        return z, m * p * c - q * s, m * p * s + q * c


def sphere(radius):
    def dome(x, y):
        z = np.sqrt(radius**2 - x**2 - y**2)
        return z, -x / z, -y / z

    return Hill(dome)


def cylinder(radius):
    def ridge(x, y):
        z = np.sqrt(radius**2 - y**2) + 0 * x
        return z, 0 * x, -y / z

    return Hill(ridge)


def cone(steep):
    def flank(x, y):
        r = np.hypot(x, y)
        return -steep * r, -steep * x / r, -steep * y / r

    return Hill(flank)


def translation(a, b):
    """z = a x^2 / 2 + b y^2 / 2."""
    return Hill(lambda x, y: (a * x**2 / 2 + b * y**2 / 2, a * x, b * y))


def plane(p, q):
    return Hill(lambda x, y: (p * x + q * y, p + 0 * x, q + 0 * x))


def waves(steep, height, length, phase):
    """A slope that falls to the south, with hollows and humps on it."""

    def slope(x, y):
        a, b = x / length + phase, y / (1.3 * length) - phase
        z = height * np.sin(a) * np.cos(b) + steep * y
        zx = height / length * np.cos(a) * np.cos(b)
        return z, zx, -height / (1.3 * length) * np.sin(a) * np.sin(b) + steep

    return Hill(slope)


smooth_hills = st.builds(
    waves,
    steep=st.floats(0.2, 1.0),
    height=st.floats(0.0, 0.4),
    length=st.floats(3.0, 8.0),
    phase=st.floats(-3.0, 3.0),
)
