"""Planes: through three points, and the best one through many."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.slopes import slope_and_aspect


class PlaneFit(NamedTuple):
    """The plane z = a0 + ax x + ay y and how well it fits."""

    a0: float
    ax: float
    ay: float
    slope: float
    gradient: float
    aspect: float
    rms_residual: float
    max_residual: float
    residual_standard_error: float
    r_squared: float
    residuals: Array


class TriangleMeasures(NamedTuple):
    """The plane of one triangle, asked at a place."""

    z: Array
    dz_dx: float
    dz_dy: float
    slope: float
    aspect: float
    surface_area: float
    plan_area: float


@method(
    title="Least-squares plane through spot heights",
    equation="min sum (z_i - a0 - ax x_i - ay y_i)^2",
    source="exact geometry (vertical least squares)",
)
def fit_plane(xyz: ArrayLike) -> PlaneFit:
    """Fit a plane to spots, heights alone in error.

    Parameters
    ----------
    xyz : (n, 3) array
        Spots, at least 3 and not in one line. [m]

    Returns
    -------
    a0 : float
        Height of the plane at x = y = 0. [m]
    ax, ay : float
        Its rise towards +x and +y. [-]
    slope : float
        Angle from horizontal. [rad]
    gradient : float
        Steepest rise over run. [-]
    aspect : float
        Direction it faces, clockwise from +y; not a number when level. [rad]
    rms_residual : float
        Root mean square of the heights off it. [m]
    max_residual : float
        Largest of them, without its sign. [m]
    residual_standard_error : float
        Their standard error on n - 3 degrees of freedom; not a number for 3 spots. [m]
    r_squared : float
        Share of the variance of the heights that the plane takes up; not a number when level. [-]
    residuals : (n,) array
        Heights off the plane, above is positive. [m]

    Raises
    ------
    OutOfRange
        Fewer than 3 spots, a number missing, or all spots in one line in plan.
    """
    points = np.asarray(xyz, float)
    if points.ndim != 2 or points.shape[1] != 3 or len(points) < 3:
        raise OutOfRange("xyz", f"spots of shape {points.shape}", "give x, y, z of at least 3")
    if (bad := ~np.isfinite(points).all(axis=1)).any():
        i = int(np.flatnonzero(bad)[0]) + 1
        raise OutOfRange(f"spot {i}", "a number is missing", "give x, y and z")
    middle = points.mean(axis=0)
    d = points - middle
    scale = max(float(np.abs(d[:, :2]).max()), 1e-300)
    spread = np.linalg.svd(d[:, :2] / scale, compute_uv=False)
    if spread[-1] <= 1e-9 * len(points):
        raise OutOfRange("xyz", "all spots in one line in plan", "add a spot to the side of it")
    ax, ay = np.linalg.lstsq(d[:, :2] / scale, d[:, 2], rcond=None)[0] / scale
    off = d[:, 2] - d[:, :2] @ np.array([ax, ay])
    squares, total = float((off**2).sum()), float((d[:, 2] ** 2).sum())
    free = len(points) - 3
    slope, aspect = slope_and_aspect(ax, ay)
    return PlaneFit(
        float(middle[2] - ax * middle[0] - ay * middle[1]),
        float(ax),
        float(ay),
        float(slope),
        float(np.hypot(ax, ay)),
        float(aspect),
        float(np.sqrt(squares / len(points))),
        float(np.abs(off).max()),
        float(np.sqrt(squares / free)) if free else float("nan"),
        1 - squares / total if total > 0 else float("nan"),
        off,
    )


@method(
    title="Height and slope inside one triangle",
    equation="z = z_a + p (x - x_a) + q (y - y_a), (p, q) the gradient of the triangle's plane",
    source="exact geometry",
)
def triangle_height(triangle: ArrayLike, x: ArrayLike, y: ArrayLike) -> TriangleMeasures:
    """Read a height from the plane of a triangle, and measure the triangle.

    Parameters
    ----------
    triangle : array (3, 3)
        Its corners. [m]
    x, y : (...) array
        Places inside it or on its edge. [m]

    Returns
    -------
    z : (...) array
        Height. [m]
    dz_dx, dz_dy : float
        Rise towards +x and +y. [-]
    slope : float
        Angle from horizontal. [rad]
    aspect : float
        Direction it faces, clockwise from +y; not a number when level. [rad]
    surface_area : float
        True area of the triangle. [m2]
    plan_area : float
        Its area seen from above. [m2]

    Raises
    ------
    OutOfRange
        Corners in one line in plan, or a place outside the triangle.
    """
    t = np.asarray(triangle, float)
    if t.shape != (3, 3) or not np.isfinite(t).all():
        raise OutOfRange("triangle", "not three corners", "give x, y, z of three corners")
    u, v = t[1] - t[0], t[2] - t[0]
    normal = np.cross(u, v)
    if abs(normal[2]) <= 1e-12 * float(np.abs([u[:2], v[:2]]).max()) ** 2:
        raise OutOfRange("triangle", "corners in one line in plan", "give corners with an area")
    dx, dy = np.asarray(x, float) - t[0, 0], np.asarray(y, float) - t[0, 1]
    second = (dx * v[1] - dy * v[0]) / normal[2]
    third = (u[0] * dy - u[1] * dx) / normal[2]
    if (bad := ~(np.minimum(np.minimum(second, third), 1 - second - third) >= -1e-9)).any():
        i = int(np.flatnonzero(np.atleast_1d(bad))[0]) + 1
        raise OutOfRange(f"place {i}", "outside the triangle", "ask inside it")
    p, q = -normal[0] / normal[2], -normal[1] / normal[2]
    slope, aspect = slope_and_aspect(p, q)
    return TriangleMeasures(
        np.asarray(t[0, 2] + p * dx + q * dy),
        float(p),
        float(q),
        float(slope),
        float(aspect),
        float(np.linalg.norm(normal)) / 2,
        abs(float(normal[2])) / 2,
    )
