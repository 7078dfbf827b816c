"""Loads while it is being built: rows hung empty, filled from the bottom up, people on them."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.data import table
from hillwright.method import method
from hillwright.stability.clipload import clip_loads
from hillwright.stability.given import above_zero, at_least_zero, fitting, ground_slope
from hillwright.stability.sliding import GRAVITY


class People(NamedTuple):
    """Who may stand on the rows while they are built."""

    mass: float  # of one with tools and load [kg]
    factor: float  # for steps and jolts [-]
    number: int  # on one line of cells between two anchored rows


class BuildingLoads(NamedTuple):
    """The worst while building: s states, from all rows empty to all filled."""

    filled: Index  # (s,) rows filled, from the bottom
    anchor: Array  # (s,) most on the anchors of one cell, people included [N]
    pair: Array  # (s,) most through one clipped pair, people included [N]
    anchors: Array  # (n,) most on each anchored cell over all states [N]
    pairs: Array  # (m,) most through each pair over all states [N]


@cache
def people() -> People:
    """Give who may stand on the rows, from ``data/building.toml``."""
    found = table("building")["people"]
    return People(found["mass_lb"] * 0.45359237, found["dynamic_factor"], found["number"])


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


def building_loads(
    row: Index,
    number: Index,
    clips: Index,
    anchored: Mask,
    empty: Array,
    filled: Array,
    standing: float,
) -> BuildingLoads:
    """Give the worst on clips and anchors while rows are filled from the bottom up.

    Parameters
    ----------
    row, number, clips, anchored
        As :func:`hillwright.stability.clipload.clip_loads` takes them.
    empty, filled : (n,) array
        Net pull of each cell hung empty, and filled [N].
    standing : float
        Pull of all the people that may stand on one line of cells, >= 0 [N].

    Returns
    -------
    BuildingLoads
        People are added in full to every anchor and every pair: none carries more of them than
        all.
    """
    levels = np.unique(row)[::-1]
    # state k has the k lowest rows filled
    rank = np.searchsorted(-levels, -np.asarray(row))
    states = np.arange(len(levels) + 1)
    pull = np.where(rank < states[:, None], filled, empty)
    found = clip_loads(row, number, clips, anchored, pull)
    more = float(at_least_zero("standing", standing))
    anchor, pair = np.where(anchored, found.anchor + more, 0.0), found.pair + more
    return BuildingLoads(
        states,
        anchor.max(axis=1, initial=0.0),
        pair.max(axis=1, initial=0.0),
        anchor.max(axis=0, initial=0.0),
        pair.max(axis=0, initial=0.0),
    )
