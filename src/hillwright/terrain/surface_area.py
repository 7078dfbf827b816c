"""True area of the ground, over an outline, over a disc, and of triangles."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.model import Ground
from hillwright.terrain.outlines import ring_of
from hillwright.terrain.quadrature import disc_points, gauss_points, integrate, triangles_of

_EQUATION = "A = integral of sqrt(1 + p^2 + q^2) dx dy, p = dz/dx, q = dz/dy"


class SurfaceArea(NamedTuple):
    """The ground over an outline."""

    area: float
    plan_area: float
    area_factor: float
    mean_height: float


class DiscMeasures(NamedTuple):
    """The ground over a disc."""

    area: float
    plan_area: float
    volume: float
    height: float


class TinArea(NamedTuple):
    """Triangles on the hill and in plan."""

    surface_area: float
    plan_area: float


@method(title="True area of ground over an outline", equation=_EQUATION, source="exact geometry")
def surface_area(surface: Ground, outline: ArrayLike, tolerance: float = 1e-8) -> SurfaceArea:
    """Give the area of the ground itself over an outline in plan.

    Parameters
    ----------
    surface : Ground
        Height of the ground over the plan. [surface]
    outline : (k, 2) or (4,) array
        Corners in plan, or a rectangle as x0, y0, x1, y1. [m]
    tolerance : float
        Relative error allowed. [-]

    Returns
    -------
    area : float
        On the ground. [m2]
    plan_area : float
        Of the outline. [m2]
    area_factor : float
        The first over the second. [-]
    mean_height : float
        Volume over the outline above z = 0, per plan area. [m]

    Raises
    ------
    OutOfRange
        An outline that crosses itself or has no area; ground that is not defined all over it.
    """
    corners = triangles_of(ring_of(outline))

    def rule(triangles: Array) -> Array:
        x, y, w = gauss_points(triangles)
        with np.errstate(all="ignore"):
            z, p, q = surface.at(x, y)
        true = np.sqrt(1 + p * p + q * q)
        return np.stack([(w * true).sum(axis=1), (w * z).sum(axis=1), w.sum(axis=1)], axis=1)

    area, volume, plan = integrate(rule, corners, tolerance)
    return SurfaceArea(float(area), float(plan), float(area / plan), float(volume / plan))


@method(
    title="True area and volume of ground over a disc",
    equation=_EQUATION + "; V = integral of (z - base) dx dy",
    source="exact geometry",
)
def surface_over_disc(
    surface: Ground,
    plan_radius: float,
    centre: ArrayLike = (0.0, 0.0),
    base: float | None = None,
) -> DiscMeasures:
    """Give area, volume and height of the ground over a disc in plan, as of a dome or a cone.

    Parameters
    ----------
    surface : Ground
        Height of the ground over the plan. [surface]
    plan_radius : float
        Of the disc, above 0. [m]
    centre : (2,) array
        Of the disc. [m]
    base : float, optional
        Level that the volume stands on; left out, the mean height of the rim. [m]

    Returns
    -------
    area : float
        On the ground. [m2]
    plan_area : float
        Of the disc. [m2]
    volume : float
        Above the base, less what lies below it. [m3]
    height : float
        Of the ground at the centre above the base. [m]

    Raises
    ------
    OutOfRange
        No radius, or ground that is not defined all over the disc.
    """
    middle = np.asarray(centre, float)
    if not (plan_radius > 0 and np.isfinite(plan_radius)) or middle.shape != (2,):
        raise OutOfRange("plan_radius", f"{plan_radius:g} is no radius", "give a radius above 0")
    angle = 2 * np.pi * np.arange(720) / 720
    with np.errstate(all="ignore"):
        if base is None:
            rim = middle + plan_radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
            heights = surface.at(rim[:, 0], rim[:, 1])[0]
            # rounding may put a place of an upright rim (a hemisphere's) just outside the surface
            known = heights[np.isfinite(heights)]
            base = float(known.mean()) if len(known) else np.nan
        top = float(surface.at(middle[:1], middle[1:])[0][0])
    before = np.full(2, np.inf)
    for order in (8, 16, 32, 64, 128, 256):
        x, y, w = disc_points(plan_radius, middle, order)
        with np.errstate(all="ignore"):
            z, p, q = surface.at(x, y)
        now = np.array([(w * np.sqrt(1 + p * p + q * q)).sum(), (w * (z - base)).sum()])
        if not np.isfinite([*now, top]).all():
            raise OutOfRange("surface", "not defined all over the disc", "give a smaller radius")
        if (np.abs(now - before) <= 1e-12 * np.abs(now) + 1e-14).all():
            break
        before = now
    return DiscMeasures(float(now[0]), float(np.pi * plan_radius**2), float(now[1]), top - base)


@method(
    title="True and plan area of triangles",
    equation="A = |(b - a) x (c - a)| / 2",
    source="exact geometry",
)
def tin_area(xyz: ArrayLike, triangles: ArrayLike) -> TinArea:
    """Give the area of triangulated ground on the hill and in plan.

    Parameters
    ----------
    xyz : (n, 3) array
        Points. [m]
    triangles : (m, 3) int array
        Indices of the corners, from 0. [-]

    Returns
    -------
    surface_area : float
        On the hill. [m2]
    plan_area : float
        Seen from above. [m2]

    Raises
    ------
    OutOfRange
        An index that names no point.
    """
    points = np.asarray(xyz, float)
    index = np.asarray(triangles, float).astype(np.intp)
    if points.ndim != 2 or points.shape[1] != 3 or index.ndim != 2 or index.shape[1] != 3:
        raise OutOfRange("triangles", "not triples", "give x, y, z points and triples of indices")
    if index.size and (index.min() < 0 or index.max() >= len(points)):
        raise OutOfRange("triangles", "an index names no point", f"give 0 to {len(points) - 1}")
    a, b, c = (points[index[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    return TinArea(
        float(np.linalg.norm(normal, axis=1).sum() / 2), float(np.abs(normal[:, 2]).sum() / 2)
    )
