"""How well each rigid cell lies: its shape against a square box, and its base against the ground.

A cell's **base plane** is the plane midway between its two diagonals: each corner is off it by
the same distance, up and down in turn.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.model import Ground

_SAMPLES = 7  # along each side of the base, edges and the middle included
_AT_ONCE = 20_000  # cells sampled together: bounds the memory


class Measures(NamedTuple):
    """The n cells measured."""

    shear: Array  # (n,) departure from square [rad]
    twist: Array  # (n,) fourth corner off the plane of the other three [m]
    gap: Array  # (n,) deepest void under the base plane [m]
    hump: Array  # (n,) highest ground above the base plane [m]
    run_slope: Array  # (n,) fall of the base along the run, from horizontal [rad]
    cross_slope: Array  # (n,) fall of the base along the row to the right, from horizontal [rad]
    level_difference: Array  # (n,) upper left corner above the upper right one [m]
    normal: Array  # (n, 3) unit normal of the base plane, upward


def measure(corners: Array, surveyed: Ground) -> Measures:
    """Measure cells from their corners and the ground as it was surveyed.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Upper left, upper right, lower right, lower left [m].
    surveyed : Ground
        The ground before grading.

    Returns
    -------
    Measures
        One value for each cell; ``gap`` and ``hump`` are NaN where the ground ends.
    """
    left, right = corners[:, [0, 3]].mean(axis=1), corners[:, [1, 2]].mean(axis=1)
    upper, lower = corners[:, :2].mean(axis=1), corners[:, 2:].mean(axis=1)
    normal = base_normal(corners)
    gap, hump = seat(corners, normal, surveyed)
    return Measures(
        cell_shear(corners),
        cell_twist(corners),
        gap,
        hump,
        _fall(upper, lower),
        _fall(left, right),
        corners[:, 0, 2] - corners[:, 1, 2],
        normal,
    )


@method(
    title="Shear of a cell: departure of its corners from square",
    equation="shear = max_k |pi/2 - angle(c[k+1] - c[k], c[k-1] - c[k])|",
    source="exact geometry",
    symbols={"c": "corners", "k": "a corner, counted round the cell"},
)
def cell_shear(corners: Array) -> Array:
    """Give the shear of each cell.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Corners in order round the cell. [m]

    Returns
    -------
    (n,) array
        Largest departure of a corner from a right angle; not a number where two corners that
        follow each other are one. [rad]
    """
    ahead = np.roll(corners, -1, axis=-2) - corners
    back = np.roll(corners, 1, axis=-2) - corners
    cross = np.linalg.norm(np.cross(ahead, back), axis=-1)
    # the angle from its tangent: the arc cosine would lose half the digits near 0 and pi
    off = np.abs(np.arctan2((ahead * back).sum(axis=-1), cross)).max(axis=-1)
    apart = (ahead != 0).any(axis=-1).all(axis=-1)
    return np.asarray(np.where(apart, off, np.nan))


@method(
    title="Twist of a cell: its fourth corner off the plane of the other three",
    equation="twist = |(c2-c0) x (c3-c1) . (c1-c0)| / min_k |(c[k+1]-c[k]) x (c[k-1]-c[k])|",
    source="exact geometry",
    symbols={
        "c": "corners",
        "c0": "first corner",
        "c1": "second corner",
        "c2": "third corner",
        "c3": "fourth corner",
        "x": "vector product",
        "k": "a corner, counted round the cell",
    },
)
def cell_twist(corners: Array) -> Array:
    """Give the twist of each cell.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Corners in order round the cell. [m]

    Returns
    -------
    (n,) array
        Distance of a corner from the plane of the other three, the largest of the four; not a
        number for corners in one line. [m]
    """
    c = corners
    volume = np.cross(c[:, 2] - c[:, 0], c[:, 3] - c[:, 1]) * (c[:, 1] - c[:, 0])
    sides = np.cross(np.roll(c, -1, axis=1) - c, np.roll(c, 1, axis=1) - c)
    least = np.linalg.norm(sides, axis=2).min(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.abs(volume.sum(axis=1)) / least)


def base_normal(corners: Array) -> Array:
    """Give the upward unit normal (n, 3) of the base planes of cells (n, 4, 3)."""
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    normal *= np.where(normal[:, 2:] < 0, -1.0, 1.0)
    return np.asarray(normal / np.linalg.norm(normal, axis=1)[:, None])


def seat(corners: Array, normal: Array, surveyed: Ground) -> tuple[Array, Array]:
    """Give the deepest void under the base plane of each cell, and the highest ground above it.

    The ground is taken at 7 by 7 places under the base, its edges included, square to the plane.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Corners in order round the cell [m].
    normal : (n, 3) array
        Unit normals of the base planes.
    surveyed : Ground
        The ground before grading.

    Returns
    -------
    gap, hump : (n,) arrays
        Both at least 0 [m].
    """
    t = np.linspace(0.0, 1.0, _SAMPLES)
    across, along = (g.ravel() for g in np.meshgrid(t, t))
    weights = np.stack(
        ((1 - across) * (1 - along), across * (1 - along), across * along, (1 - across) * along)
    )
    gap, hump = np.empty(len(corners)), np.empty(len(corners))
    for i in range(0, len(corners), _AT_ONCE):
        some = slice(i, i + _AT_ONCE)
        x, y = (np.einsum("nk,ks->ns", corners[some, :, a], weights) for a in (0, 1))
        z = surveyed.at(x, y)[0]
        middle, up = corners[some].mean(axis=1), normal[some]
        above = (
            (x - middle[:, :1]) * up[:, :1]
            + (y - middle[:, 1:2]) * up[:, 1:2]
            + (z - middle[:, 2:]) * up[:, 2:]
        )
        gap[some], hump[some] = -above.min(axis=1), above.max(axis=1)
    return np.maximum(gap, 0.0), np.maximum(hump, 0.0)


@method(
    title="Bend between two clipped cells",
    equation="bend = angle(n1, n2) between the normals of their base planes",
    source="exact geometry",
    symbols={"n1": "normal", "n2": "normal of a cell that is clipped to it"},
)
def bend_between(normal: Array, pairs: Index) -> Array:
    """Give the angle by which clipped neighbours hinge.

    Parameters
    ----------
    normal : (n, 3) array
        Unit normals of the base planes of the cells. [-]
    pairs : (m, 2) array of int
        Which cells are clipped together, counted from 0. [-]

    Returns
    -------
    (m,) array
        Angle between their base planes; 0 when they lie in one plane. [rad]

    Raises
    ------
    OutOfRange
        A pair names a cell that is not there.
    """
    pairs = np.asarray(pairs, np.intp)
    if pairs.size and not (pairs.min() >= 0 and pairs.max() < len(normal)):
        raise OutOfRange("pairs", "names a cell that is not there", f"0 to {len(normal) - 1}")
    a, b = normal[pairs[:, 0]], normal[pairs[:, 1]]
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), (a * b).sum(axis=1)))


def sharpest(bend: Array, pairs: Index, count: int) -> Array:
    """Give for each of ``count`` cells the sharpest bend to a clipped neighbour; 0 with none."""
    most = np.zeros(count)
    np.maximum.at(most, pairs.ravel(), np.repeat(bend, 2))
    return most


def _fall(start: Array, end: Array) -> Array:
    """Give the angle below horizontal of the way from ``start`` to ``end``, (n, 3) each [rad]."""
    way = end - start
    return np.asarray(np.arctan2(-way[:, 2], np.hypot(way[:, 0], way[:, 1])))
