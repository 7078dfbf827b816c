"""Cut and fill between surfaces and triangulations, split where they cross."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.cutfill import SPLIT, CutFill, prisms, split_at_zero, totals
from hillwright.terrain.model import Ground
from hillwright.terrain.outlines import ring_of
from hillwright.terrain.quadrature import gauss_points, integrate, triangles_of
from hillwright.terrain.tin import delaunay

# depth of one ground above another: the triangles asked about (k, 3, ...), x, y (k, m) -> (k, m)
Depth = Callable[[Array, Array, Array], Array]


@method(
    title="Cut and fill between two surfaces over an outline",
    equation="cut = integral of max(existing - graded, 0) dx dy, fill = that of the other sign",
    source="exact geometry",
)
def cut_fill_between(
    existing: Ground, graded: Ground, outline: ArrayLike, tolerance: float = 1e-7
) -> CutFill:
    """Give the earth to move between the ground as it is and as graded.

    Parameters
    ----------
    existing, graded : Ground
        Heights over the plan. [surface]
    outline : (k, 2) or (4,) array
        Corners in plan, or a rectangle as x0, y0, x1, y1. [m]
    tolerance : float
        Relative error allowed. [-]

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
        Of the outline. [m2]

    Raises
    ------
    OutOfRange
        An outline that crosses itself or has no area; a surface not defined all over it.

    Notes
    -----
    Exact between planes; elsewhere refined until it stands still.
    """
    corners = triangles_of(ring_of(outline))

    def depth(_: Array, x: Array, y: Array) -> Array:
        return np.asarray(existing.at(x, y)[0] - graded.at(x, y)[0])

    return _integrated(depth, corners, tolerance)


@method(
    title="Cut and fill between triangulated ground and a surface",
    equation="cut = integral of max(z_tin - z_surface, 0) dx dy, fill = that of the other sign",
    source="exact geometry",
)
def tin_to_surface(xyz: ArrayLike, surface: Ground, triangles: ArrayLike | None = None) -> CutFill:
    """Give the earth between triangulated points and a surface below or above them.

    Parameters
    ----------
    xyz : (n, 3) array
        Points of the ground, at least 3. [m]
    surface : Ground
        Height to compare with. [surface]
    triangles : (m, 3) int array, optional
        Indices of corners from 0; left out, a Delaunay triangulation in plan. [-]

    Returns
    -------
    cut : float
        Where the points stand above the surface. [m3]
    fill : float
        Where they lie below. [m3]
    net_cut : float
        Cut less fill. [m3]
    volume : float
        Cut and fill together. [m3]
    plan_area : float
        Of the triangles. [m2]

    Raises
    ------
    OutOfRange
        Fewer than 3 points, points in one line, or a surface not defined all over them.
    """
    points = _points(xyz, "xyz")
    corners = points[_indices(points, triangles, "triangles")]

    def depth(triangles: Array, x: Array, y: Array) -> Array:
        return _plane_height(triangles, np.stack([x, y], axis=-1)) - surface.at(x, y)[0]

    return _integrated(depth, _upward(corners), 1e-8)


@method(
    title="Cut and fill between two triangulated grounds",
    equation="overlay of the triangles; on each common part " + SPLIT,
    source="exact geometry",
)
def tin_difference(
    existing: ArrayLike,
    graded: ArrayLike,
    existing_triangles: ArrayLike | None = None,
    graded_triangles: ArrayLike | None = None,
) -> CutFill:
    """Give the earth between two triangulations, exactly, where both cover the plan.

    Parameters
    ----------
    existing, graded : (n, 3) and (m, 3) array
        Points of the two grounds, at least 3 each. [m]
    existing_triangles, graded_triangles : (k, 3) int array, optional
        Indices of corners from 0; left out, Delaunay triangulations in plan. [-]

    Returns
    -------
    cut : float
        Where the existing ground stands above the graded. [m3]
    fill : float
        Where it lies below. [m3]
    net_cut : float
        Cut less fill. [m3]
    volume : float
        Cut and fill together. [m3]
    plan_area : float
        Covered by both. [m2]

    Raises
    ------
    OutOfRange
        Fewer than 3 points, points in one line, or two grounds that have no place in common.
    """
    first, second = _points(existing, "existing"), _points(graded, "graded")
    a = first[_indices(first, existing_triangles, "existing_triangles")]
    b = second[_indices(second, graded_triangles, "graded_triangles")]
    polygons_a, polygons_b = shapely.polygons(a[:, :, :2]), shapely.polygons(b[:, :, :2])
    i, j = shapely.STRtree(polygons_b).query(polygons_a, predicate="intersects")
    common = shapely.intersection(polygons_a[i], polygons_b[j])
    solid = shapely.area(common) > 0
    if not solid.any():
        raise OutOfRange("graded", "has no place in common with existing", "give the same hillside")
    common, i, j = common[solid], i[solid], j[solid]
    # each common part is convex: a fan from its first corner cuts it into triangles
    coordinates, part = shapely.get_coordinates(common, return_index=True)
    count = np.bincount(part)
    start = np.concatenate([[0], np.cumsum(count)[:-1]])
    fans = count - 3  # rings repeat their first corner
    which = np.repeat(np.arange(len(common)), fans)
    step = np.arange(len(which)) - np.repeat(np.cumsum(fans) - fans, fans)
    base = start[which]
    corners = coordinates[np.stack([base, base + step + 1, base + step + 2], axis=1)]
    depths = _plane_height(a[i[which]], corners) - _plane_height(b[j[which]], corners)
    scale = max(float(np.abs(depths).max()), 1e-300)
    depths = np.where(np.abs(depths) < 1e-13 * scale, 0.0, depths)
    cut, fill, area = prisms(*split_at_zero(corners, depths)).sum(axis=0)
    return totals(float(cut), float(fill), float(area))


def _points(xyz: ArrayLike, where: str) -> Array:
    points = np.asarray(xyz, float)
    if points.ndim != 2 or points.shape[1] != 3 or len(points) < 3:
        raise OutOfRange(where, f"points of shape {points.shape}", "give at least 3 of x, y, z")
    if not np.isfinite(points).all():
        raise OutOfRange(where, "a number is missing", "give x, y and z of every point")
    return points


def _indices(points: Array, triangles: ArrayLike | None, where: str) -> Index:
    if triangles is not None:
        index = np.asarray(triangles, float).astype(np.intp)
        if (
            index.ndim != 2
            or index.shape[1] != 3
            or not 0 <= index.min() <= index.max() < len(points)
        ):
            raise OutOfRange(where, "not triples of points", f"give indices 0 to {len(points) - 1}")
    else:
        index = delaunay(points[:, :2])
        if not len(index):
            where = where.removesuffix("_triangles").replace("triangles", "xyz")
            raise OutOfRange(where, "all points in one line", "give points to the side of it")
    c = points[index][:, :, :2]
    a, b = c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]
    twice = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    return np.asarray(index[twice > 1e-12 * max(float(twice.max()), 1e-300)])


def _plane_height(triangles: Array, places: Array) -> Array:
    """Height of the plane of each of (k, 3, 3) triangles at (k, 3, 2) places: (k, 3)."""
    a = triangles[:, 0]
    n = np.cross(triangles[:, 1] - a, triangles[:, 2] - a)
    along = places - a[:, None, :2]
    return np.asarray(a[:, 2:] - (along * n[:, None, :2]).sum(axis=2) / n[:, 2:])


def _upward(corners: Array) -> Array:
    """Turn triangles counter-clockwise in plan."""
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    clockwise = a[:, 0] * b[:, 1] < a[:, 1] * b[:, 0]
    return np.asarray(np.where(clockwise[:, None, None], corners[:, ::-1], corners))


def _integrated(depth: Depth, corners: Array, tolerance: float) -> CutFill:
    """Integrate cut and fill over (k, 3, 2 or 3) triangles, counter-clockwise."""

    def rule(triangles: Array) -> Array:
        with np.errstate(all="ignore"):
            d = depth(triangles, triangles[..., 0], triangles[..., 1])
            scale = float(np.nanmax(np.abs(d), initial=0))
            d = np.where(np.abs(d) <= 1e-13 * scale, 0.0, d)
            crossed = (d.min(axis=1) < 0) & (d.max(axis=1) > 0)
            parts, _ = split_at_zero(triangles, d)
            # split_at_zero gives the whole ones first, then the cut ones three times over
            owner = np.concatenate([np.flatnonzero(~crossed), *[np.flatnonzero(crossed)] * 3])
            x, y, w = gauss_points(parts)
            earth = w * depth(triangles[owner], x, y)
        out = np.zeros((len(triangles), 2))
        # a part has one sign but for a sliver along the cut, or a hump within: point by point,
        # for in a sum the two signs would hide each other and halving would see nothing move
        np.add.at(out[:, 0], owner, np.maximum(earth, 0).sum(axis=1))
        np.add.at(out[:, 1], owner, np.maximum(-earth, 0).sum(axis=1))
        return out

    cut, fill = integrate(rule, corners, tolerance)
    area = float(gauss_points(corners, 1)[2].sum())
    return totals(float(cut), float(fill), area)
