"""Integrals over a polygon or a disc, refined where they need it until they stand still."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.errors import OutOfRange

# a rule for one figure or more: corners (k, 3, 2) of triangles -> integrals (k, figures)
Rule = Callable[[Array], Array]

_DEEPEST = 14  # halvings of a triangle before a kink is taken as it is
_MOST = 400_000  # triangles in hand at once


def gauss_points(corners: Array, order: int = 6) -> tuple[Array, Array, Array]:
    """Place Gauss points in triangles (collapsed square).

    Parameters
    ----------
    corners : (k, 3, 2) array
        Corners of the triangles [m].
    order : int
        Points each way.

    Returns
    -------
    x, y, weights : (k, order * order) array
        Places [m] and weights [m2]; negative for clockwise triangles.
    """
    node, weight = np.polynomial.legendre.leggauss(order)
    u, wu = (node + 1) / 2, weight / 2
    a, b = (g.ravel() for g in np.meshgrid(u, u, indexing="ij"))
    w = (np.outer(wu, wu)).ravel() * (1 - a)
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    twice = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    b = b * (1 - a)
    x = corners[:, :1, 0] + first[:, :1] * a + second[:, :1] * b
    y = corners[:, :1, 1] + first[:, 1:2] * a + second[:, 1:2] * b
    return x, y, w * twice[:, None]


def halved(corners: Array) -> Array:
    """Cut each triangle into four alike, in a row: (k, 3, d) to (4 k, 3, d)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    four = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.asarray(
        np.stack([np.stack(t, axis=1) for t in four], axis=1).reshape(-1, 3, corners.shape[2])
    )


def triangles_of(ring: Array) -> Array:
    """Cut a simple polygon into (k, 3, 2) triangles along its diagonals."""
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(ring)))
    corners = shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    twice = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    return np.asarray(np.where(twice[:, None, None] < 0, corners[:, ::-1], corners))


def integrate(rule: Rule, corners: Array, tolerance: float = 1e-8) -> Array:
    """Integrate over triangles, halving those whose integral still moves.

    Parameters
    ----------
    rule : Rule
        Gives the integrals of every figure over each triangle.
    corners : (k, 3, 2) array
        Triangles that cover the place [m].
    tolerance : float
        Error allowed, relative to the sum of the sizes of all figures.

    Raises
    ------
    OutOfRange
        A figure is not finite somewhere, or does not settle.
    """
    coarse = _finite(rule(corners))
    allowed = tolerance * max(float(np.abs(coarse).sum()), 1e-300)
    plan = float(np.abs(gauss_points(corners, 1)[2]).sum())
    done = np.zeros(coarse.shape[1])
    for _ in range(_DEEPEST):
        finer = halved(corners)
        fine = _finite(rule(finer))
        better = fine.reshape(len(corners), 4, -1).sum(axis=1)
        moved = np.abs(better - coarse).max(axis=1)
        share = np.abs(gauss_points(corners, 1)[2]).sum(axis=1) / plan
        # a part may move by its share of the plan; the root lets kink lines, which are thin, pass
        settled = moved <= allowed * np.sqrt(share) * 0.1
        done += better[settled].sum(axis=0)
        if settled.all():
            return done
        again = np.repeat(~settled, 4)
        corners, coarse = finer[again], fine[again]
        if len(corners) > _MOST:
            break
    return np.asarray(done + coarse.sum(axis=0))


def _finite(values: Array) -> Array:
    if not np.isfinite(values).all():
        raise OutOfRange(
            "surface", "no height or slope in a part of the outline", "keep to where it is defined"
        )
    return values


def disc_points(radius: float, centre: Array, order: int) -> tuple[Array, Array, Array]:
    """Place points over a disc: Gauss along the radius, even steps round it.

    The radius goes as a sine, so that a surface that stands upright at the rim (a hemisphere)
    is met with points enough there.

    Returns
    -------
    x, y, weights : (order, 4 * order) array
        Places [m] and weights [m2].
    """
    node, weight = np.polynomial.legendre.leggauss(order)
    t = (node + 1) * np.pi / 4
    r = radius * np.sin(t)
    ring = weight * np.pi / 4 * radius * np.cos(t) * r
    turns = 4 * order
    angle = 2 * np.pi * (np.arange(turns) + 0.5) / turns
    x = centre[0] + r[:, None] * np.cos(angle)
    y = centre[1] + r[:, None] * np.sin(angle)
    return x, y, np.repeat(ring[:, None], turns, axis=1) * (2 * np.pi / turns)
