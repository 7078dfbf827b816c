"""Surfaces with exact derivatives, for tests."""

import numpy as np


class Analytic:
    """Height and gradient by one function of x and y."""

    def __init__(self, function):
        self.function = function

    def at(self, x, y):
        return self.function(np.asarray(x, float), np.asarray(y, float))


def plane(p, q, z=0.0):
    return Analytic(lambda x, y: (z + p * x + q * y, p + 0 * x, q + 0 * y))


def dome(radius):
    def at(x, y):
        z = np.sqrt(radius**2 - x * x - y * y)
        return z, -x / z, -y / z

    return Analytic(at)


def cone(steep):
    def at(x, y):
        r = np.hypot(x, y)
        return -steep * r, -steep * x / r, -steep * y / r

    return Analytic(at)


def wavy(height=0.5, length=3.0):
    def at(x, y):
        z = height * np.sin(x / length) * np.cos(y / length)
        zx = height / length * np.cos(x / length) * np.cos(y / length)
        return z, zx, -height / length * np.sin(x / length) * np.sin(y / length)

    return Analytic(at)
