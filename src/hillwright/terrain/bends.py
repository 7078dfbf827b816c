"""How the ground bends: maps of slope, aspect and curvature, and the sharpest bend for a cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Mask, frozen
from hillwright.terrain.curvature import curvatures
from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.slopes import slope_and_aspect


@dataclass(frozen=True, slots=True, eq=False)
class ShapeMaps:
    """The shape of the ground at the (ny, nx) nodes of its field."""

    slope: Array  # from horizontal [rad]
    aspect: Array  # the way that it faces, clockwise from +y; NaN where level [rad]
    profile: Array  # curvature down the fall line, convex positive; NaN where level [1/m]
    tangential: Array  # square to it, along a row; NaN where level [1/m]
    gauss: Array  # product of the principal curvatures; a net shears by it [1/m2]


@dataclass(frozen=True, slots=True, eq=False)
class Bend:
    """The place where the ground bends most, along the rows or down the slope."""

    curvature: float  # convex is positive [1/m]
    along_row: bool  # else down the slope
    at: Array  # (2,) [m]
    derivatives: tuple[float, float, float, float, float]  # p, q [-], r, s, t [1/m]


def shape_maps(field: HeightField, reach: float) -> ShapeMaps:
    """Map the shape of the ground as a cell feels it.

    Parameters
    ----------
    field : HeightField
        The ground.
    reach : float
        Second differences are taken over so far to each side: half a cell, so that what a base
        bridges does not count as shape [m].
    """
    p, q, r, s, t = _derivatives(field, reach)
    steep, bent = slope_and_aspect(p, q), curvatures(p, q, r, s, t)
    return ShapeMaps(
        frozen(np.asarray(steep.slope)),
        frozen(np.asarray(steep.aspect)),
        frozen(bent.profile),
        frozen(bent.tangential),
        frozen(bent.gauss),
    )


def sharpest_bend(field: HeightField, inside: Mask, reach: float) -> Bend:
    """Find where the ground bends most inside the outline.

    Parameters
    ----------
    field : HeightField
        The ground.
    inside : (ny, nx) mask
        Nodes that count.
    reach : float
        As in :func:`shape_maps` [m].
    """
    derivatives = tuple(d[inside] for d in _derivatives(field, reach))
    bent = curvatures(*derivatives)
    both = np.nan_to_num(np.stack((bent.profile, bent.tangential)))
    if not both.size:
        return Bend(0.0, False, np.full(2, np.nan), (0.0,) * 5)
    row, k = np.unravel_index(int(np.argmax(np.abs(both))), both.shape)
    x, y = field.window.mesh()
    return Bend(
        float(both[row, k]),
        bool(row),
        frozen(np.array([x[inside][k], y[inside][k]])),
        tuple(float(d[k]) for d in derivatives),  # type: ignore[arg-type]  # five of them
    )


def _derivatives(field: HeightField, reach: float) -> tuple[Array, Array, Array, Array, Array]:
    """Give dz/dx, dz/dy and the second derivatives at the nodes, over the nearest whole nodes."""
    k = max(round(reach / field.step), 1)
    h = k * field.step
    z = np.pad(field.heights, k, mode="reflect", reflect_type="odd")
    n, m = field.heights.shape

    def moved(j: int, i: int) -> Array:
        return z[k + j * k : k + j * k + n, k + i * k : k + i * k + m]

    middle = moved(0, 0)
    p = (moved(0, 1) - moved(0, -1)) / (2 * h)
    q = (moved(1, 0) - moved(-1, 0)) / (2 * h)
    r = (moved(0, 1) - 2 * middle + moved(0, -1)) / h**2
    t = (moved(1, 0) - 2 * middle + moved(-1, 0)) / h**2
    s = (moved(1, 1) - moved(1, -1) - moved(-1, 1) + moved(-1, -1)) / (4 * h**2)
    return p, q, r, s, t
