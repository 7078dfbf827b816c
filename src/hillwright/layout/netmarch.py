"""Nets marched over any surface, for trying the method itself on other ground and other sizes."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.layout.bond import cells_of
from hillwright.layout.lines import along_contour, geodesics, square_to
from hillwright.layout.measure import cell_shear, cell_twist
from hillwright.layout.net import lay_net
from hillwright.layout.nettheory import enclosed_curvature, sphere_net
from hillwright.method import method
from hillwright.terrain.curvature import surface_measures
from hillwright.terrain.model import Ground

_MARCHING = (
    "van West, Pipes & Keefe 1990; Van Der Weeen 1991, algorithms for draping fabrics on "
    "doubly-curved surfaces (both from memory)"
)
_MOST = 2_000_000  # crossings in one net


class NetOnSurface(NamedTuple):
    """A net laid on a surface; see :func:`net_on_surface`."""

    cells: int
    lost: int
    max_shear: float
    max_twist: float
    max_edge_error: float
    far_corner: Array
    far_shear: float
    row_end: Array
    column_end: Array
    angle_change: float
    total_curvature: float
    area: float
    nodes: Array


class MarchingError(NamedTuple):
    """How far marched crossings lie from the continuous net; see :func:`marching_error`."""

    max_node_error: Array
    order: float


@method(
    title="Net of equal cells marched over a surface",
    equation="each crossing P: |P - beside| = across, |P - above| = down, z = surface(x, y)",
    source=_MARCHING,
)
def net_on_surface(
    surface: Ground,
    start: ArrayLike,
    across: float,
    down: float,
    cells_right: int,
    cells_down: int,
    cells_left: int = 0,
    cells_up: int = 0,
    heading: float = 0.0,
    row: str = "straight",
) -> NetOnSurface:
    """Lay a net on any surface from a first row and a first column that are square on it.

    Parameters
    ----------
    surface : Ground
        Height of the ground over the plan. [surface]
    start : (2,) array
        Plan position where the first row and the first column cross. [m]
    across, down : float
        Edges of a cell along the row and along the column. [m]
    cells_right, cells_down : int
        Cells from the start along the row (towards ``heading``) and along the column. [-]
    cells_left, cells_up : int
        Cells on the other sides of the start. [-]
    heading : float
        Plan direction of the first row at the start, counter-clockwise from +x. [rad]
    row : str
        "straight" on the surface (a geodesic), or along the "contour", to that side of the start
        which lies towards ``heading``; the column is straight and square to the row, downhill
        (to the right of the row where it is level). [text]

    Returns
    -------
    cells : int
        Whole cells laid. [-]
    lost : int
        Cells that could not be laid: the surface ends or the net locks there. [-]
    max_shear : float
        Largest departure of a cell's corner from square. [rad]
    max_twist : float
        Largest distance of a corner from the plane of the other three. [m]
    max_edge_error : float
        Largest departure of an edge from its length. [m]
    far_corner : (3,) array
        Where the last crossing of the last row lies, down and to the right. [m]
    far_shear : float
        Departure from square of the last cell there (mean of two opposite corners), below 0
        where the angle opens. [rad]
    row_end : (3,) array
        Last crossing of the first row, to the right. [m]
    column_end : (3,) array
        Last crossing of the first column, downhill. [m]
    angle_change : float
        Total curvature by Hazzidakis from the angles at the middles of the four corner cells;
        not a number where one of them is lost. [rad]
    total_curvature : float
        Gauss curvature integrated over the net between those four middles; agrees with
        ``angle_change`` to the square of the cell size. [rad]
    area : float
        Sum of the cells' areas. [m2]
    nodes : (lines, columns, 3) array
        Every crossing, the uppermost line first; not a number where lost. [m]

    Raises
    ------
    OutOfRange
        No surface at the start, no room for a cell, no cells, a contour where the ground is
        level, or a row that is neither straight nor contour.

    Notes
    -----
    Second order in the cell size against the continuous net; exact on z = f(x) + g(y) when the
    lines start along x and y.
    """
    _check((across, down), (cells_right, cells_left, cells_down, cells_up))
    place = np.asarray(start, float).reshape(2)
    height = surface.at(place[:1], place[1:])
    if not np.isfinite(np.ravel(height)).all():
        raise OutOfRange("start", "the surface has no height or slope there", "choose another")
    way = np.array([math.cos(heading), math.sin(heading)])
    rows = _first_row(surface, place, way, row, across, max(cells_right, cells_left))
    along = (rows[0][1:2] - rows[1][1:2] if row == "contour" else way[None])[0][:2]
    square = square_to(surface, place, along)
    columns = geodesics(
        surface,
        np.stack((place, place)),
        np.stack((square, -square)),
        down,
        max(cells_down, cells_up),
    )
    top = np.concatenate((rows[1][cells_left:0:-1], rows[0][: cells_right + 1]))
    net = lay_net(
        surface,
        top,
        cells_left,
        columns[0, : cells_down + 1],
        columns[1, : cells_up + 1],
        across,
        down,
    )
    corners, _, _ = cells_of(net, half_offset=False)
    if not len(corners):
        raise OutOfRange(
            "start", "no whole cell can be laid from there", "start where the surface goes on"
        )
    wanted = (cells_right + cells_left) * (cells_down + cells_up)
    p = net.nodes
    edges = [np.linalg.norm(np.diff(p, axis=a), axis=2) - e for a, e in ((1, across), (0, down))]
    quads = np.stack((p[:-1, :-1], p[:-1, 1:], p[1:, 1:], p[1:, :-1]), axis=2)
    angle = _angles(quads)
    ends = (angle[0, 0], angle[0, -1], angle[-1, 0], angle[-1, -1])
    area = _areas(quads)
    return NetOnSurface(
        cells=len(corners),
        lost=wanted - len(corners),
        max_shear=float(cell_shear(corners).max()),
        max_twist=float(cell_twist(corners).max()),
        max_edge_error=max(float(np.nanmax(np.abs(e))) for e in edges),
        far_corner=p[-1, -1],
        far_shear=math.pi / 2 - float(angle[-1, -1]),
        row_end=p[net.line0, -1],
        column_end=p[-1, net.column0],
        angle_change=float(enclosed_curvature(*ends)),
        total_curvature=_curvature_between_middles(surface, p, area),
        area=float(np.nansum(area)),
        nodes=p,
    )


def _check(edges: tuple[float, float], cells: tuple[int, int, int, int]) -> None:
    """Refuse a net that has no cells, or more than can be laid in one go."""
    for name, edge in zip(("across", "down"), edges, strict=True):
        if not (edge > 0 and math.isfinite(edge)):
            raise OutOfRange(name, f"{edge:g} m is no edge of a cell", "give a length above 0")
    right, left, below, above = cells
    for name, one, other in (
        ("cells_right, cells_left", right, left),
        ("cells_down, cells_up", below, above),
    ):
        if min(one, other) < 0 or one + other < 1:
            raise OutOfRange(name, f"{one} and {other} cells make no net", "give at least 1 in all")
    if (crossings := (right + left + 1) * (below + above + 1)) > _MOST:
        raise OutOfRange("cells", f"{crossings:,} crossings are too many", f"at most {_MOST:,}")


def _first_row(
    surface: Ground, place: Array, way: Array, row: str, across: float, count: int
) -> tuple[Array, Array]:
    """Give the first row towards ``way`` and away from it, each (count + 1, 3)."""
    if row == "straight":
        both = geodesics(surface, np.stack((place, place)), np.stack((way, -way)), across, count)
        return both[0], both[1]
    if row != "contour":
        raise OutOfRange("row", f"{row!r} is not known", 'write "straight" or "contour"')
    _, zx, zy = (float(v[0]) for v in surface.at(place[:1], place[1:]))
    if math.hypot(zx, zy) < 1e-9:
        raise OutOfRange("start", "the ground is level there: it has no contour", "choose another")
    side = 1 if zy * way[0] - zx * way[1] >= 0 else -1
    return (
        along_contour(surface, place, across, max(count, 1), side),
        along_contour(surface, place, across, max(count, 1), -side),
    )


def _angles(quads: Array) -> Array:
    """Give the angle between row and column at the middle of each cell (..., 4, 3)."""
    a, b, c, d = np.moveaxis(quads, -2, 0)

    def between(u: Array, v: Array) -> Array:
        cross = np.linalg.norm(np.cross(u, v), axis=-1)
        return np.asarray(np.arctan2(cross, (u * v).sum(axis=-1)))

    return (between(b - a, d - a) + between(c - d, c - b)) / 2


def _areas(quads: Array) -> Array:
    """Give the area of each cell (..., 4, 3) as two triangles [m2]."""
    a, b, c, d = np.moveaxis(quads, -2, 0)
    two = (
        np.linalg.norm(np.cross(b - a, d - a), axis=-1),
        np.linalg.norm(np.cross(d - c, b - c), axis=-1),
    )
    return np.asarray((two[0] + two[1]) / 2)


def _curvature_between_middles(surface: Ground, nodes: Array, area: Array) -> float:
    """Integrate the Gauss curvature over the patch between the middles of the corner cells.

    Every inner crossing stands for the quarter of each of its four cells that is next to it.
    """
    inner = nodes[1:-1, 1:-1]
    own = (area[:-1, :-1] + area[:-1, 1:] + area[1:, :-1] + area[1:, 1:]) / 4
    if not np.isfinite(own).all():
        return math.nan
    if not own.size:
        return 0.0
    step = 1e-3 * math.sqrt(float(own.mean()))
    gauss = surface_measures(surface, inner[..., 0], inner[..., 1], step).gauss
    return float((gauss * own).sum())


@method(
    title="Error of marching against the continuous net on a dome",
    equation="max |P_ij - r(u_i, v_j)|, P marched from crossings on two great circles",
    source=f"{_MARCHING}, against Chebyshev 1878",
)
def marching_error(
    radius: float, across_extent: float, down_extent: float, cells_per_side: ArrayLike
) -> MarchingError:
    """March nets of ever smaller cells over a dome and compare them with the continuous net.

    Parameters
    ----------
    radius : float
        Of the dome. [m]
    across_extent, down_extent : float
        Size of the patch along the lines of the net, from the crown. [m]
    cells_per_side : (k,) array of int
        How many cells both ways, for each net. [-]

    Returns
    -------
    max_node_error : (k,) array
        Largest distance of a crossing from its place in the continuous net. [m]
    order : float
        Power of the cell size with which the error falls between the last two nets. [-]

    Raises
    ------
    OutOfRange
        No cells, or a patch that reaches the dome's equator or the lock of the net.

    Notes
    -----
    The first row and column stand exactly on the great circles, at equal chords.
    """
    counts = np.atleast_1d(np.asarray(cells_per_side)).astype(int)
    errors = np.array([_dome_error(radius, across_extent, down_extent, int(n)) for n in counts])
    order = math.nan
    if len(counts) > 1 and counts[-1] != counts[-2]:
        order = math.log(errors[-2] / errors[-1]) / math.log(counts[-1] / counts[-2])
    return MarchingError(errors, order)


def _dome_error(radius: float, across: float, down: float, cells: int) -> float:
    """Give the largest error of one net of ``cells`` by ``cells`` on a dome."""
    if cells < 1:
        raise OutOfRange("cells_per_side", f"{cells} cells make no net", "give at least 1")
    u, v = np.linspace(0, across, cells + 1), np.linspace(0, down, cells + 1)
    exact = sphere_net(radius, u[None, :], v[:, None])
    if not exact[..., 2].min() > 0:
        raise OutOfRange(
            "extent", "the patch reaches the equator of the dome", "give a smaller one"
        )
    chord = [2 * radius * math.sin(e / cells / radius / 2) for e in (across, down)]
    net = lay_net(_Dome(radius), exact[0], 0, exact[:, 0], None, *chord)
    error = np.linalg.norm(net.nodes - exact, axis=2)
    if not np.isfinite(error).all():
        raise OutOfRange(
            "cells_per_side", f"a net of {cells} cells a side leaves the dome", "give more cells"
        )
    return float(error.max())


class _Dome:
    """The upper half of a sphere about the origin."""

    def __init__(self, radius: float) -> None:
        self._square = radius**2

    def at(self, x: Array, y: Array) -> tuple[Array, Array, Array]:
        """Give height and gradient; not a number beyond the equator."""
        with np.errstate(invalid="ignore", divide="ignore"):
            z = np.sqrt(self._square - x * x - y * y)
            return z, -x / z, -y / z
