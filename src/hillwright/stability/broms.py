"""Broms: what a short rigid bar or post in the ground holds sideways, its head free to turn.

``share`` is the part of the passive resistance that is there: 1 in level ground, one half in a
face, where the wedge in front is cut away.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import (
    above_zero,
    at_least_zero,
    fitting,
    friction_angle,
    soil_weight,
    within,
)

_SOURCE = "Broms, 1964a,b, as in UFC 3-220-20 (2025) sections 6-6.4.1.1 and 6-6.4.1.2"


class ClayLength(NamedTuple):
    """How long a post must be in clay."""

    zero_shear: Array
    moment: Array
    below: Array
    length: Array


class ShortPile(NamedTuple):
    """What a short bar holds, and the moment in it when it does."""

    load: Array
    zero_shear: Array
    moment: Array


@method(
    title="Broms: length of a short free-head post in clay",
    equation="f = P/(9 cu b); M = P (e + 1.5 b + 0.5 f) = 2.25 cu b g^2; L = 1.5 b + f + g",
    source=_SOURCE,
)
def broms_clay_length(
    load: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    undrained_strength: ArrayLike,
    share: ArrayLike = 1.0,
) -> ClayLength:
    """Give the embedment at which clay just holds a load; no factor is in it.

    Parameters
    ----------
    load : (...) array
        Sideways, >= 0. [N]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Of the post across the load (diameter of a bar), > 0. [m]
    undrained_strength : (...) array
        Of the clay, > 0. [Pa]
    share : (...) array
        Part of the passive resistance that is there, above 0 to 1. [-]

    Returns
    -------
    zero_shear : (...) array
        Where the shear is zero, below the top 1.5 widths that hold nothing: f. [m]
    moment : (...) array
        Largest bending moment, at f. [N m]
    below : (...) array
        Length below that point: g. [m]
    length : (...) array
        Embedment. [m]

    Raises
    ------
    OutOfRange
        A width or strength of zero or less, a negative load or height.

    Notes
    -----
    Level ground, one post, and a post that does not yield first: hold the moment against its
    strength. Clay that dries and cracks loses the top; strength is the soaked one.
    """
    fitting(**locals())
    p, e = at_least_zero("load", load), at_least_zero("height", height)
    b = above_zero("width", width)
    c = above_zero("undrained_strength", undrained_strength) * _share(share)
    f = p / (9 * c * b)
    moment = p * (e + 1.5 * b + 0.5 * f)
    g = np.sqrt(moment / (2.25 * c * b))
    return ClayLength(*np.broadcast_arrays(f, moment, g, 1.5 * b + f + g))


@method(
    title="Broms: load that a short free-head bar holds in clay",
    equation="f^2 + (4 (e + 1.5 b) + 2 (L - 1.5 b)) f - (L - 1.5 b)^2 = 0; P = 9 cu b f",
    source=_SOURCE + "; solved here for the load",
)
def broms_clay_load(
    length: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    undrained_strength: ArrayLike,
    share: ArrayLike = 1.0,
) -> ShortPile:
    """Give the load at which clay fails beside a short bar; no factor is in it.

    Parameters
    ----------
    length : (...) array
        Embedment, > 0. [m]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Of the post across the load (diameter of a bar), > 0. [m]
    undrained_strength : (...) array
        Of the clay, > 0. [Pa]
    share : (...) array
        Part of the passive resistance that is there, above 0 to 1. [-]

    Returns
    -------
    load : (...) array
        Sideways, ultimate; 0 where the embedment is less than 1.5 widths. [N]
    zero_shear : (...) array
        Where the shear is zero, below the top 1.5 widths. [m]
    moment : (...) array
        Largest bending moment under that load. [N m]

    Raises
    ------
    OutOfRange
        A length, width or strength of zero or less, a negative height.

    Notes
    -----
    Level ground, one bar, and a bar that does not yield first: hold the moment against its
    strength.
    """
    fitting(**locals())
    b, e = above_zero("width", width), at_least_zero("height", height)
    c = above_zero("undrained_strength", undrained_strength) * _share(share)
    deep = np.maximum(above_zero("length", length) - 1.5 * b, 0.0)
    half = 2 * (e + 1.5 * b) + deep
    # the root of the quadratic, without the loss of digits of a difference
    f = deep**2 / (half + np.sqrt(half**2 + deep**2))
    load = 9 * c * b * f
    return ShortPile(*np.broadcast_arrays(load, f, load * (e + 1.5 * b + 0.5 * f)))


@method(
    title="Broms: load that a short free-head bar holds in sand",
    equation="P (e + L) = 0.5 g b Kp L^3; f = sqrt(2 P/(3 b Kp g)); M = P (e + f) - 0.5 b g Kp f^3",
    source=_SOURCE,
)
def broms_sand_load(
    length: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    share: ArrayLike = 1.0,
) -> ShortPile:
    """Give the load at which sand fails beside a short bar; no factor is in it.

    Parameters
    ----------
    length : (...) array
        Embedment, > 0. [m]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Of the post across the load (diameter of a bar), > 0. [m]
    friction : (...) array
        Friction angle of the sand, 0 to 50 deg. [rad]
    unit_weight : (...) array
        Effective unit weight: less that of water below the water table, > 0. [N/m3]
    share : (...) array
        Part of the passive resistance that is there, above 0 to 1. [-]

    Returns
    -------
    load : (...) array
        Sideways, ultimate. [N]
    zero_shear : (...) array
        Depth where the shear is zero. [m]
    moment : (...) array
        Largest bending moment under that load. [N m]

    Raises
    ------
    OutOfRange
        A length, width or weight of zero or less, friction over 50 deg, a negative height.

    Notes
    -----
    Level ground, one bar, and a bar that does not yield first: hold the moment against its
    strength. A thin bar holds little so: it is a nail for shear, not a post.
    """
    fitting(**locals())
    n, e, b = (
        above_zero("length", length),
        at_least_zero("height", height),
        above_zero("width", width),
    )
    k = passive_per_depth(b, friction, unit_weight, share)
    load = 0.5 * k * n**3 / (e + n)
    f = np.sqrt(2 * load / (3 * k))
    return ShortPile(*np.broadcast_arrays(load, f, load * (e + f) - 0.5 * k * f**3))


@method(
    title="Broms: length of a short free-head post in sand",
    equation="0.5 g b Kp L^3 - P L - P e = 0",
    source=_SOURCE,
)
def broms_sand_length(
    load: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    share: ArrayLike = 1.0,
) -> Array:
    """Give the embedment at which sand just holds a load; no factor is in it.

    Parameters
    ----------
    load : (...) array
        Sideways, >= 0. [N]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Of the post across the load, > 0. [m]
    friction : (...) array
        Friction angle of the sand, 0 to 50 deg. [rad]
    unit_weight : (...) array
        Effective unit weight: less that of water below the water table, > 0. [N/m3]
    share : (...) array
        Part of the passive resistance that is there, above 0 to 1. [-]

    Returns
    -------
    (...) array
        Embedment. [m]

    Raises
    ------
    OutOfRange
        A width or weight of zero or less, friction over 50 deg, a negative load or height.

    Notes
    -----
    Level ground, one post, and a post that does not yield first.
    """
    fitting(**locals())
    p, e = at_least_zero("load", load), at_least_zero("height", height)
    k = passive_per_depth(above_zero("width", width), friction, unit_weight, share)
    return depressed_cubic(2 * p / k, 2 * p * e / k)


def passive_per_depth(
    width: ArrayLike, friction: ArrayLike, unit_weight: ArrayLike, share: ArrayLike = 1.0
) -> Array:
    """Give the passive force on a bar per depth and depth again, a third of Broms' 3 Kp [N/m2]."""
    kp = np.tan(np.pi / 4 + friction_angle(friction) / 2) ** 2
    return np.asarray(soil_weight(unit_weight) * np.asarray(width, float) * kp * _share(share))


def depressed_cubic(linear: Array, constant: Array) -> Array:
    """Give the one positive root of x^3 = linear x + constant, both at least 0."""
    p, q = (np.asarray(v, float) for v in np.broadcast_arrays(linear, constant))
    x = np.asarray(np.sqrt(p) + np.cbrt(q))  # never below the root, so that each step comes nearer
    for _ in range(60):
        with np.errstate(invalid="ignore", divide="ignore"):
            step = (x**3 - p * x - q) / (3 * x**2 - p)
        step = np.where(np.isfinite(step), step, 0.0)
        x = x - step
        if np.all(np.abs(step) <= 1e-15 * x):
            break
    return np.asarray(x)


def _share(value: ArrayLike) -> Array:
    found = within("share", value, 0.0, 1.0)
    if (found == 0).any():
        raise OutOfRange("share", "is zero: nothing would hold", "give more than 0, at most 1")
    return found
