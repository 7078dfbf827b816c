"""What the ground under a wall carries, and how the wall presses on it."""

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
    ground_slope,
    number,
    soil_weight,
)


class BearingFactors(NamedTuple):
    """Bearing capacity factors."""

    cohesion: Array
    surcharge: Array
    weight: Array


class BasePressure(NamedTuple):
    """How a base presses on the ground."""

    toe: Array
    heel: Array
    contact: Array
    uniform: Array
    in_middle_third: Array


@method(
    title="Bearing capacity factors",
    equation="Nq = exp(pi tan p) tan(45 + p/2)^2; Nc = (Nq - 1)/tan p; Ng = 2 (Nq + 1) tan p",
    source="Prandtl, Reissner, Vesic, as in FHWA, 2002, GEC 6 (FHWA-SA-02-054), Table 5-1",
)
def bearing_factors(friction: ArrayLike) -> BearingFactors:
    """Give the three factors; without friction the first is pi + 2.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the ground, 0 to 50 deg. [rad]

    Returns
    -------
    cohesion : (...) array
        Nc. [-]
    surcharge : (...) array
        Nq. [-]
    weight : (...) array
        Ngamma. [-]

    Raises
    ------
    OutOfRange
        Friction below 0 or over 50 deg.
    """
    p = friction_angle(friction)
    t = np.tan(p)
    nq = np.exp(np.pi * t) * np.tan(np.pi / 4 + p / 2) ** 2
    nc = np.where(t > 1e-7, (nq - 1) / np.where(t > 1e-7, t, 1.0), np.pi + 2)
    return BearingFactors(*np.broadcast_arrays(nc, nq, 2 * (nq + 1) * t))


@method(
    title="Ultimate bearing pressure of a strip on or above a slope",
    equation="q = c Nc ic gc + s Nq iq gq + 0.5 g B Ng ig gg; gq = gg = (1 - tan b)^2;"
    " gc = 1 - 2 b/(pi + 2) or gq - (1 - gq)/(Nc tan p); iq = ic = (1 - a/90)^2; ig = (1 - a/p)^2",
    source="FHWA GEC 6, 2002 (factors); Hansen, 1970 (slope); Meyerhof, 1953 (lean) (from memory)",
)
def bearing_pressure(
    friction: ArrayLike,
    cohesion: ArrayLike,
    unit_weight: ArrayLike,
    width: ArrayLike,
    surcharge: ArrayLike = 0.0,
    slope: ArrayLike = 0.0,
    lean: ArrayLike = 0.0,
) -> Array:
    """Give the pressure at which the ground under a long base fails; no factor is in it.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the ground, 0 to 50 deg. [rad]
    cohesion : (...) array
        Of the ground, >= 0. [Pa]
    unit_weight : (...) array
        Effective unit weight of the ground, > 0. [N/m3]
    width : (...) array
        Of the base that presses: less twice the eccentricity, > 0. [m]
    surcharge : (...) array
        Weight of soil beside the base (depth of its foot), >= 0. [Pa]
    slope : (...) array
        Fall of the ground before the base, 0 to less than 45 deg. [rad]
    lean : (...) array
        Of the load from the square on the base, 0 to less than 90 deg. [rad]

    Returns
    -------
    (...) array
        Ultimate. [Pa]

    Raises
    ------
    OutOfRange
        A negative weight, friction over 50 deg, ground at or over 45 deg or steeper than its
        friction angle where it has no cohesion.

    Notes
    -----
    A strip on dry ground. On ground without cohesion a load that leans more than the friction
    angle is not held: the figure is then 0. The slope as a whole is another check.
    """
    fitting(**locals())
    p, c = friction_angle(friction), at_least_zero("cohesion", cohesion)
    b, a = ground_slope(slope), at_least_zero("lean", lean)
    if (b >= np.radians(45)).any():
        raise OutOfRange("slope", "is 45 deg or more", "ask a geotechnical engineer")
    if np.any((b > p + 1e-12) & (c == 0)):
        raise OutOfRange(
            "slope",
            "is steeper than the friction angle of ground without cohesion: it does not stand",
            "flatten it, or ask a geotechnical engineer",
        )
    nc, nq, ng = bearing_factors(p)
    gq = (1 - np.tan(b)) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        gc = np.where(p > 1e-7, gq - (1 - gq) / (nc * np.tan(p)), 1 - 2 * b / (np.pi + 2))
        ig = np.where(p > 1e-7, np.maximum(1 - a / p, 0.0), (a == 0).astype(float)) ** 2
    iq = np.maximum(1 - a / (np.pi / 2), 0.0) ** 2
    q, w = at_least_zero("surcharge", surcharge), soil_weight(unit_weight)
    own = 0.5 * w * above_zero("width", width) * ng * ig * gq
    return np.asarray(c * nc * iq * np.maximum(gc, 0.0) + q * nq * iq * gq + own)


@method(
    title="Pressure under a base with an eccentric load",
    equation="e <= B/6: q = R/B (1 +- 6 e/B); e > B/6: q = 2 R/(3 x0); x0 = B/2 - e; mean R/(2 x0)",
    source="UFC 3-220-20 (2025) section 4-5.1; Meyerhof, 1953 (uniform pressure)",
)
def base_pressure(load: ArrayLike, width: ArrayLike, eccentricity: ArrayLike) -> BasePressure:
    """Give how one metre of a base presses on the ground.

    Parameters
    ----------
    load : (...) array
        Square to the base, per metre, > 0. [N/m]
    width : (...) array
        Of the base, > 0. [m]
    eccentricity : (...) array
        Of the load from the middle, towards the toe is positive, under half the width. [m]

    Returns
    -------
    toe, heel : (...) array
        Pressure at the two edges; 0 where the base lifts. [Pa]
    contact : (...) array
        Width that presses. [m]
    uniform : (...) array
        The load spread over the width less twice the eccentricity. [Pa]
    in_middle_third : (...) bool array
        No part of the base lifts. [-]

    Raises
    ------
    OutOfRange
        A load outside the base: it tips over.
    """
    fitting(**locals())
    r, b, e = np.broadcast_arrays(
        above_zero("load", load), above_zero("width", width), number("eccentricity", eccentricity)
    )
    off = np.abs(e)
    if (off >= b / 2).any():
        raise OutOfRange("eccentricity", "the load lies outside the base: it tips over", "widen it")
    x0 = b / 2 - off
    whole = off <= b / 6 * (1 + 1e-12)
    most = np.where(whole, r / b * (1 + 6 * off / b), 2 * r / (3 * x0))
    least = np.where(whole, r / b * (1 - 6 * off / b), 0.0)
    toe, heel = np.where(e >= 0, most, least), np.where(e >= 0, least, most)
    return BasePressure(toe, heel, np.where(whole, b, 3 * x0), np.asarray(r / (2 * x0)), whole)
