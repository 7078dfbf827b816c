"""What walking, climbing and carrying cost the body, and the rest that it asks for.

The older equations were fitted to gentle grades and underestimate loads; outside their range the
plan says so, and the part of the load is raised by a factor.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.given import KCAL_MIN, above_zero, at_least_zero, rows, within
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.method import method

PANDOLF_STEEPEST = np.arctan(0.25)  # [rad]
PANDOLF_SPEEDS = (0.7, 1.8)  # [m/s]
LCDA_GRADES = (np.arctan(-0.40), np.arctan(0.45))  # [rad]


@method(
    title="Metabolic rate of walking with a load (Pandolf)",
    equation="M = 1.5 W + k [2.0 (W + L)(L/W)^2 + eta (W + L)(1.5 V^2 + 0.35 V G) - m0] + m0, "
    "m0 the same without load; k = 1 as published; G in percent",
    source="Pandolf, Givoni and Goldman, 1977, J Appl Physiol 43(4):577-581 (from memory)",
)
def pandolf(
    body: ArrayLike,
    load: ArrayLike,
    speed: ArrayLike,
    slope: ArrayLike = 0.0,
    terrain: ArrayLike = 1.0,
    load_factor: ArrayLike = 1.0,
) -> Array:
    """Give the power that walking costs, standing included.

    Parameters
    ----------
    body : (...) array
        Mass of the person. [kg]
    load : (...) array
        Mass that is carried. [kg]
    speed : (...) array
        Of the walk, along the ground. [m/s]
    slope : (...) array, optional
        Uphill, 0 or more. [rad]
    terrain : (...) array, optional
        Terrain factor: 1.0 paved to 2.1 loose sand. [-]
    load_factor : (...) array, optional
        What the part of the load is multiplied by; 1 is the equation as published. [-]

    Returns
    -------
    (...) array
        Power. [W]

    Raises
    ------
    OutOfRange
        A body of no mass, a negative load, speed or slope.

    Notes
    -----
    Fitted to 0 to 25 % grade and 0.7 to 1.8 m/s.
    """
    w, v = above_zero("body", body), at_least_zero("speed", speed)
    kg = at_least_zero("load", load)
    g = 100 * np.tan(within("slope", slope, 0.0, np.pi / 2 - 1e-6, "give uphill slopes"))
    eta = above_zero("terrain", terrain)
    move = eta * (1.5 * v**2 + 0.35 * v * g)
    bare = 1.5 * w + w * move
    carried = 2.0 * (w + kg) * (kg / w) ** 2 + kg * move
    return np.asarray(bare + carried * above_zero("load_factor", load_factor))


@method(
    title="Metabolic rate of walking without a load (LCDA, graded)",
    equation="M/W = 1.44 + 1.94 S^0.43 + 0.24 S^4 + 0.34 S G (1 - 1.05^(1 - 1.1^(G + 32)))",
    source="Looney et al., 2019, Med Sci Sports Exerc 51(4) and 51(9):1954-1960 (from memory)",
)
def lcda(speed: ArrayLike, slope: ArrayLike = 0.0) -> Array:
    """Give the power of walking up or down, per body mass.

    Parameters
    ----------
    speed : (...) array
        Along the ground. [m/s]
    slope : (...) array, optional
        Uphill; downhill below 0. [rad]

    Returns
    -------
    (...) array
        Power per body mass. [W/kg]

    Raises
    ------
    OutOfRange
        A negative speed or an upright slope.

    Notes
    -----
    Speeds to 1.96 m/s, grades of -40 to +45 %; standard error 0.42 W/kg.
    """
    s = at_least_zero("speed", speed)
    g = 100 * np.tan(within("slope", slope, -np.pi / 2 + 1e-6, np.pi / 2 - 1e-6))
    with np.errstate(over="ignore"):
        grade = 0.34 * s * g * (1 - 1.05 ** (1 - 1.1 ** (g + 32)))
    return np.asarray(1.44 + 1.94 * s**0.43 + 0.24 * s**4 + grade)


@method(
    title="Cost of walking against slope (Minetti)",
    equation="Cw = 280.5 i^5 - 58.7 i^4 - 76.8 i^3 + 51.9 i^2 + 19.6 i + 2.5, i the tangent",
    source="Minetti et al., 2002, J Appl Physiol 93:1039-1046 (from memory)",
)
def minetti(slope: ArrayLike) -> Array:
    """Give the energy of walking a metre, per body mass, above standing.

    Parameters
    ----------
    slope : (...) array
        Uphill; downhill below 0. [rad]

    Returns
    -------
    (...) array
        Energy per body mass and distance along the ground. [J/kg/m]

    Raises
    ------
    OutOfRange
        An upright slope.

    Notes
    -----
    Measured from -45 to +45 %.
    """
    i = np.tan(within("slope", slope, -np.pi / 2 + 1e-6, np.pi / 2 - 1e-6))
    return np.asarray(280.5 * i**5 - 58.7 * i**4 - 76.8 * i**3 + 51.9 * i**2 + 19.6 * i + 2.5)


@method(
    title="Walking speed against slope (Tobler)",
    equation="v = 6 exp(-3.5 |S + 0.05|) km/h, S rise over run; off path 0.6 of it",
    source="Tobler, 1993, hiking function (from memory)",
)
def tobler(slope: ArrayLike, off_path: bool = False) -> Array:
    """Give the speed of a walk without a load.

    Parameters
    ----------
    slope : (...) array
        Uphill; downhill below 0. [rad]
    off_path : bool, optional
        On rough ground. [-]

    Returns
    -------
    (...) array
        Speed. [m/s]

    Raises
    ------
    OutOfRange
        An upright slope.
    """
    s = np.tan(within("slope", slope, -np.pi / 2 + 1e-6, np.pi / 2 - 1e-6))
    return np.asarray(6 / 3.6 * np.exp(-3.5 * np.abs(s + 0.05)) * (0.6 if off_path else 1.0))


@method(
    title="Time of a climb (Naismith)",
    equation="t = d/v + h/c; 5 km/h and 600 m/h",
    source="Naismith's rule (from memory)",
)
def naismith(
    horizontal: ArrayLike,
    ascent: ArrayLike,
    speed: ArrayLike = 5 / 3.6,
    climb: ArrayLike = 600 / 3600,
) -> Array:
    """Give the time of a walk uphill.

    Parameters
    ----------
    horizontal : (...) array
        Level distance. [m]
    ascent : (...) array
        Height gained. [m]
    speed : (...) array, optional
        On the level. [m/s]
    climb : (...) array, optional
        Height gained in a time. [m/s]

    Returns
    -------
    (...) array
        Time. [s]

    Raises
    ------
    OutOfRange
        A distance below 0, or a speed of 0 or less.
    """
    d, h = at_least_zero("horizontal", horizontal), at_least_zero("ascent", ascent)
    return np.asarray(d / above_zero("speed", speed) + h / above_zero("climb", climb))


@method(
    title="Rest allowance of heavy work (Murrell)",
    equation="R = T (K - S)/(K - K_rest), 0 where K <= S",
    source="Murrell, 1965, Human Performance in Industry (from memory)",
)
def rest_time(
    work: ArrayLike,
    power: ArrayLike,
    limit: ArrayLike = 4.0 * KCAL_MIN,
    resting: ArrayLike = 1.5 * KCAL_MIN,
) -> Array:
    """Give how much of the time must be rest.

    Parameters
    ----------
    work : (...) array
        Whole time, rest included. [s]
    power : (...) array
        That the work costs. [W]
    limit : (...) array, optional
        That can be kept up: 4 kcal/min for a mixed crew, 5 for men. [W]
    resting : (...) array, optional
        That rest costs. [W]

    Returns
    -------
    (...) array
        Time to rest. [s]

    Raises
    ------
    OutOfRange
        A time below 0, a power of 0 or less, or a limit no higher than rest.
    """
    t, k = at_least_zero("work", work), above_zero("power", power)
    s, r = above_zero("limit", limit), above_zero("resting", resting)
    if (s <= r).any():
        raise OutOfRange("limit", "is no higher than rest", "give more than resting costs")
    with np.errstate(divide="ignore", invalid="ignore"):
        found = t * (k - s) / (k - r)
    return np.asarray(np.where(k > s, found, 0.0))


@method(
    title="Time of a round with the rest that it asks for",
    equation="T = sum t_i + max(0, sum t_i (M_i - limit)/(limit - rest))",
    source="derived: the mean power over work and rest is the limit of the day",
)
def paced(
    times: ArrayLike,
    powers: ArrayLike,
    limit: float = 3.1 * KCAL_MIN,
    resting: float = 1.5 * KCAL_MIN,
) -> Array:
    """Give how long a round takes if its mean power is to stay within a limit.

    Parameters
    ----------
    times : (k, ...) array
        Of the parts of the round. [s]
    powers : (k, ...) array
        That each costs. [W]
    limit : float, optional
        Mean that can be kept up all day; 3.1 kcal/min for a mixed crew. [W]
    resting : float, optional
        That rest costs. [W]

    Returns
    -------
    (...) array
        Length of the round with its rest. [s]

    Raises
    ------
    OutOfRange
        Times or powers below 0, or a limit no higher than rest.
    """
    t, m = at_least_zero("times", times), at_least_zero("powers", powers)
    if not limit > resting > 0:
        raise OutOfRange("limit", "is no higher than rest", "give more than resting costs")
    over = (t * (m - limit)).sum(axis=0) / (limit - resting)
    return np.asarray(t.sum(axis=0) + np.maximum(over, 0.0))


def terrain_factor(name: str) -> float:
    """Give the terrain factor of a row of the table."""
    found = {r["terrain"]: float(r["eta"]) for r in rows("energy", "terrain")}
    if name not in found:
        raise OutOfRange("terrain", f'"{name}" is not known', f"known are {', '.join(found)}")
    return found[name]


def day_limit() -> tuple[float, float]:
    """Give the mean power of a working day for a mixed crew, and that of rest [W]."""
    limits = table("energy")["limits"]
    return limits["day_kcal_min"] * KCAL_MIN, limits["rest_kcal_min"] * KCAL_MIN
