"""Triangulated ground that honours every breakline."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.errors import SurveyError
from hillwright.terrain.breaklines import cut_segments
from hillwright.terrain.model import Tin

_ROUNDS = 40  # of splitting breaklines before they are called impossible
_SHORTEST = 1e-3  # piece of a breakline [m]


def delaunay(xy: Array) -> Index:
    """Triangulate points in plan.

    Parameters
    ----------
    xy : (n, 2) array
        Points, no two alike [m].

    Returns
    -------
    (m, 3) array
        Indices of the corners, counter-clockwise; none when all points are in one line.
    """
    found = shapely.delaunay_triangles(shapely.multipoints(xy))
    corners = shapely.get_coordinates(shapely.get_parts(found)).reshape(-1, 4, 2)[:, :3]
    return oriented(xy, index_of(xy, corners.reshape(-1, 2)).reshape(-1, 3))


def index_of(xy: Array, corners: Array) -> Index:
    """(k,) which of the points each corner is; corners carry the very numbers of the points."""
    key = xy[:, 0] + 1j * xy[:, 1]
    order = np.argsort(key)
    at = np.searchsorted(key[order], corners[:, 0] + 1j * corners[:, 1])
    return np.asarray(order[at])


def oriented(xy: Array, triangles: Index) -> Index:
    """Turn triangles counter-clockwise and drop those without area."""
    a, b, c = (xy[triangles[:, k]] for k in range(3))
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    turned = np.where(twice[:, None] < 0, triangles[:, ::-1], triangles)
    return np.asarray(turned[twice != 0])


def triangulate(
    xyz: Array,
    breaklines: Sequence[Sequence[int]] = (),
    sigma: Array | None = None,
    where: Sequence[str] = (),
) -> Tin:
    """Triangulate survey points so that no triangle reaches across a breakline.

    Breaklines are split, with heights in line, until every piece is an edge of the Delaunay
    triangulation; at a corner of the survey the pieces end on circles that lines at a sharp angle
    share, so that splitting ends there too.

    Parameters
    ----------
    xyz : (n, 3) array
        Survey points, no two alike in plan [m].
    breaklines : sequence of sequences of int
        Points along each line.
    sigma : (n,) array, optional
        Standard error of each height; used where breaklines cross [m].
    where : sequence of str
        Where each point was written down, for messages.

    Returns
    -------
    Tin
        The survey's own points come first.

    Raises
    ------
    SurveyError
        Breaklines at different heights cross, or they lie too close for any triangulation.
    """
    sigma = np.zeros(len(xyz)) if sigma is None else sigma
    where = where or tuple(f"point {i + 1}" for i in range(len(xyz)))
    points, segments = cut_segments(xyz, breaklines, sigma, where)
    corners = len(points)  # points where breaklines may meet
    for _ in range(_ROUNDS):
        triangles = delaunay(points[:, :2])
        missing = ~_are_edges(segments, triangles, len(points))
        if not missing.any():
            return Tin(frozen(points), frozen(triangles))
        split = _split_points(points, segments[missing], corners)
        halves = np.hypot(*(split - points[segments[missing, 0]])[:, :2].T)
        if (bad := halves < _SHORTEST).any():
            _refuse(points, segments[missing][bad][0], xyz, where)
        new = len(points) + np.arange(len(split))
        first = np.stack([segments[missing, 0], new], axis=1)
        second = np.stack([new, segments[missing, 1]], axis=1)
        segments = np.concatenate([segments[~missing], first, second])
        points = np.concatenate([points, split])
    _refuse(points, segments[missing][0], xyz, where)
    raise AssertionError("unreachable")


def _are_edges(segments: Index, triangles: Index, n: int) -> Mask:
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    edges, wanted = np.sort(edges, axis=1), np.sort(segments, axis=1)
    return np.asarray(np.isin(wanted[:, 0] * n + wanted[:, 1], edges[:, 0] * n + edges[:, 1]))


def _split_points(points: Array, segments: Index, corners: int) -> Array:
    a, b = points[segments[:, 0]], points[segments[:, 1]]
    length = np.hypot(*(b - a)[:, :2].T)
    # a piece that starts at a corner ends on a circle of a power of two about it
    shell = np.exp2(np.rint(np.log2(length / 2))) / length
    from_a, from_b = segments[:, 0] < corners, segments[:, 1] < corners
    t = np.where(from_a & ~from_b, shell, np.where(from_b & ~from_a, 1 - shell, 0.5))
    return np.asarray(a + t[:, None] * (b - a))


def _refuse(points: Array, segment: Index, xyz: Array, where: Sequence[str]) -> None:
    middle = points[segment, :2].mean(axis=0)
    nearest = where[int(np.argmin(((xyz[:, :2] - middle) ** 2).sum(axis=1)))]
    raise SurveyError(
        nearest,
        "breaklines lie so close together here that no triangles fit between them",
        "leave one of them out, or end it where it meets the other",
    )
