"""What stands in the sun: walls and fences as straight screens, tree crowns as ellipsoids.

Each is told as a band of angles, from its lower to its upper edge, in every direction from every
place: what the sun's own place in the sky is then held against.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.planting import given
from hillwright.planting.horizon import BELOW


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """A wall, fence or hedge: a line on the ground with a height."""

    name: str
    line: Array  # (k, 3) its foot [m]
    height: float  # [m]
    passes: float = 0.0  # share of the light that comes through [-]


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """A tree, shrub or any round thing with a crown."""

    name: str
    foot: Array  # (3,) [m]
    height: float  # [m]
    spread: float  # of the crown [m]
    clear: float = 0.0  # from the ground to the crown [m]
    passes: float = 0.0  # share of the light that comes through [-]


class Band(NamedTuple):
    """From where to where a thing hides the sky; an upper edge at or under the lower hides none."""

    lower: Array
    upper: Array


@method(
    title="What a straight wall hides",
    equation="tan(h) = (z_top - z0) / r, r and z_top where the line of sight crosses the wall",
    source="exact geometry",
)
def wall_band(
    place: ArrayLike, start: ArrayLike, end: ArrayLike, height: float, bearing: ArrayLike
) -> Band:
    """Give the band of angles that one straight stretch of wall hides.

    Parameters
    ----------
    place : (n, 3) array
        The eyes: x, y, z. [m]
    start, end : (3,) array
        Foot of the wall at its two ends: x, y, z. [m]
    height : float
        Of the wall over its foot, upright. [m]
    bearing : (m,) array
        Directions, clockwise from +y. [rad]

    Returns
    -------
    lower, upper : (n, m) array
        Edges of the band; both -90 degrees where the wall is not met. What lies under a wall is
        ground. [rad]
    """
    p, a = np.atleast_2d(np.asarray(place, float)), np.asarray(start, float)
    run = np.asarray(end, float) - a
    if np.hypot(run[0], run[1]) == 0:
        raise OutOfRange("end", "is at the same place as start", "give the wall a length")
    tall = float(given.at_least_zero("height", height))
    turn = np.atleast_1d(np.asarray(bearing, float))
    sx, sy = np.sin(turn), np.cos(turn)
    to = a[:2] - p[:, :2]  # (n, 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        across = sx * run[1] - sy * run[0]  # (m,)
        r = (to[:, :1] * run[1] - to[:, 1:] * run[0]) / across
        share = (to[:, :1] * sy - to[:, 1:] * sx) / across
        top = a[2] + share * run[2] + tall
        upper = np.arctan2(top - p[:, 2:], r)
    met = (r > 0) & (share >= -1e-12) & (share <= 1 + 1e-12) & (upper > BELOW)
    upper = np.where(met, upper, BELOW)
    return Band(np.full(upper.shape, BELOW), np.asarray(upper))


@method(
    title="What a tree's crown hides",
    equation="tangents from the eye to the ellipse in which the upright plane of sight cuts an "
    "ellipsoid of the crown's spread and height",
    source="exact geometry",
)
def crown_band(
    place: ArrayLike,
    foot: ArrayLike,
    height: float,
    spread: float,
    bearing: ArrayLike,
    clear: float = 0.0,
) -> Band:
    """Give the band of angles that a crown hides: an ellipsoid between ``clear`` and ``height``.

    Parameters
    ----------
    place : (n, 3) array
        The eyes: x, y, z. [m]
    foot : (3,) array
        Of the stem: x, y, z. [m]
    height, spread : float
        Of the tree over its foot, and of its crown. [m]
    bearing : (m,) array
        Directions, clockwise from +y. [rad]
    clear : float
        From the foot to the crown's lower edge. [m]

    Returns
    -------
    lower, upper : (n, m) array
        Edges of the band; both -90 degrees where the crown is not met. [rad]

    Notes
    -----
    The stem hides nothing. From inside the crown the whole sky is hidden.
    """
    p, f = np.atleast_2d(np.asarray(place, float)), np.asarray(foot, float)
    tall = float(given.at_least_zero("height", height))
    low = float(given.within("clear", clear, 0.0, tall, "the crown ends below the tree's top"))
    wide = float(given.at_least_zero("spread", spread)) / 2
    deep = (tall - low) / 2
    turn = np.atleast_1d(np.asarray(bearing, float))
    to = f[:2] - p[:, :2]
    lower, upper = (np.full((len(p), len(turn)), BELOW) for _ in range(2))
    if wide <= 0 or deep <= 0:
        return Band(lower, upper)
    aside = to[:, :1] * np.cos(turn) - to[:, 1:] * np.sin(turn)  # (n, m)
    cut = 1 - (aside / wide) ** 2
    met = np.nonzero(cut > 0)  # from far off, a few directions only
    i, j = met
    along = to[i, 0] * np.sin(turn)[j] + to[i, 1] * np.cos(turn)[j]
    rise = (f[2] + low + deep - p[:, 2])[i]
    with np.errstate(divide="ignore", invalid="ignore"):
        scale = np.sqrt(cut[met])
        a, c = wide * scale, deep * scale
        u, v = along / a, rise / c
        far = np.hypot(u, v)
        inside = far <= 1
        middle, half = np.arctan2(v, u), np.arcsin(np.minimum(1 / far, 1.0))

        def angle(t: Array) -> Array:
            # a tangent that points backwards is cut off straight up or down
            t = np.clip(t, -np.pi / 2, np.pi / 2)
            return np.asarray(np.arctan2(c * np.sin(t), a * np.cos(t)))

        ends = angle(middle - half), angle(middle + half)
    # a crown behind the eye is not met in this direction, but one overhead reaches over it
    there = inside | (np.cos(middle - half) > 1e-12) | (np.cos(middle + half) > 1e-12)
    lower[met] = np.where(there & ~inside, ends[0], BELOW)
    upper[met] = np.where(there, np.where(inside, np.pi / 2, ends[1]), BELOW)
    return Band(lower, upper)


def wall_bands(place: Array, wall: Wall, bearing: Array) -> Band:
    """Give the band of a wall of several straight stretches: the highest of them counts."""
    bands = [
        wall_band(place, a, b, wall.height, bearing)
        for a, b in zip(wall.line[:-1], wall.line[1:], strict=True)
    ]
    return Band(bands[0].lower, np.max([b.upper for b in bands], axis=0))


def tree_band(place: Array, tree: Tree, bearing: Array) -> Band:
    """Give the band of a tree's crown."""
    return crown_band(place, tree.foot, tree.height, tree.spread, bearing, tree.clear)
