"""From the plan back into the flat sheet of the net: where the strings lie among the cells.

Sheet coordinates: u = (column - column0) * across to the right looking uphill,
v = (line - line0) * down downhill. Between its nodes the net is taken as bilinear in plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.layout.erosion import Geometry, ring_polygon
from hillwright.layout.model import Net

EDGE = 1e-6
"""A point this share of a mesh off the net still counts as on its edge."""

NEWTON = 30  # steps; a mesh that is not nearly folded takes 3 to 5


@dataclass(frozen=True, slots=True, eq=False)
class InSheet:
    """The sheet image of what a plan ring encloses."""

    rings: tuple[Array, ...]  # outer edges, (k, 2) each, not closed [m]
    holes: tuple[Array, ...]  # where the net has no mesh inside the ring: keep off [m]
    outside: float  # plan area of the part of the ring that the net does not reach [m2]


def pull_back(net: Net, xy: Array) -> Array:
    """Give the sheet coordinates of plan positions.

    Parameters
    ----------
    net : Net
        The net; meshes with a missing node are left out.
    xy : (k, 2) array
        Plan positions [m].

    Returns
    -------
    (k, 2) array
        u and v, NaN off the net; on an edge of the net counts as on it [m].
    """
    xy = np.asarray(xy, dtype=float).reshape(-1, 2)
    meshes, line, column = _meshes(net, xy)
    uv = np.full(xy.shape, np.nan)
    which = _locate(net, meshes, xy)
    on = np.flatnonzero(which >= 0)
    if not on.size:
        return uv
    s, t = _inverse_bilinear(meshes[which[on]], xy[on])
    uv[on, 0] = (column[which[on]] + s - net.column0) * net.across
    uv[on, 1] = (line[which[on]] + t - net.line0) * net.down
    return uv


def pull_back_ring(net: Net, ring: Array, most: float) -> InSheet:
    """Give the sheet image of the polygon that a plan ring encloses.

    Straight edges in plan are curves in the sheet, so they are followed in short steps. What lies
    off the net is cut away first: no cell can lie there.

    Parameters
    ----------
    net : Net
        The net.
    ring : (k, 2) array
        Corners in plan, closed or not [m].
    most : float
        Longest step along an edge, > 0 [m].

    Returns
    -------
    InSheet
        Simple rings; none when the ring lies off the net altogether.

    Raises
    ------
    OutOfRange
        The ring crosses itself or has no area, or the step is not above 0.
    """
    if not most > 0:
        raise OutOfRange("step along the strings", f"{most:g} m", "give a length above 0")
    polygon = ring_polygon(ring, "ring")
    ring = shapely.get_coordinates(polygon)
    kept = shapely.intersection(polygon, _cover(_meshes(net, ring)[0]))
    outer, holes = [], []
    for part in shapely.get_parts(shapely.segmentize(kept, most)):
        if part.geom_type != "Polygon":
            continue  # a ring that only touches the net leaves lines and points
        rings = [_image(net, r) for r in (part.exterior, *part.interiors)]
        outer += rings[0]
        holes += [hole for each in rings[1:] for hole in each]
    return InSheet(tuple(outer), tuple(holes), float(polygon.area - kept.area))


def _image(net: Net, ring: Geometry) -> list[Array]:
    """Pull one closed ring back; a kink that makes it cross itself by a hair is cut off."""
    uv = pull_back(net, shapely.get_coordinates(ring)[:-1])
    uv = uv[np.isfinite(uv).all(axis=1)]
    if len(uv) < 3:
        return []
    shape = shapely.make_valid(shapely.Polygon(uv))
    parts = [p for p in shapely.get_parts(shape, return_index=False) if p.geom_type == "Polygon"]
    return [shapely.get_coordinates(p.exterior)[:-1] for p in parts if p.area > 0]


def _meshes(net: Net, around: Array) -> tuple[Array, Index, Index]:
    """Give the corners (m, 4, 2) of the whole meshes about some points, with line and column."""
    xy = net.nodes[..., :2]
    corners = np.stack([xy[:-1, :-1], xy[:-1, 1:], xy[1:, 1:], xy[1:, :-1]], axis=2)
    known = around[np.isfinite(around).all(axis=1)]
    if not known.size:
        return np.empty((0, 4, 2)), np.empty(0, np.intp), np.empty(0, np.intp)
    near = EDGE * min(net.across, net.down)
    low, high = known.min(axis=0) - near, known.max(axis=0) + near
    whole = np.isfinite(corners).all(axis=(2, 3))
    whole &= ((corners.max(axis=2) >= low) & (corners.min(axis=2) <= high)).all(axis=2)
    line, column = np.nonzero(whole)
    return corners[line, column], line, column


def _cover(meshes: Array) -> Geometry:
    """Give all that meshes cover in plan."""
    if not len(meshes):
        return shapely.Polygon()
    cover = shapely.coverage_union_all(shapely.polygons(meshes))
    # a net that folds over itself is no coverage; the slow union is right for that too
    return cover if cover.is_valid else shapely.union_all(shapely.polygons(meshes))


def _locate(net: Net, meshes: Array, xy: Array) -> Index:
    """Say which mesh each point lies in, -1 for none; the first of several on a shared edge."""
    which = np.full(len(xy), -1, dtype=np.intp)
    if not len(meshes):
        return which
    tree = shapely.STRtree(shapely.polygons(meshes))
    known = np.flatnonzero(np.isfinite(xy).all(axis=1))
    points = shapely.points(xy[known])
    _first(which, known, tree.query(points, predicate="intersects"))
    missing = np.flatnonzero(which[known] < 0)
    if missing.size:
        near = EDGE * min(net.across, net.down)
        pairs = tree.query(points[missing], predicate="dwithin", distance=near)
        _first(which, known[missing], pairs)
    return which


def _first(which: Index, points: Index, pairs: Index) -> None:
    """Note for each point the mesh with the lowest number that was found for it."""
    order = np.lexsort((pairs[1], pairs[0]))[::-1]
    which[points[pairs[0][order]]] = pairs[1][order]


def _inverse_bilinear(corners: Array, xy: Array) -> tuple[Array, Array]:
    """Find where in its mesh each point lies: s across, t down, both 0 to 1."""
    a, b, c, d = corners.transpose(1, 0, 2)
    across, down, twist = b - a, d - a, a - b + c - d
    s, t = np.full(len(xy), 0.5), np.full(len(xy), 0.5)
    for _ in range(NEWTON):
        off = a + s[:, None] * across + t[:, None] * down + (s * t)[:, None] * twist - xy
        ds, dt = across + t[:, None] * twist, down + s[:, None] * twist
        det = ds[:, 0] * dt[:, 1] - ds[:, 1] * dt[:, 0]
        det = np.where(np.abs(det) < 1e-300, 1e-300, det)
        step_s = (off[:, 0] * dt[:, 1] - off[:, 1] * dt[:, 0]) / det
        step_t = (ds[:, 0] * off[:, 1] - ds[:, 1] * off[:, 0]) / det
        # never further than one mesh in a step: a nearly folded mesh would throw it away
        s, t = s - np.clip(step_s, -1, 1), t - np.clip(step_t, -1, 1)
        if max(np.abs(step_s).max(), np.abs(step_t).max()) < 1e-13:
            break
    return np.clip(s, 0, 1), np.clip(t, 0, 1)
