"""Heights on a triangulation: at places, on grids, beyond its edge, and with a point left out."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.model import Tin
from hillwright.terrain.planefit import fit_plane
from hillwright.terrain.tin import delaunay, index_of, oriented

_AT_ONCE = 2_000_000  # candidate nodes held at once
_INSIDE = -1e-9  # share of a corner that still counts as inside: nodes on edges are covered
_NO_AREA = 1e-12  # [m2]
_ON_EDGE = 1e-9  # rounding of a place on an edge [m]


def _shares(a: Array, b: Array, c: Array, x: Array, y: Array) -> tuple[Array, Array]:
    """Shares of corners b and c in each place (barycentric coordinates)."""
    bx, by, cx, cy = b[:, 0] - a[:, 0], b[:, 1] - a[:, 1], c[:, 0] - a[:, 0], c[:, 1] - a[:, 1]
    twice = bx * cy - by * cx
    dx, dy = x - a[:, 0], y - a[:, 1]
    return (dx * cy - dy * cx) / twice, (bx * dy - by * dx) / twice


def heights_on_tin(tin: Tin, x: Array, y: Array) -> Array:
    """(k,) heights of triangulated ground at places; not a number off the triangles [m]."""
    x, y = np.atleast_1d(np.asarray(x, float)), np.atleast_1d(np.asarray(y, float))
    corners = tin.xyz[tin.triangles]
    shapes = shapely.polygons(corners[:, [0, 1, 2, 0], :2])
    # a cut breakline can leave triangles without area, in which no height can be read
    corners, shapes = corners[(real := shapely.area(shapes) > _NO_AREA)], shapes[real]
    tree = shapely.STRtree(shapes)
    place, triangle = tree.query(shapely.points(x, y), predicate="dwithin", distance=_ON_EDGE)
    a, b, c = (corners[triangle, k] for k in range(3))
    v, w = _shares(a, b, c, x[place], y[place])
    z = np.full(len(x), np.nan)
    z[place] = a[:, 2] + v * (b[:, 2] - a[:, 2]) + w * (c[:, 2] - a[:, 2])
    return z


@method(
    title="Height on triangulated ground",
    equation="z = u z_a + v z_b + w z_c, u + v + w = 1 the shares of the triangle's corners",
    source="exact geometry",
)
def triangulated_height(points: ArrayLike, x: ArrayLike, y: ArrayLike) -> Array:
    """Triangulate spots (Delaunay) and read heights between them.

    Parameters
    ----------
    points : (n, 3) array
        Spots, at least 3 and not in one line. [m]
    x, y : (k,) array
        Places in plan. [m]

    Returns
    -------
    (k,) array
        Height. [m]

    Raises
    ------
    OutOfRange
        Spots in one line, or a place that they do not surround.

    Notes
    -----
    Inside the convex hull of the spots. Flat facets: exact on a plane, rough on curved ground.
    """
    xyz = np.asarray(points, float)
    if xyz.ndim != 2 or xyz.shape[1] != 3 or len(xyz) < 3 or not np.isfinite(xyz).all():
        raise OutOfRange("points", "not three spots or more", "give x, y, z of at least 3 spots")
    if len(np.unique(xyz[:, :2], axis=0)) < len(xyz):
        raise OutOfRange("points", "two spots at one place", "give each place once")
    triangles = delaunay(xyz[:, :2])
    if not len(triangles):
        raise OutOfRange("points", "all in one line", "give spots that surround the place")
    z = heights_on_tin(
        Tin(xyz, triangles), *np.broadcast_arrays(np.atleast_1d(x), np.atleast_1d(y))
    )
    if (bad := np.isnan(z)).any():
        k = int(np.flatnonzero(bad)[0]) + 1
        raise OutOfRange(f"place {k}", "outside the spots", "ask inside the hull of the spots")
    return z if np.ndim(x) or np.ndim(y) else z[0]


def tin_on_grid(tin: Tin, x: Array, y: Array) -> Array:
    """(ny, nx) heights at the crossings of evenly spaced columns x and rows y [m].

    Not a number off the triangles. Every triangle looks only at the nodes in its own box.
    """
    dx, dy = x[1] - x[0], y[1] - y[0]
    corners = tin.xyz[tin.triangles]
    u, v = (corners[:, :, 0] - x[0]) / dx, (corners[:, :, 1] - y[0]) / dy
    slack = 1e-9
    first_i = np.clip(np.ceil(u.min(axis=1) - slack), 0, len(x)).astype(np.intp)
    last_i = np.clip(np.floor(u.max(axis=1) + slack), -1, len(x) - 1).astype(np.intp)
    first_j = np.clip(np.ceil(v.min(axis=1) - slack), 0, len(y)).astype(np.intp)
    last_j = np.clip(np.floor(v.max(axis=1) + slack), -1, len(y) - 1).astype(np.intp)
    wide = np.maximum(last_i - first_i + 1, 0)
    count = wide * np.maximum(last_j - first_j + 1, 0)
    out = np.full(len(x) * len(y), np.nan)
    todo = np.flatnonzero(count)
    batch = np.cumsum(count[todo]) // _AT_ONCE
    for part in np.split(todo, np.flatnonzero(np.diff(batch)) + 1):
        if not len(part):
            continue
        t = np.repeat(part, count[part])
        k = np.arange(len(t)) - np.repeat(np.cumsum(count[part]) - count[part], count[part])
        i, j = first_i[t] + k % wide[t], first_j[t] + k // wide[t]
        a, b, c = (corners[t, n] for n in range(3))
        s, w = _shares(a, b, c, x[i], y[j])
        inside = (s >= _INSIDE) & (w >= _INSIDE) & (1 - s - w >= _INSIDE)
        z = a[:, 2] + s * (b[:, 2] - a[:, 2]) + w * (c[:, 2] - a[:, 2])
        out[(j * len(x) + i)[inside]] = z[inside]
    return out.reshape(len(y), len(x))


def skirt(edge: Array, x: Array, y: Array, plane: Array) -> Tin:
    """Triangles that carry ground on beyond its edge, up to a box of columns x and rows y.

    Far points stand on the plane of the survey, lifted by what the edge next to them is off it,
    so that the ground beyond goes on with the hill's own fall and starts at the edge itself.

    Parameters
    ----------
    edge : (n, 3) array
        Points all along the edge [m].
    x, y : arrays
        Columns and rows to be covered [m].
    plane : (3,) array
        Height at 0, 0 and its rise per x and y.
    """
    low = np.minimum(edge[:, :2].min(axis=0), [x[0], y[0]])
    high = np.maximum(edge[:, :2].max(axis=0), [x[-1], y[-1]])
    middle, half = (low + high) / 2, (high - low) / 2
    turn = 2 * np.pi * np.arange(32) / 32
    # the ellipse through the corners of the box, and a little more
    ring = middle + 1.5 * half.max() * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    near = np.argmin(((ring[:, None] - edge[None, :, :2]) ** 2).sum(axis=2), axis=1)
    off = edge[near, 2] - (plane[0] + edge[near, :2] @ plane[1:])
    far = np.column_stack([ring, plane[0] + ring @ plane[1:] + off])
    points = np.concatenate([edge, far])
    return Tin(points, delaunay(points[:, :2]))


def trend_of(xyz: Array) -> Array:
    """(3,) height at 0, 0 and rise per x and y of the plane that fits points best [m, -, -]."""
    plane = fit_plane(xyz)
    return np.array([plane.a0, plane.ax, plane.ay])


def predict_left_out(tin: Tin, free: Mask) -> Array:
    """Predict the height of each point from the triangulation of all others.

    Taking a point out of a Delaunay triangulation changes only the hole that it leaves, and the
    new triangles there are those of the hole's own corners: so each prediction is exact and small.

    Parameters
    ----------
    tin : Tin
        Triangulated points.
    free : (n,) mask
        Points to be predicted; those on breaklines are not free.

    Returns
    -------
    (n,) array
        Height; not a number at the edge of the triangulation and where not free [m].
    """
    t = tin.triangles
    vertex = np.concatenate([t[:, 0], t[:, 1], t[:, 2]])
    others = np.concatenate([t[:, [1, 2]], t[:, [2, 0]], t[:, [0, 1]]])
    n = len(tin.xyz)
    pairs = np.unique(np.concatenate([vertex * n + others[:, 0], vertex * n + others[:, 1]]))
    owner, link = pairs // n, pairs % n
    # round an inner point there are as many triangles as neighbours, at the edge one less
    inner = np.bincount(vertex, minlength=n) == np.bincount(owner, minlength=n)
    wanted = inner & np.pad(free, (0, n - len(free)))
    out = np.full(n, np.nan)
    keep = wanted[owner]
    if not keep.any():
        return out[: len(free)]
    owner, link = owner[keep], link[keep]
    who, index = np.unique(owner, return_inverse=True)
    xy = tin.xyz[:, :2]
    rings = shapely.multipoints(shapely.points(xy[link]), indices=index)
    parts, which = shapely.get_parts(shapely.delaunay_triangles(rings), return_index=True)
    corners = shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
    found = index_of(xy, corners.reshape(-1, 2)).reshape(-1, 3)
    a, b, c = (tin.xyz[found[:, k]] for k in range(3))
    home = who[which]
    with np.errstate(divide="ignore", invalid="ignore"):
        s, w = _shares(a, b, c, xy[home, 0], xy[home, 1])
        z = a[:, 2] + s * (b[:, 2] - a[:, 2]) + w * (c[:, 2] - a[:, 2])
        inside = (s >= _INSIDE) & (w >= _INSIDE) & (1 - s - w >= _INSIDE)
    out[home[inside]] = z[inside]
    return out[: len(free)]


def grid_tin(x: Array, y: Array, heights: Array, most: int = 20_000) -> Tin:
    """Triangulate a grid of heights, every so many nodes so that at most ``most`` are kept."""
    skip = max(1, int(np.ceil(np.sqrt(heights.size / most))))
    x, y, heights = x[::skip], y[::skip], heights[::skip, ::skip]
    xx, yy = np.meshgrid(x, y)
    xyz = np.column_stack([xx.ravel(), yy.ravel(), heights.ravel()])
    k: Index = np.arange(heights.size).reshape(heights.shape)
    a, b, c, d = k[:-1, :-1], k[:-1, 1:], k[1:, 1:], k[1:, :-1]
    faces = [np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)]
    triangles = np.concatenate([f.reshape(-1, 3) for f in faces])
    known = np.isfinite(xyz[:, 2])
    triangles = triangles[known[triangles].all(axis=1)]
    new = np.cumsum(known) - 1
    return Tin(xyz[known], oriented(xyz[known, :2], new[triangles]))
