"""Time of concentration by short formulas, as cross-checks on the travel times."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.concentration import HOUR
from hillwright.runoff.tables import FOOT, INCH

_MINUTE = 60.0


class KerbyKirpich(NamedTuple):
    """Overland time and channel time."""

    overland: Array
    channel: Array
    time: Array


class LagTime(NamedTuple):
    """Time of concentration by the lag method."""

    retention: Array
    time: Array


@method(
    title="Overland time by Kerby and channel time by Kirpich",
    equation="Kerby 0.828 (L N)^0.467 S^-0.235 min; Kirpich 0.0078 L^0.77 S^-0.385 min; L in ft",
    source="Kerby 1959; Kirpich 1940; as set out in a university spreadsheet (Texas Tech CE 3354)",
)
def kerby_kirpich(
    overland_length: ArrayLike,
    overland_gradient: ArrayLike,
    retardance: ArrayLike,
    channel_length: ArrayLike,
    channel_gradient: ArrayLike,
) -> KerbyKirpich:
    """Give the time of concentration by two old formulas, as a cross-check.

    Parameters
    ----------
    overland_length : (...) array
        Length of overland flow. [m]
    overland_gradient : (...) array
        Fall over run. [-]
    retardance : (...) array
        Kerby's N of the surface: smooth packed soil 0.1, average grass 0.4. [-]
    channel_length : (...) array
        Length of the channel; 0 for none. [m]
    channel_gradient : (...) array
        Fall over run. [-]

    Returns
    -------
    overland, channel, time : (...) array
        Kerby's time, Kirpich's time, and their sum. [s]

    Raises
    ------
    OutOfRange
        A gradient or retardance of 0 or below, a negative length, or a gradient over 2.

    Notes
    -----
    Kerby for overland flow up to about 1,200 ft, Kirpich for gullied farm land up to about
    100 acres (from memory). NEH 630 appendix 15A misprints both (0.007 and 0.324).
    """
    over = given.at_least_zero("overland_length", overland_length) / FOOT
    along = given.at_least_zero("channel_length", channel_length) / FOOT
    n = given.above_zero("retardance", retardance)
    kerby = 0.828 * (over * n) ** 0.467 * guard.gradient(overland_gradient) ** -0.235 * _MINUTE
    kirpich = 0.0078 * along**0.77 * guard.gradient(channel_gradient) ** -0.385 * _MINUTE
    return KerbyKirpich(np.asarray(kerby), np.asarray(kirpich), np.asarray(kerby + kirpich))


@method(
    title="Time of concentration by watershed lag",
    equation="Tc = L^0.8 (S + 1)^0.7 / (1140 Y^0.5) h; L in ft, S in in, Y in percent",
    source="USDA NRCS 2010, NEH Part 630 ch. 15, section 630.1504(a)",
)
def lag_time(length: ArrayLike, gradient: ArrayLike, curve_number: ArrayLike) -> LagTime:
    """Give the time of concentration of a small watershed by its curve number.

    Parameters
    ----------
    length : (...) array
        Longest flow path. [m]
    gradient : (...) array
        Mean fall over run of the land. [-]
    curve_number : (...) array
        50 to 95. [-]

    Returns
    -------
    retention : (...) array
        S of the curve number. [m]
    time : (...) array
        Time of concentration. [s]

    Raises
    ------
    OutOfRange
        A length or gradient of 0 or below, or a curve number outside 50 to 95.

    Notes
    -----
    Curve numbers from 50 to 95.
    """
    feet = given.above_zero("length", length) / FOOT
    percent = guard.gradient(gradient) * 100
    right = "the method holds from 50 to 95"
    cn = given.within("curve_number", curve_number, 50.0, 95.0, right)
    s = 1000 / cn - 10
    hours = feet**0.8 * (s + 1) ** 0.7 / (1140 * percent**0.5)
    return LagTime(np.asarray(s * INCH), np.asarray(hours * HOUR))


@method(
    title="Time of concentration by runoff coefficient (airport drainage)",
    equation="tc = 1.8 (1.1 - C) L^0.5 / S^(1/3) min; L in ft, S in percent",
    source="FAA 1970, AC 150/5320-5B, Airport Drainage",
)
def overland_time(coefficient: ArrayLike, length: ArrayLike, gradient: ArrayLike) -> Array:
    """Give the time of concentration of an even surface.

    Parameters
    ----------
    coefficient : (...) array
        Runoff coefficient, 0 to 1. [-]
    length : (...) array
        Length of overland flow. [m]
    gradient : (...) array
        Fall over run. [-]

    Returns
    -------
    (...) array
        Time of concentration. [s]

    Raises
    ------
    OutOfRange
        A coefficient outside 0 to 1, or a length or gradient of 0 or below.
    """
    c = given.share("coefficient", coefficient)
    feet = given.above_zero("length", length) / FOOT
    percent = guard.gradient(gradient) * 100
    return np.asarray(1.8 * (1.1 - c) * np.sqrt(feet) / np.cbrt(percent) * _MINUTE)
