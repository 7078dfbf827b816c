"""Pushing, pulling, dragging: what people accept, and what a load on a slope asks for."""

from __future__ import annotations

from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.crew.given import GRAVITY, above_zero, at_least_zero, one_of, within
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.method import method

_SOURCE = "Potvin, Ciriello, Snook, Maynard and Brogmus, 2021, Ergonomics, the LM-MMH equations"
_EQUATION = "M = RL f1 f2 f3; accepted by a share p: M (1 - cv z_p)"
SEXES = ("male", "female")


class Accepted(NamedTuple):
    """Load or force that people accept, and its factors."""

    accepted: Array
    mean: Array
    first: Array
    second: Array
    third: Array
    frequency: Array


@method(title="Mass that people accept to lift, lower or carry", equation=_EQUATION, source=_SOURCE)
def accepted_mass(
    task: str,
    sex: str,
    frequency: ArrayLike,
    share: ArrayLike = 0.75,
    reach: ArrayLike = 0.38,
    middle: ArrayLike = 0.75,
    travel: ArrayLike = 0.5,
    height: ArrayLike = 0.8,
    distance: ArrayLike = 2.0,
) -> Accepted:
    """Give the mass that a share of people accepts over a working day.

    Parameters
    ----------
    task : str
        "lift", "lower" or "carry". [text]
    sex : str
        "male" or "female". [text]
    frequency : (...) array
        Times in a time: 1 in 8 h to 20 a minute. [1/s]
    share : (...) array, optional
        Of the people who accept it. [-]
    reach : (...) array, optional
        Lift, lower: horizontal distance of the hands. [m]
    middle : (...) array, optional
        Lift, lower: mean height of the hands over the lift. [m]
    travel : (...) array, optional
        Lift, lower: vertical distance. [m]
    height : (...) array, optional
        Carry: height of the hands. [m]
    distance : (...) array, optional
        Carry: how far. [m]

    Returns
    -------
    accepted : (...) array
        Mass that the share accepts. [kg]
    mean : (...) array
        Mean of what all accept. [kg]
    first, second, third : (...) array
        Factors: reach, middle and travel of a lift; height and distance of a carry, then 1. [-]
    frequency : (...) array
        Factor of the frequency. [-]

    Raises
    ------
    OutOfRange
        A word that is not among those, or a value outside the equations.
    """
    row = _row(one_of("task", task, ("lift", "lower", "carry")), sex, "initial")
    if row["task"] == "carry":
        first = _poly(row["height"], above_zero("height", height))
        second, third = _distance(row, distance), np.ones(())
    else:
        first = _poly(row["reach"], above_zero("reach", reach))
        second = _poly(row["middle"], above_zero("middle", middle))
        third = _log(row["travel_log"], above_zero("travel", travel))
    return _accepted(row, 1.0, first, second, third, frequency, share)


@method(title="Force that people accept to push or pull with", equation=_EQUATION, source=_SOURCE)
def accepted_force(
    task: str,
    sex: str,
    force: str,
    height: ArrayLike,
    distance: ArrayLike,
    frequency: ArrayLike,
    share: ArrayLike = 0.75,
) -> Accepted:
    """Give the two-handed force that a share of people accepts over a working day.

    Parameters
    ----------
    task : str
        "push" or "pull". [text]
    sex : str
        "male" or "female". [text]
    force : str
        "initial" to get the load moving, or "sustained" to keep it so. [text]
    height : (...) array
        Of the hands. [m]
    distance : (...) array
        That the load is moved. [m]
    frequency : (...) array
        Times in a time: 1 in 8 h to 20 a minute. [1/s]
    share : (...) array, optional
        Of the people who accept it. [-]

    Returns
    -------
    accepted : (...) array
        Force that the share accepts. [N]
    mean : (...) array
        Mean of what all accept. [N]
    first, second, third : (...) array
        Factors: height, distance, then 1. [-]
    frequency : (...) array
        Factor of the frequency. [-]

    Raises
    ------
    OutOfRange
        A word that is not among those, or a value outside the equations.

    Notes
    -----
    Level ground: what a slope adds belongs to the force that is needed. Two people do not give
    twice the force of one.
    """
    row = _row(
        one_of("task", task, ("push", "pull")),
        sex,
        one_of("force", force, ("initial", "sustained")),
    )
    first = _poly(row["height"], above_zero("height", height))
    second = _distance(row, distance)
    return _accepted(row, GRAVITY, first, second, np.ones(()), frequency, share)


def _row(task: str, sex: str, force: str) -> dict[str, Any]:
    who = one_of("sex", sex, SEXES)
    found: list[dict[str, Any]] = table("pulling")["lm"]
    return next(r for r in found if (r["task"], r["sex"], r["force"]) == (task, who, force))


def _poly(c: list[float], x: Array) -> Array:
    return np.asarray(c[0] + x / c[1] + (x**2 / c[2] if len(c) > 2 else 0.0))


def _log(c: list[float], x: Array) -> Array:
    n = np.log(x)
    return np.asarray(c[0] - n / c[1] - (n**2 / c[2] if len(c) > 2 else 0.0))


def _distance(row: dict[str, Any], distance: ArrayLike) -> Array:
    d = above_zero("distance", distance)
    return _log(row["distance_log"], d) if "distance_log" in row else _poly(row["distance"], d)


def _accepted(
    row: dict[str, Any],
    unit: float,
    first: Array,
    second: Array,
    third: Array,
    frequency: ArrayLike,
    share: ArrayLike,
) -> Accepted:
    known = table("pulling")["lm_source"]
    f = above_zero("frequency", frequency) * 60
    least, most = known["least_per_min"], known["most_per_min"]
    if ((f < least * 0.99) | (f > most * (1 + 1e-9))).any():
        raise OutOfRange(
            "frequency", "outside the equations", "give once in 8 hours to 20 times a minute"
        )
    part = within("share", share, 0.01, 0.99, "give a share such as 75 %")
    z = np.vectorize(NormalDist().inv_cdf, otypes=[float])(part)
    often = _log(row["frequency_log"], f)
    for factor in (first, second, third, often):
        if (factor <= 0).any():
            raise OutOfRange(
                row["task"], "a height or distance outside the equations", "bring it nearer"
            )
    mean = unit * row["reference"] * first * second * third * often
    accepted = np.maximum(mean * (1 - row["variation"] * z), 0.0)
    shape = np.shape(accepted)
    factors = (np.array(np.broadcast_to(v, shape)) for v in (mean, first, second, third, often))
    return Accepted(np.asarray(accepted), *factors)


@method(
    title="Pull that drags a load up a slope",
    equation="T = W (sin a + mu cos a)/(cos b + mu sin b), b of the rope above the slope",
    source="statics, closed form",
)
def drag_force(
    load: ArrayLike, slope: ArrayLike, friction: ArrayLike, rope: ArrayLike = 0.0
) -> Array:
    """Give the pull along a rope.

    Parameters
    ----------
    load : (...) array
        Mass of what is dragged. [kg]
    slope : (...) array
        Of the ground, uphill; below 0 it goes down. [rad]
    friction : (...) array
        Between load and ground. [-]
    rope : (...) array, optional
        Angle of the rope above the slope. [rad]

    Returns
    -------
    (...) array
        Pull; below 0 the load must be held back. [N]

    Raises
    ------
    OutOfRange
        A mass or friction below 0, or a slope or rope that stands upright.
    """
    a = within("slope", slope, -np.pi / 2 + 1e-9, np.pi / 2 - 1e-9, "give less than 90 deg")
    b = within("rope", rope, -np.pi / 4, np.pi / 2 - 1e-9, "give less than 90 deg")
    mu = at_least_zero("friction", friction)
    along = np.cos(b) + mu * np.sin(b)
    if (along <= 1e-9).any():
        raise OutOfRange("rope", "pulls the load into the ground", "pull along the slope or above")
    w = at_least_zero("load", load) * GRAVITY
    return np.asarray(w * (np.sin(a) + mu * np.cos(a)) / along)


class Rolling(NamedTuple):
    """Force on a wheeled load."""

    level: Array
    slope: Array
    total: Array


@method(
    title="Force that moves a wheeled load up a ramp",
    equation="F = W sin(a) + mu W cos(a); on the level mu W",
    source="statics, closed form; as the HSE's brief guide to pushing and pulling on slopes",
)
def rolling_force(load: ArrayLike, slope: ArrayLike, rolling: ArrayLike = 0.02) -> Rolling:
    """Give the force to keep a wheeled load moving.

    Parameters
    ----------
    load : (...) array
        Mass. [kg]
    slope : (...) array
        Of the ramp. [rad]
    rolling : (...) array, optional
        Rolling resistance as a share of the weight: 0.02 on a good floor, 0.1 to 0.3 in loose
        soil. [-]

    Returns
    -------
    level : (...) array
        On level ground. [N]
    slope : (...) array
        What the ramp adds by its rise. [N]
    total : (...) array
        On the ramp. [N]

    Raises
    ------
    OutOfRange
        A mass or resistance below 0, or an upright ramp.
    """
    a = within("slope", slope, 0.0, np.pi / 2 - 1e-9, "give 0 to less than 90 deg")
    w = at_least_zero("load", load) * GRAVITY
    mu = at_least_zero("rolling", rolling)
    total = w * np.sin(a) + mu * w * np.cos(a)
    rise = np.broadcast_to(w * np.sin(a), total.shape)
    return Rolling(np.array(np.broadcast_to(mu * w, total.shape)), np.array(rise), total)


@method(
    title="People on a haul rope",
    equation="n = ceil(T/(MA e each)), MA of the tackle, e its efficiency",
    source="closed form; 30 lbf each for a long haul: rope rescue planning values",
)
def haulers(
    pull: ArrayLike, each: ArrayLike, advantage: ArrayLike = 1.0, efficiency: ArrayLike = 1.0
) -> Index:
    """Give how many people must pull.

    Parameters
    ----------
    pull : (...) array
        Needed at the load. [N]
    each : (...) array
        What one of them sustains. [N]
    advantage : (...) array, optional
        Of the tackle, 1 for a plain rope; the rope runs as many times the way. [-]
    efficiency : (...) array, optional
        Share that is left after the sheaves and edges. [-]

    Returns
    -------
    (...) array of int
        People; at least 1 where there is anything to pull. [-]

    Raises
    ------
    OutOfRange
        A pull below 0, or a force, advantage or efficiency of 0 or less.
    """
    t = at_least_zero("pull", pull)
    one = above_zero("each", each) * above_zero("advantage", advantage)
    n = t / (one * within("efficiency", efficiency, 1e-3, 1.0, "give a share of 1 at most"))
    return np.asarray(np.ceil(n - 1e-9 * np.maximum(n, 1)), np.intp)


def guideline(action: str) -> float:
    """Give what the HSE's filter allows a mixed crew, for "stop or start" or "keep" [N]."""
    found = table("pulling")["guideline"]
    row = next(r for r in found["rows"] if r[0].startswith(action))
    return float(min(row[1:])) * GRAVITY


def sustained_pull(distance: float, frequency: float, height: float = 1.0) -> float:
    """Give the pull that a mixed crew's member sustains: 75 % of women or 90 % of men [N].

    Where the haul is longer than the equations were made for, it is taken at 60 m.
    """
    d = min(max(distance, 2.1), 60.0)
    woman = accepted_force("pull", "female", "sustained", height, d, frequency, 0.75).accepted
    man = accepted_force("pull", "male", "sustained", height, d, frequency, 0.90).accepted
    return float(min(float(woman), float(man)))


def friction_range(pair: str) -> tuple[float, float]:
    """Give the low and high friction of a pair of the planning table."""
    found = table("pulling")["friction"]
    row = next(r for r in found["rows"] if r[0] == pair)
    return float(row[1]), float(row[2])
