"""Plan areas from corners and from offsets."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.outlines import ring_of
from hillwright.terrain.slopes import ground_angle


class PolygonMeasures(NamedTuple):
    """Size and middle of a polygon."""

    area: float
    perimeter: float
    centroid: Array


class InclinedArea(NamedTuple):
    """A level-looking rectangle on a slope."""

    plan_area: Array
    slope_area: Array
    slope_depth: Array


@method(
    title="Area by coordinates",
    equation="2 A = sum(x_i y_(i+1) - x_(i+1) y_i); centroid from the same products",
    source="exact geometry (shoelace formula)",
    symbols={"A": "area", "x_i": "a corner", "y_i": "a corner", "i": "corners, counted round"},
)
def polygon_area(xy: ArrayLike) -> PolygonMeasures:
    """Give area, perimeter and centroid of an outline; its direction does not matter.

    Parameters
    ----------
    xy : (n, 2) array
        Corners in order, closed or not. [m]

    Returns
    -------
    area : float
        Plan area. [m2]
    perimeter : float
        Length round it. [m]
    centroid : (2,) array
        Where it balances. [m]

    Raises
    ------
    OutOfRange
        Fewer than 3 corners, corners in one line, or an outline that crosses itself.
    """
    ring = ring_of(xy)
    d = ring - ring[0]
    nxt = np.roll(d, -1, axis=0)
    product = d[:, 0] * nxt[:, 1] - nxt[:, 0] * d[:, 1]
    twice = product.sum()
    centroid = ((d + nxt) * product[:, None]).sum(axis=0) / (3 * twice) + ring[0]
    perimeter = np.hypot(*(nxt - d).T).sum()
    return PolygonMeasures(float(twice / 2), float(perimeter), centroid)


@method(
    title="True area of a rectangle on an inclined plane",
    equation="A = w d / cos(slope)",
    source="exact geometry",
)
def inclined_area(plan_width: ArrayLike, plan_depth: ArrayLike, slope: ArrayLike) -> InclinedArea:
    """Give what a rectangle in plan measures on the hill.

    Parameters
    ----------
    plan_width : (...) array
        Along the contour, above 0. [m]
    plan_depth : (...) array
        Level distance up and down the hill, above 0. [m]
    slope : (...) array
        Angle from horizontal, 0 to less than pi/2. [rad]

    Returns
    -------
    plan_area : (...) array
        As rain and soil loss see it. [m2]
    slope_area : (...) array
        As cells cover it. [m2]
    slope_depth : (...) array
        Taped down the hill. [m]

    Raises
    ------
    OutOfRange
        A width or depth of zero or less, or ground that stands upright.
    """
    width, depth = np.asarray(plan_width, float), np.asarray(plan_depth, float)
    for name, side in (("plan_width", width), ("plan_depth", depth)):
        if not ((side > 0) & np.isfinite(side)).all():
            raise OutOfRange(name, "no length", "give a length above 0")
    slope_depth = np.asarray(depth / np.cos(ground_angle(slope)))
    return InclinedArea(width * depth, width * slope_depth, slope_depth)


@method(
    title="Area from offsets, trapezoidal rule",
    equation="A = sum(d_i (o_i + o_(i+1)) / 2)",
    source="trapezoidal rule; Ghilani and Wolf, Elementary Surveying (from memory)",
)
def area_by_offsets(spacing: ArrayLike, offsets: ArrayLike) -> float:
    """Give the area between a base line and a boundary from offsets along the line.

    Parameters
    ----------
    spacing : float or (n - 1,) array
        From each offset to the next, above 0. [m]
    offsets : (n,) array
        Square to the base line, 0 or more, at least two. [m]

    Returns
    -------
    float
        Plan area. [m2]

    Raises
    ------
    OutOfRange
        Fewer than 2 offsets, an offset on the other side, or a spacing of zero or less.
    """
    o = _offsets(offsets, 2)
    d = np.asarray(spacing, float)
    if d.ndim > 1 or (d.ndim == 1 and len(d) != len(o) - 1):
        raise OutOfRange(
            "spacing",
            f"{d.size} spacings for {len(o)} offsets",
            f"give one spacing, or {len(o) - 1} of them",
        )
    if not ((d > 0) & np.isfinite(d)).all():
        raise OutOfRange("spacing", "no distance between two offsets", "give a spacing above 0")
    return float((d * (o[:-1] + o[1:]) / 2).sum())


@method(
    title="Area from offsets, Simpson's one-third rule",
    equation="A = d/3 [o_1 + o_n + 4 (even offsets) + 2 (odd offsets between)]",
    source="Simpson's one-third rule; Ghilani and Wolf, Elementary Surveying (from memory)",
)
def area_by_offsets_simpson(spacing: float, offsets: ArrayLike) -> float:
    """Give the area between a base line and a curved boundary from evenly spaced offsets.

    Parameters
    ----------
    spacing : float
        From each offset to the next, above 0. [m]
    offsets : (n,) array
        Square to the base line, 0 or more; an odd number of them, at least three. [m]

    Returns
    -------
    float
        Plan area. [m2]

    Raises
    ------
    OutOfRange
        An even number of offsets, fewer than 3, one on the other side, or no spacing.
    """
    o = _offsets(offsets, 3)
    if len(o) % 2 == 0:
        raise OutOfRange(
            "offsets", f"{len(o)} of them, an even number", "give an odd number of offsets"
        )
    if not (spacing > 0 and np.isfinite(spacing)):
        raise OutOfRange("spacing", "no distance between two offsets", "give a spacing above 0")
    return float(spacing / 3 * (o[0] + o[-1] + 4 * o[1:-1:2].sum() + 2 * o[2:-1:2].sum()))


def _offsets(offsets: ArrayLike, least: int) -> Array:
    o = np.asarray(offsets, float)
    if o.ndim != 1 or len(o) < least:
        raise OutOfRange("offsets", f"{o.size} of them", f"give at least {least} in a list")
    if (bad := ~((o >= 0) & np.isfinite(o))).any():
        i = int(np.flatnonzero(bad)[0])
        raise OutOfRange(
            f"offset {i + 1}",
            f"{o[i]:g} lies on the other side of the base line",
            "give offsets of 0 or more; work out the other side on its own",
        )
    return o
