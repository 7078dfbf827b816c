"""Head loss of every link of a network at once, with its slope: what the network solver runs on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from hillwright.arrays import Array

GRAVITY = 9.80665  # standard gravity [m/s2]: ISO 80000-3
LAMINAR, TURBULENT = 2000.0, 4000.0  # Reynolds numbers where the regimes end and begin

_LN10 = math.log(10.0)
_C = 0.25 * _LN10**2  # Swamee-Jain by the natural logarithm: f = C / ln(y)^2
_AB = 5.74 / TURBULENT**0.9
_AA = -3.6 / _LN10  # slope term of the cubic between the regimes
_LEAST_SLOPE = (
    1e-3  # of a loss that starts flat (a power law), so that a dry link is no wall [s/m2]
)


class Loss(Protocol):
    """Head loss of each link as a function of its flow."""

    def __call__(self, flow: Array) -> tuple[Array, Array]:
        """Give loss [m] and its slope dh/dQ [s/m2] at flows of either sign [m3/s]."""


def transition(wall: Array) -> tuple[Array, Array, Array, Array]:
    """Give the four terms of the cubic in Re/2000 that joins 64/Re to Swamee-Jain.

    ``wall`` is roughness / (3.7 bore). With the engine's sign of the slope term the factor and
    its slope meet both neighbours.
    """
    y2 = wall + _AB
    y3 = -2.0 / _LN10 * np.log(y2)
    fa = y3**-2.0
    fb = fa * (2.0 + _AA * _AB / (y2 * y3))
    return (
        7 * fa - fb,
        0.128 - 17 * fa + 2.5 * fb,
        -0.128 + 13 * fa - 2 * fb,
        0.032 - 3 * fa + 0.5 * fb,
    )


@dataclass(frozen=True, slots=True, eq=False)
class DarcyWeisbach:
    """64/Re, the Dunlop cubic and Swamee-Jain by regime, and losses of fittings in v^2/2g."""

    friction: Array  # (n,) 8 L / (pi2 g D5)
    fitting: Array  # (n,) 8 K / (pi2 g D4)
    turn: Array  # (n,) Re = turn * flow [s/m3]
    wall: Array  # (n,) roughness / (3.7 bore)

    @classmethod
    def of(
        cls,
        length: Array,
        bore: Array,
        roughness: Array,
        minor: Array,
        viscosity: float,
        gravity: float = GRAVITY,
    ) -> DarcyWeisbach:
        """Prepare links for many flows; all lengths [m], viscosity [m2/s]."""
        k = 8 / (math.pi**2 * gravity)
        return cls(
            k * length / bore**5,
            k * minor / bore**4,
            4 / (math.pi * viscosity * bore),
            roughness / (3.7 * bore),
        )

    def __call__(self, flow: Array) -> tuple[Array, Array]:
        """Give loss and slope; exact slopes, so that Newton's method keeps its speed."""
        q = np.abs(flow)
        re = self.turn * q
        slope = 64 * self.friction / self.turn  # laminar; right for all links that stay so
        loss = slope * q
        rough = np.flatnonzero(re >= LAMINAR)
        if rough.size:
            a, x, n = self.friction[rough], q[rough], re[rough]
            f, bend = _factor(n, self.wall[rough])
            ax = a * x
            loss[rough] = ax * f * x
            slope[rough] = ax * (2 * f + bend)
        if self.fitting.any():
            kq = self.fitting * q
            loss += kq * q
            slope += 2 * kq
        return np.copysign(loss, flow), slope


def _factor(reynolds: Array, wall: Array) -> tuple[Array, Array]:
    """Give the friction factor above Re 2000, and Re df/dRe."""
    y1 = 5.74 * reynolds**-0.9
    y = wall + y1
    log = np.log(y)
    f = _C / (log * log)
    bend = 1.8 * f * y1 / (log * y)
    middle = np.flatnonzero(reynolds < TURBULENT)
    if middle.size:
        x1, x2, x3, x4 = transition(wall[middle])
        r = reynolds[middle] / LAMINAR
        f[middle] = x1 + r * (x2 + r * (x3 + r * x4))
        bend[middle] = r * (x2 + r * (2 * x3 + r * 3 * x4))
    return f, bend


@dataclass(frozen=True, slots=True, eq=False)
class PowerLaw:
    """h = r Q^m + fittings: Hazen-Williams, or a Blasius form written for one temperature."""

    friction: Array  # (n,) r
    exponent: float
    fitting: Array  # (n,) 8 K / (pi2 g D4)

    @classmethod
    def hazen_williams(
        cls, length: Array, bore: Array, smoothness: float, minor: Array
    ) -> PowerLaw:
        """Prepare links by Hazen-Williams with the coefficient of EPANET, in SI."""
        r = hazen_williams_si() * length / (smoothness**1.852 * bore**4.871)
        return cls(r, 1.852, 8 * minor / (math.pi**2 * GRAVITY * bore**4))

    @classmethod
    def blasius_form(cls, length: Array, bore: Array, minor: Array, factor: float) -> PowerLaw:
        """Prepare links by J = factor Q^1.75 D^-4.75 as printed, in L/h, mm and m/m."""
        r = factor * 3.6e6**1.75 * (1e3 * bore) ** -4.75 * length
        return cls(r, 1.75, 8 * minor / (math.pi**2 * GRAVITY * bore**4))

    def __call__(self, flow: Array) -> tuple[Array, Array]:
        """Give loss and slope."""
        q = np.abs(flow)
        once = self.friction * q ** (self.exponent - 1)
        kq = self.fitting * q
        return np.copysign((once + kq) * q, flow), np.maximum(
            self.exponent * once + 2 * kq, _LEAST_SLOPE
        )


def hazen_williams_si() -> float:
    """Give 4.727 (feet, cubic feet per second) in metres and cubic metres per second."""
    foot = 0.3048
    return float(4.727 * foot**4.871 / (foot**3) ** 1.852)
