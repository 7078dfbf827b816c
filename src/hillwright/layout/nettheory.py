"""Nets on ground of simple shape, where the whole net is known in closed form."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.model import Ground

_CHEBYSHEV = (
    "Chebyshev 1878, On the cutting of garments; Painleve III form noted by Ghys 2012 (from memory)"
)
_TERMS = 90  # the series converges to |s| = 2.9; at the lock this many leave 1e-17
_AT_ONCE = 10_000  # places worked out together: bounds the memory


class SphereShear(NamedTuple):
    """The net of a dome at a place; see :func:`sphere_shear`."""

    shear: Array
    angle: Array
    rule: Array
    patch_area: Array


class StartShear(NamedTuple):
    """Worst shear of a rectangle on a dome by where its net starts; see :func:`start_shear`."""

    corner_start: float
    middle_of_top_row_start: float
    centre_start: float


class NetAngle(NamedTuple):
    """Angle between the lines of a net."""

    angle: Array
    shear: Array


class Ring(NamedTuple):
    """Cells laid round a cylinder; see :func:`cells_round_cylinder`."""

    turn_per_cell: float
    turn_total: float
    arc_total: float
    sag: float


@cache
def _series() -> Array:
    """Give the power series in s of the shear on a sphere: (s g')' = cos g, g(0) = 0."""
    g, cosine, sine = np.zeros((3, _TERMS))
    cosine[0] = 1.0
    for k in range(1, _TERMS):
        g[k] = cosine[k - 1] / k**2
        rates = np.arange(1, k + 1) * g[1 : k + 1]
        cosine[k] = -(rates @ sine[k - 1 :: -1][:k]) / k
        sine[k] = rates @ cosine[k - 1 :: -1][:k] / k
    return g


@cache
def _locks_at() -> float:
    """Give the s = uv/R^2 at which the net on a sphere shuts: the shear reaches 90 degrees."""
    s = 1.86
    for _ in range(8):
        s -= (float(_shear(s)) - math.pi / 2) / float(_shear_rate(s))
    return s


def _shear(s: ArrayLike) -> Array:
    return np.asarray(np.polynomial.polynomial.polyval(np.asarray(s, float), _series()))


def _shear_rate(s: ArrayLike) -> Array:
    """Give dg/ds; even in s, so that half the terms do."""
    rates = np.polynomial.polynomial.polyder(_series())[::2]
    return np.asarray(np.polynomial.polynomial.polyval(np.asarray(s, float) ** 2, rates))


def _on_sphere(radius: float, across: ArrayLike, down: ArrayLike) -> tuple[Array, Array]:
    """Give u/R and v/R after making sure that the net reaches so far."""
    if not (radius > 0 and math.isfinite(radius)):
        raise OutOfRange("radius", f"{radius:g} is no radius of a dome", "give a length above 0")
    u, v = np.broadcast_arrays(np.asarray(across, float), np.asarray(down, float))
    u, v = u / radius, v / radius
    beyond = ~(np.abs(u * v) < _locks_at())
    if beyond.any():
        place = "".join(f"[{k}]" for k in np.argwhere(beyond)[0]) if u.ndim else ""
        raise OutOfRange(
            f"across{place} x down{place}",
            f"is {float(np.abs(u * v)[beyond][0]):.4g} times the square of the radius",
            f"the net locks at {_locks_at():.6f} times: give shorter distances",
        )
    return u, v


@method(
    title="Shear of a net on a dome",
    equation="shear = g(s), (s g')' = cos g, g(0) = 0, s = u v / R^2; "
    "g = s - s^3/18 + 7 s^5/1800 - ...",
    source=_CHEBYSHEV,
)
def sphere_shear(radius: float, across: ArrayLike, down: ArrayLike) -> SphereShear:
    """Give the shear of a net on a sphere that starts from two great circles square to each other.

    Parameters
    ----------
    radius : float
        Of the dome. [m]
    across, down : (...) array
        Distances along the lines of the net from where the two first lines cross; below 0 on
        the other side. [m]

    Returns
    -------
    shear : (...) array
        Departure from square there, below 0 where the angle opens. [rad]
    angle : (...) array
        Angle between the lines of the net there. [rad]
    rule : (...) array
        First-order rule u v / R^2, good for small patches. [rad]
    patch_area : (...) array
        True area of the net between the first lines and the place. [m2]

    Raises
    ------
    OutOfRange
        The net locks before it reaches so far (u v = 1.861592 R^2).

    Notes
    -----
    Continuous net; cells of edge h on a dome of radius R differ by about 0.018 (h/R)^2 R.
    """
    u, v = _on_sphere(radius, across, down)
    s = u * v
    shear = _shear(s)
    return SphereShear(shear, math.pi / 2 - shear, s, shear * radius**2)


@method(
    title="Position of a net on a dome",
    equation="r_uv = -cos(w) r / R^2, |r_u| = |r_v| = 1, w = pi/2 - g(u v / R^2)",
    source=_CHEBYSHEV,
)
def sphere_net(radius: float, across: ArrayLike, down: ArrayLike) -> Array:
    """Give where a net on a sphere lies that starts from two great circles square to each other.

    Parameters
    ----------
    radius : float
        Of the dome. [m]
    across, down : (...) array
        Distances along the lines of the net from where the two first lines cross. [m]

    Returns
    -------
    (..., 3) array
        Place from the centre of the sphere: x along the first row, y along the first column,
        z up through their crossing. [m]

    Raises
    ------
    OutOfRange
        The net locks before it reaches so far (u v = 1.861592 R^2).

    Notes
    -----
    Continuous net, to 1e-12 of the radius but close to the lock.
    """
    u, v = _on_sphere(radius, across, down)
    found = np.empty((u.size, 3))
    for part in np.array_split(np.arange(u.size), u.size // _AT_ONCE + 1):
        found[part] = _along_row(u.ravel()[part], v.ravel()[part])
    return np.asarray(radius * found.reshape(*u.shape, 3))


def _along_row(u: Array, v: Array) -> Array:
    """Give places (n, 3) of the net on the unit sphere by power series along the shorter line.

    With r the place, t the row's direction and n = r x t, a row of the net is
    r' = t, t' = -r + k n, n' = -k t, where k = v g'(u v) bends it in the ground.
    """
    swap = np.abs(u) > np.abs(v)  # the net is the same with its lines exchanged
    u, v = np.where(swap, v, u), np.where(swap, u, v)
    zero = np.zeros_like(u)
    r = np.zeros((_TERMS, 3, len(u)))
    t, n = r.copy(), r.copy()
    r[0], t[0] = (zero, np.sin(v), np.cos(v)), (zero + 1, zero, zero)
    n[0] = (zero, np.cos(v), -np.sin(v))
    # the parameter runs from 0 to 1 along each row: k u = sum of bend[j], at even powers only
    s, powers = u * v, np.arange(0, _TERMS, 2)
    bend = (_series()[1::2] * (powers + 1))[:, None] * s ** (powers[:, None] + 1)
    for k in range(_TERMS - 1):
        c = bend[: k // 2 + 1, None]
        r[k + 1] = u * t[k] / (k + 1)
        t[k + 1] = ((c * n[k::-2]).sum(axis=0) - u * r[k]) / (k + 1)
        n[k + 1] = -(c * t[k::-2]).sum(axis=0) / (k + 1)
    place = r[::-1].sum(axis=0)
    return np.asarray(np.where(swap, place[[1, 0, 2]], place).T)


@method(
    title="Shear of a patch on a dome by where its net starts",
    equation="worst shear = g(u v / R^2), u and v the longest distances from the start",
    source=_CHEBYSHEV,
)
def start_shear(radius: float, width: float, depth: float) -> StartShear:
    """Give the worst shear when a patch of cells starts from its corner, top row or centre.

    Parameters
    ----------
    radius : float
        Of the dome. [m]
    width, depth : float
        Of the patch, along the lines of the net. [m]

    Returns
    -------
    corner_start : float
        Started from a corner. [rad]
    middle_of_top_row_start : float
        Started from the middle of the top row: half of it. [rad]
    centre_start : float
        Started from the centre of the patch: a quarter. [rad]

    Raises
    ------
    OutOfRange
        The net locks before it reaches so far.
    """
    across = np.array([width, width / 2, width / 2])
    down = np.array([depth, depth, depth / 2])
    return StartShear(*(float(v) for v in sphere_shear(radius, across, down).shear))


@method(
    title="Angle of a net on a surface z = f(x) + g(y)",
    equation="cos w = f' g' / sqrt[(1 + f'^2) (1 + g'^2)]",
    source="Encyclopedia of Mathematics, Translation surface; exact geometry (from memory)",
)
def translation_net(surface: Ground, place: ArrayLike) -> NetAngle:
    """Give the angle between the lines of the net that two profiles of a surface carry.

    Parameters
    ----------
    surface : Ground
        A sum of a function of x and one of y. [surface]
    place : (n, 2) array
        Plan positions. [m]

    Returns
    -------
    angle : (n,) array
        Between the line towards +x and the line towards +y. [rad]
    shear : (n,) array
        Departure from square, below 0 where the angle is over 90 degrees. [rad]

    Raises
    ------
    OutOfRange
        The surface is not such a sum, or has no height at a place.

    Notes
    -----
    Exact for cells of any size: crossings stand on (x_i, y_j), and every cell is plane.
    """
    x, y = np.asarray(place, float).reshape(-1, 2).T
    _, zx, zy = surface.at(x, y)
    if (bad := np.flatnonzero(~np.isfinite(zx + zy))).size:
        raise OutOfRange(f"place[{bad[0]}]", "the surface has no height there", "choose another")
    apart = np.zeros(len(x))
    # dz/dx may not change with y, nor dz/dy with x; where the ground ends nothing is compared
    for x2, y2 in ((0.9 * x, 0.9 * y), (x - 0.01, y - 0.01), (np.roll(x, 1), np.roll(y, 1))):
        apart = np.fmax(apart, np.abs(surface.at(x, y2)[1] - zx))
        apart = np.fmax(apart, np.abs(surface.at(x2, y)[2] - zy))
    if (bad := np.flatnonzero(apart > 1e-9 * (1 + np.abs(zx) + np.abs(zy)))).size:
        raise OutOfRange(
            "surface",
            f"is not a sum f(x) + g(y): its slope changes across at place[{bad[0]}]",
            "layout.net_on_surface takes any surface",
        )
    angle = np.arctan2(np.sqrt(1 + zx**2 + zy**2), zx * zy)
    return NetAngle(angle, math.pi / 2 - angle)


@method(
    title="Cells round a straight ridge or gully (a horizontal cylinder)",
    equation="turn = 2 asin(h / 2R); arc = n R turn; sag = R - sqrt(R^2 - h^2/4)",
    source="exact geometry",
)
def cells_round_cylinder(radius: float, cell: float, cells: int) -> Ring:
    """Give how equal cells lie round a cylinder: the flat grid rolled up, without shear.

    Parameters
    ----------
    radius : float
        Of the ridge. [m]
    cell : float
        Run of a cell, its chord. [m]
    cells : int
        How many cells down the side. [-]

    Returns
    -------
    turn_per_cell : float
        Bend between neighbours. [rad]
    turn_total : float
        From the first edge to the last. [rad]
    arc_total : float
        Along the ground. [m]
    sag : float
        Ground above (ridge) or below (gully) the middle of each cell. [m]

    Raises
    ------
    OutOfRange
        A cell longer than the cylinder is wide, or fewer than no cells.
    """
    if not cells >= 0:
        raise OutOfRange("cells", f"{cells} of them", "give 0 or more")
    if not 0 < cell <= 2 * radius:
        raise OutOfRange(
            "cell", f"{cell:g} m is no chord of a cylinder of radius {radius:g} m", "give less"
        )
    turn = 2 * math.asin(cell / (2 * radius))
    sag = radius - math.sqrt(radius**2 - cell**2 / 4)
    return Ring(turn, cells * turn, cells * radius * turn, sag)


@method(
    title="Shear of columns under a row that follows the contour of a cone",
    equation="shear = s / rho",
    source="exact geometry: turn of the contour in the unrolled sheet",
)
def contour_row_shear(apex_distance: ArrayLike, along_row: ArrayLike) -> Array:
    """Give how far a level row on a cone turns against the straight row from the same start.

    Parameters
    ----------
    apex_distance : (...) array
        Slope distance from the row up to the apex. [m]
    along_row : (...) array
        Distance along the row from its spine. [m]

    Returns
    -------
    (...) array
        Shear of the cells there. [rad]

    Raises
    ------
    OutOfRange
        The row is at the apex.
    """
    rho = np.asarray(apex_distance, float)
    if not (rho > 0).all():
        raise OutOfRange("apex_distance", "the row is at the apex", "give a length above 0")
    return np.asarray(np.asarray(along_row, float) / rho)


@method(
    title="Total curvature enclosed by a patch of a net",
    equation="integral of K dA = w(u,0) + w(0,v) - w(0,0) - w(u,v)",
    source="Hazzidakis 1879 (from memory)",
)
def enclosed_curvature(
    start: ArrayLike, row_end: ArrayLike, column_end: ArrayLike, far: ArrayLike
) -> Array:
    """Give the total Gauss curvature under a patch from the angles of the net at its corners.

    Parameters
    ----------
    start : (...) array
        Angle between row and column, always on the same side, at the patch's start. [rad]
    row_end : (...) array
        The same at the end of the first row. [rad]
    column_end : (...) array
        The same at the end of the first column. [rad]
    far : (...) array
        The same at the far corner. [rad]

    Returns
    -------
    (...) array
        Total curvature; above 0 on domes and bowls, below 0 on saddles. [rad]
    """
    a, b, c, d = (np.asarray(v, float) for v in (start, row_end, column_end, far))
    return np.asarray(b + c - a - d)
