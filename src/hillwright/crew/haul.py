"""The haul: from where the soil lies to every cell, and how far and how high that is."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.crew.given import at_least_zero
from hillwright.errors import OutOfRange


class Haul(NamedTuple):
    """The way from the pile to the cells, weighted by the loose soil that goes there."""

    volume: float  # loose [m3]
    mass: float  # as carried [kg]
    density: float  # loose [kg/m3]
    distance: float  # mean, along the ground [m]
    farthest: float  # to the farthest cell [m]
    rise: float  # mean, up from the pile; below 0 the pile lies above [m]
    highest: float  # to the highest cell [m]
    slope: float  # of the mean way [rad]


def haul_of(middles: Array, loose: Array, mass: Array, pile: Array) -> Haul:
    """Give the haul from a pile to n cells.

    Parameters
    ----------
    middles : (n, 3) array
        Middle of each cell [m].
    loose : (n,) array
        Loose soil for each [m3].
    mass : (n,) array
        The same as it is carried [kg].
    pile : (3,) array
        Where the soil lies [m].

    Raises
    ------
    OutOfRange
        No soil at all.
    """
    v = at_least_zero("loose", loose)
    total = float(v.sum())
    if total <= 0:
        raise OutOfRange("loose", "there is no soil to carry", "fill at least one cell")
    way = np.asarray(middles, float) - np.asarray(pile, float)
    far = np.linalg.norm(way, axis=1)
    w = v / total
    distance, rise = float((w * far).sum()), float((w * way[:, 2]).sum())
    there = v > 0
    heavy = float(np.asarray(mass, float).sum())
    return Haul(
        total,
        heavy,
        heavy / total,
        distance,
        float(far[there].max()),
        rise,
        float(way[there, 2].max()),
        float(np.arcsin(np.clip(rise / max(distance, 1e-9), -1, 1))),
    )
