"""Loads while it is being built: people who stand on the cells."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.data import table
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, fitting, ground_slope
from hillwright.stability.sliding import GRAVITY


class People(NamedTuple):
    """Who may stand on the rows while they are built."""

    mass: float  # of one with tools and load [kg]
    factor: float  # for steps and jolts [-]


@cache
def people() -> People:
    """Give who may stand on the rows, from ``data/building.toml``."""
    found = table("building")["people"]
    return People(found["mass_lb"] * 0.45359237, found["dynamic_factor"])


@method(
    title="Pull of people standing on the cells",
    equation="T = n m g0 k sin b",
    source="statics; no friction is counted under them: common practice, no source",
)
def people_pull(
    mass: ArrayLike, number: ArrayLike, slope: ArrayLike, dynamic_factor: ArrayLike = 1.0
) -> Array:
    """Give how hard people on the cells pull down the slope.

    Parameters
    ----------
    mass : (...) array
        Of one, with tools and load, > 0. [kg]
    number : (...) array
        Of people, >= 0. [-]
    slope : (...) array
        Of the ground, 0 to less than pi/2. [rad]
    dynamic_factor : (...) array
        For steps and jolts, > 0. [-]

    Returns
    -------
    (...) array
        Down the slope. [N]

    Raises
    ------
    OutOfRange
        A mass of zero or less, a negative number, ground that is no slope.

    Notes
    -----
    For anchors and clips. It says nothing of whether people can stand there safely.
    """
    fitting(**locals())
    weight = above_zero("mass", mass) * GRAVITY * above_zero("dynamic_factor", dynamic_factor)
    return np.asarray(at_least_zero("number", number) * weight * np.sin(ground_slope(slope)))
