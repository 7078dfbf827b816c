"""Whether ground can be covered by a net at all."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.terrain.curvature import surface_measures
from hillwright.terrain.model import Ground
from hillwright.terrain.outlines import ring_of
from hillwright.terrain.quadrature import gauss_points, integrate, triangles_of


class Existence(NamedTuple):
    """Whether a net is sure to exist; see :func:`net_existence`."""

    total_absolute_curvature: float
    total_curvature: float
    limit: float
    share: float
    sure: bool


@method(
    title="Is a net sure to exist on this ground?",
    equation="integral of |K| dA < 2 pi, K = (r t - s^2) / (1 + p^2 + q^2)^2",
    source="Masson 2016, Journal of Geometry, Existence of global Chebyshev nets on surfaces of "
    "absolute Gaussian curvature less than 2 pi",
)
def net_existence(surface: Ground, outline: ArrayLike, tolerance: float = 1e-4) -> Existence:
    """Compare the total absolute curvature of a piece of ground with the limit.

    Parameters
    ----------
    surface : Ground
        Height of the ground over the plan. [surface]
    outline : (k, 2) or (4,) array
        Corners in plan, or a rectangle as x0, y0, x1, y1. [m]
    tolerance : float
        Error allowed, as a part of the limit and the total together. [-]

    Returns
    -------
    total_absolute_curvature : float
        Integral of the absolute Gauss curvature over the true area. [rad]
    total_curvature : float
        The same with its sign, domes and bowls above 0: the most shear that a net can pick up
        between the corners of the piece. [rad]
    limit : float
        Below it a net is sure to exist on a complete simply connected surface. [rad]
    share : float
        Part of the limit that is used up. [-]
    sure : bool
        Whether it is below the limit. [-]

    Raises
    ------
    OutOfRange
        An outline that crosses itself or has no area; ground that is not smooth all over it.

    Notes
    -----
    A sufficient condition; a hemisphere has exactly the limit. The clips of cells give out far
    earlier: 0.2 rad (11 degrees of shear) is a sensible warning for a hillside.
    """

    def rule(triangles: Array) -> Array:
        x, y, weights = gauss_points(triangles)
        # second differences over a small part of the triangle, which shrinks where K changes fast
        step = 1e-3 * math.sqrt(float(np.abs(weights).sum(axis=1).min()))
        found = surface_measures(surface, x, y, step)
        bent = found.gauss * found.area_factor * weights
        # the limit, spread over the plan, keeps flat ground from being refined for its rounding
        spread = weights.sum(axis=1) * limit / plan
        return np.stack((np.abs(bent).sum(axis=1), bent.sum(axis=1), spread), axis=1)

    limit = 2 * math.pi
    triangles = triangles_of(ring_of(outline))
    plan = float(gauss_points(triangles, 1)[2].sum())
    absolute, signed, _ = integrate(rule, triangles, tolerance)
    share = float(absolute) / limit
    return Existence(float(absolute), float(signed), limit, share, share < 1)
