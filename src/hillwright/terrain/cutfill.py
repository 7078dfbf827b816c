"""Cut and fill between two grounds, split where they cross, so that none hides the other."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

SPLIT = "split at d = 0: cut = sum of A mean(d) where d > 0, fill = -sum where d < 0"


class CutFill(NamedTuple):
    """Earth to move, both ways."""

    cut: float
    fill: float
    net_cut: float
    volume: float
    plan_area: float


class SectionCutFill(NamedTuple):
    """Areas between a ground line and a grade line."""

    cut: float
    fill: float
    net_cut: float
    crossings: Array


def totals(cut: float, fill: float, area: float) -> CutFill:
    """Put cut, fill and plan area together."""
    cut, fill = max(cut, 0.0), max(fill, 0.0)
    return CutFill(cut, fill, cut - fill, cut + fill, area)


def split_at_zero(corners: Array, depths: Array) -> tuple[Array, Array]:
    """Cut triangles along the line where a depth given at their corners is zero.

    Parameters
    ----------
    corners : (k, 3, 2) array
        Corners in plan [m].
    depths : (k, 3) array
        Depth at each corner [m].

    Returns
    -------
    corners, depths : (j, 3, 2) and (j, 3) array
        Triangles none of which has depths of both signs, three for each one that is cut.
    """
    crossed = (depths.min(axis=1) < 0) & (depths.max(axis=1) > 0)
    if not crossed.any():
        return corners, depths
    c, d = corners[crossed], depths[crossed]
    # turn each so that its lone sign comes first; a zero corner sides with the pair
    sign = np.sign(d)
    lone_positive = (sign > 0).sum(axis=1) == 1
    alone = np.where(lone_positive, np.argmax(d, axis=1), np.argmin(d, axis=1))
    turn = (alone[:, None] + np.arange(3)) % 3
    rows = np.arange(len(c))[:, None]
    c, d = c[rows, turn], d[rows, turn]
    # a zero corner lets its share come out at that corner: a sliver of no area, which is harmless
    t = d[:, :1] / (d[:, :1] - d[:, 1:])
    cut = c[:, :1] + t[..., None] * (c[:, 1:] - c[:, :1])
    zero = np.zeros(len(c))
    parts = [
        ([c[:, 0], cut[:, 0], cut[:, 1]], [d[:, 0], zero, zero]),
        ([cut[:, 0], c[:, 1], c[:, 2]], [zero, d[:, 1], d[:, 2]]),
        ([cut[:, 0], c[:, 2], cut[:, 1]], [zero, d[:, 2], zero]),
    ]
    new_corners = [np.stack(p, axis=1) for p, _ in parts]
    new_depths = [np.stack(p, axis=1) for _, p in parts]
    return (
        np.concatenate([corners[~crossed], *new_corners]),
        np.concatenate([depths[~crossed], *new_depths]),
    )


def prisms(corners: Array, depths: Array) -> Array:
    """Cut, fill and plan area of each triangle after splitting: (j, 3)."""
    a = corners[:, 1] - corners[:, 0]
    b = corners[:, 2] - corners[:, 0]
    area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2
    earth = area * depths.mean(axis=1)
    return np.stack([np.maximum(earth, 0), np.maximum(-earth, 0), area], axis=1)


def _triangles(triangle_xy: ArrayLike, depths: ArrayLike) -> tuple[Array, Array]:
    xy, d = np.asarray(triangle_xy, float), np.asarray(depths, float)
    if xy.shape[-2:] != (3, 2) or xy.ndim not in (2, 3) or d.shape != xy.shape[:-1]:
        raise OutOfRange(
            "triangle_xy", f"shapes {xy.shape} and {d.shape}", "give three corners and three depths"
        )
    if not (np.isfinite(xy).all() and np.isfinite(d).all()):
        raise OutOfRange("triangle_xy", "a number is missing", "give x, y and depth of each corner")
    xy, d = xy.reshape(-1, 3, 2), d.reshape(-1, 3)
    first, second = xy[:, 1] - xy[:, 0], xy[:, 2] - xy[:, 0]
    twice = np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    size = np.abs(np.concatenate([first, second], axis=1)).max(axis=1)
    if (bad := twice <= 1e-12 * size**2).any():
        raise OutOfRange(
            f"triangle {int(np.flatnonzero(bad)[0]) + 1}",
            "its corners lie in one line",
            "give three corners with an area",
        )
    return xy, d


@method(
    title="Volume of a triangular prism with a sloping top",
    equation="V = A (d1 + d2 + d3) / 3",
    source="exact geometry",
)
def prism_volume(triangle_xy: ArrayLike, depths: ArrayLike) -> float:
    """Give the volume between triangles and a level plane, depths below it counted negative.

    Parameters
    ----------
    triangle_xy : (3, 2) or (m, 3, 2) array
        Corners in plan. [m]
    depths : (3,) or (m, 3) array
        Ground above the plane at each corner. [m]

    Returns
    -------
    float
        Sum over all triangles. [m3]

    Raises
    ------
    OutOfRange
        Not three corners with an area, or a number missing.
    """
    xy, d = _triangles(triangle_xy, depths)
    return float((prisms(xy, np.ones_like(d))[:, 2] * d.mean(axis=1)).sum())


@method(
    title="Cut and fill of triangles crossed by the zero line",
    equation=SPLIT,
    source="exact geometry",
)
def prism_cut_fill(triangle_xy: ArrayLike, depths: ArrayLike) -> CutFill:
    """Give cut and fill of triangles apart: a signed sum would hide the work.

    Parameters
    ----------
    triangle_xy : (3, 2) or (m, 3, 2) array
        Corners in plan. [m]
    depths : (3,) or (m, 3) array
        Ground above grade at each corner. [m]

    Returns
    -------
    cut : float
        Where the ground stands above grade. [m3]
    fill : float
        Where it lies below. [m3]
    net_cut : float
        Cut less fill. [m3]
    volume : float
        Cut and fill together: earth moved. [m3]
    plan_area : float
        Of the triangles. [m2]

    Raises
    ------
    OutOfRange
        Not three corners with an area, or a number missing.
    """
    cut, fill, area = prisms(*split_at_zero(*_triangles(triangle_xy, depths))).sum(axis=0)
    return totals(float(cut), float(fill), float(area))


@method(
    title="Cut and fill area of a section",
    equation="areas between ground and grade line, split where they cross",
    source="exact geometry",
)
def section_cut_fill(ground: ArrayLike, grade: ArrayLike) -> SectionCutFill:
    """Give the areas to cut and to fill between a ground line and a grade line.

    Parameters
    ----------
    ground : (n, 2) array
        Distance and height along the section, distances rising. [m]
    grade : (m, 2) array
        The same of the grade line, over at least the same distances. [m]

    Returns
    -------
    cut : float
        Ground above grade. [m2]
    fill : float
        Ground below grade. [m2]
    net_cut : float
        Cut less fill. [m2]
    crossings : (k,) array
        Distances where ground and grade cross. [m]

    Raises
    ------
    OutOfRange
        Fewer than 2 points, distances that do not rise, or a grade line that ends too early.
    """
    g, f = _line(ground, "ground"), _line(grade, "grade")
    if f[0, 0] > g[0, 0] or f[-1, 0] < g[-1, 0]:
        raise OutOfRange(
            "grade",
            f"runs from {f[0, 0]:g} to {f[-1, 0]:g} m only",
            f"give a grade line over the whole of the ground, {g[0, 0]:g} to {g[-1, 0]:g} m",
        )
    inside = f[(f[:, 0] > g[0, 0]) & (f[:, 0] < g[-1, 0]), 0]
    x = np.union1d(g[:, 0], inside)
    d = np.interp(x, *g.T) - np.interp(x, *f.T)
    scale = float(np.ptp(np.concatenate([g[:, 1], f[:, 1]])))
    d = np.where(np.abs(d) < 1e-13 * scale, 0.0, d)
    change = np.flatnonzero(d[:-1] * d[1:] < 0)
    share = d[change] / (d[change] - d[change + 1])
    crossings = x[change] + share * (x[change + 1] - x[change])
    x = np.insert(x, change + 1, crossings)
    d = np.insert(d, change + 1, 0.0)
    strips = np.diff(x) * (d[:-1] + d[1:]) / 2
    cut, fill = float(strips[strips > 0].sum()), float(-strips[strips < 0].sum()) + 0.0
    return SectionCutFill(cut, fill, cut - fill, crossings)


def _line(points: ArrayLike, where: str) -> Array:
    line = np.asarray(points, float)
    if line.ndim != 2 or line.shape[1] != 2 or len(line) < 2 or not np.isfinite(line).all():
        raise OutOfRange(where, "not a line", "give at least 2 pairs of distance and height")
    if (bad := np.diff(line[:, 0]) <= 0).any():
        i = int(np.flatnonzero(bad)[0]) + 2
        raise OutOfRange(
            f"{where}: point {i}", "not beyond the one before", "give rising distances"
        )
    return line
