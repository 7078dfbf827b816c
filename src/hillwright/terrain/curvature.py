"""How the ground bends: the normal curvatures of a surface, convex positive."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.model import Ground
from hillwright.terrain.slopes import slope_and_aspect

_EQUATION = (
    "profile = -(p^2 r + 2 p q s + q^2 t) / [(p^2+q^2) (1+p^2+q^2)^1.5]; "
    "plan = -(q^2 r - 2 p q s + p^2 t) / (p^2+q^2)^1.5; "
    "tangential = -(q^2 r - 2 p q s + p^2 t) / [(p^2+q^2) sqrt(1+p^2+q^2)]; "
    "Gauss = (r t - s^2) / (1+p^2+q^2)^2; "
    "mean = -[(1+q^2) r - 2 p q s + (1+p^2) t] / [2 (1+p^2+q^2)^1.5]"
)
_SOURCE = "definitions of Evans 1980 and Florinsky 1998 (from memory)"


class Curvatures(NamedTuple):
    """The curvatures at a point; convex (a dome) is positive."""

    profile: Array
    plan_contour: Array
    tangential: Array
    gauss: Array
    mean: Array
    mean_abs: Array
    laplacian: Array


class QuadraticFit(NamedTuple):
    """Derivatives at the middle of nine heights."""

    p: Array
    q: Array
    r: Array
    s: Array
    t: Array


class SurfaceMeasures(NamedTuple):
    """Everything that a surface is at one place."""

    z: Array
    dz_dx: Array
    dz_dy: Array
    slope: Array
    aspect: Array
    area_factor: Array
    r: Array
    s: Array
    t: Array
    profile: Array
    plan_contour: Array
    tangential: Array
    gauss: Array
    mean: Array
    mean_abs: Array
    laplacian: Array


@method(title="Curvatures from the derivatives", equation=_EQUATION, source=_SOURCE)
def curvatures(p: ArrayLike, q: ArrayLike, r: ArrayLike, s: ArrayLike, t: ArrayLike) -> Curvatures:
    """Give the curvatures of z(x, y) from its first and second derivatives.

    Parameters
    ----------
    p, q : (...) array
        dz/dx and dz/dy. [-]
    r, s, t : (...) array
        d2z/dx2, d2z/dxdy and d2z/dy2. [1/m]

    Returns
    -------
    profile : (...) array
        Down the fall line; not a number where flat. [1/m]
    plan_contour : (...) array
        Of the contour line in plan; not a number where flat. [1/m]
    tangential : (...) array
        Square to the fall line, on the ground; not a number where flat. [1/m]
    gauss : (...) array
        Product of the two principal curvatures: zero on ground that unrolls flat. [1/m2]
    mean : (...) array
        Mean of the two principal curvatures. [1/m]
    mean_abs : (...) array
        The same without its sign. [1/m]
    laplacian : (...) array
        r + t, which counts as curvature on nearly level ground alone. [1/m]

    Notes
    -----
    Convex is positive, and the full factors of steep ground are in; figures that leave them out
    are wrong by the cube of the cosine of the slope.
    """
    p, q, r, s, t = (np.asarray(v, float) for v in (p, q, r, s, t))
    g2 = p * p + q * q
    w = 1 + g2
    down = p * p * r + 2 * p * q * s + q * q * t
    across = q * q * r - 2 * p * q * s + p * p * t
    with np.errstate(divide="ignore", invalid="ignore"):
        profile = np.where(g2 > 0, -down / (g2 * w**1.5), np.nan)
        plan = np.where(g2 > 0, -across / g2**1.5, np.nan)
        tangential = np.where(g2 > 0, -across / (g2 * np.sqrt(w)), np.nan)
    gauss = (r * t - s * s) / w**2
    mean = -((1 + q * q) * r - 2 * p * q * s + (1 + p * p) * t) / (2 * w**1.5)
    return Curvatures(profile, plan, tangential, gauss, mean, np.abs(mean), r + t)


@method(
    title="Quadratic surface through nine heights",
    equation="z = r x^2/2 + s xy + t y^2/2 + p x + q y + z0, least squares on a 3 by 3 window",
    source="Evans 1980, An integrated system of terrain analysis and slope mapping (from memory)",
)
def quadratic_fit(window: ArrayLike, cell: float) -> QuadraticFit:
    """Give the derivatives at the middle of a window; exact on any quadratic.

    Parameters
    ----------
    window : array (3, 3)
        Heights, north row first. [m]
    cell : float
        Spacing of the heights both ways. [m]

    Returns
    -------
    p, q : float
        dz/dx (east) and dz/dy (north). [-]
    r, s, t : float
        d2z/dx2, d2z/dxdy and d2z/dy2. [1/m]

    Raises
    ------
    OutOfRange
        Not nine heights, or a spacing of zero.
    """
    z = np.asarray(window, float)
    if z.shape != (3, 3) or not np.isfinite(z).all():
        raise OutOfRange("window", "not nine heights", "give 3 rows of 3 heights, north row first")
    if not (cell > 0 and np.isfinite(cell)):
        raise OutOfRange("cell", "no spacing between the heights", "give a spacing above 0")
    columns, rows = z.sum(axis=0), z.sum(axis=1)
    p = (columns[2] - columns[0]) / (6 * cell)
    q = (rows[0] - rows[2]) / (6 * cell)
    r = (columns[0] - 2 * columns[1] + columns[2]) / (3 * cell**2)
    t = (rows[0] - 2 * rows[1] + rows[2]) / (3 * cell**2)
    s = (z[0, 2] + z[2, 0] - z[0, 0] - z[2, 2]) / (4 * cell**2)
    return QuadraticFit(p, q, r, s, t)


@method(
    title="Slope, aspect and curvature of a surface at a place", equation=_EQUATION, source=_SOURCE
)
def surface_measures(
    surface: Ground, x: ArrayLike, y: ArrayLike, step: float = 0.01
) -> SurfaceMeasures:
    """Measure a surface where it is asked; second derivatives by sixth-order differences.

    Parameters
    ----------
    surface : Ground
        Height of the ground over the plan. [surface]
    x, y : (...) array
        Place in plan. [m]
    step : float
        Spacing of the differences of the gradient. [m]

    Returns
    -------
    z : (...) array
        Height. [m]
    dz_dx, dz_dy : (...) array
        Rise towards the east and towards the north. [-]
    slope : (...) array
        Angle from horizontal. [rad]
    aspect : (...) array
        Direction the ground faces, clockwise from north; not a number where flat. [rad]
    area_factor : (...) array
        True area over plan area. [-]
    r, s, t : (...) array
        d2z/dx2, d2z/dxdy and d2z/dy2. [1/m]
    profile : (...) array
        Curvature down the fall line, convex positive; not a number where flat. [1/m]
    plan_contour : (...) array
        Curvature of the contour in plan; not a number where flat. [1/m]
    tangential : (...) array
        Curvature square to the fall line; not a number where flat. [1/m]
    gauss : (...) array
        Product of the principal curvatures. [1/m2]
    mean : (...) array
        Mean of the principal curvatures, convex positive. [1/m]
    mean_abs : (...) array
        The same without its sign. [1/m]
    laplacian : (...) array
        r + t. [1/m]

    Raises
    ------
    OutOfRange
        The surface has no height or no gradient there; names the first such place.
    """
    x, y = np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float))
    offsets = step * np.array([-3, -2, -1, 0, 1, 2, 3])
    weights = np.array([-1, 9, -45, 0, 45, -9, 1]) / (60 * step)
    shift = offsets.reshape(7, *[1] * x.ndim)
    along = np.broadcast_to(shift, (7, *x.shape))
    with np.errstate(all="ignore"):
        z, p, q = (np.asarray(v, float) for v in surface.at(x, y))
        _, px, qx = surface.at(x + along, y + 0 * along)
        _, py, qy = surface.at(x + 0 * along, y + along)
    r = np.tensordot(weights, px, 1)
    t = np.tensordot(weights, qy, 1)
    s = (np.tensordot(weights, qx, 1) + np.tensordot(weights, py, 1)) / 2
    if (bad := ~np.isfinite(z + p + q + r + s + t)).any():
        i = int(np.flatnonzero(np.atleast_1d(bad))[0])
        raise OutOfRange(
            f"x = {np.ravel(x)[i]:g} m, y = {np.ravel(y)[i]:g} m",
            "the surface has no height or no slope here",
            "give a place where the ground is smooth",
        )
    slope, aspect = slope_and_aspect(p, q)
    return SurfaceMeasures(
        z, p, q, slope, aspect, np.sqrt(1 + p * p + q * q), r, s, t, *curvatures(p, q, r, s, t)
    )
