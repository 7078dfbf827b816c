"""How many rows a slope holds, and how a stiff cell sits on curved ground."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.slopes import ground_angle


class RowCount(NamedTuple):
    """Rows counted along the slope, and what counting in plan would lose."""

    slope_length: Array
    rows: Index
    rows_if_plan_length_used: Index
    drop_per_row: Array


class Sag(NamedTuple):
    """Ground against the middle of a straight base."""

    sag: Array
    approx: Array


def _whole(ratio: Array) -> Index:
    # a slope that is a whole number of rows long holds them all, rounding or no
    return np.asarray(np.floor(ratio * (1 + 1e-12) + 1e-9), dtype=np.intp)


@method(
    title="Number of rows on a slope",
    equation="n = floor(d / cos(slope) / pitch); drop per row = pitch sin(slope)",
    source="exact geometry",
)
def rows_on_slope(plan_depth: ArrayLike, slope: ArrayLike, row_pitch: ArrayLike) -> RowCount:
    """Count the whole rows between two level lines, along the slope and not in plan.

    Parameters
    ----------
    plan_depth : (...) array
        Level distance from the top line to the bottom line, 0 or more. [m]
    slope : (...) array
        Angle from horizontal, 0 to less than pi/2. [rad]
    row_pitch : (...) array
        From row to row along the slope, above 0. [m]

    Returns
    -------
    slope_length : (...) array
        From line to line along the slope. [m]
    rows : (...) array
        Whole rows. [-]
    rows_if_plan_length_used : (...) array
        Whole rows that a count in plan would give. [-]
    drop_per_row : (...) array
        Height from row to row. [m]

    Raises
    ------
    OutOfRange
        A pitch of zero or less, a depth below zero, or ground that stands upright.
    """
    depth, pitch = np.asarray(plan_depth, float), np.asarray(row_pitch, float)
    angle = ground_angle(slope)
    if not ((pitch > 0) & np.isfinite(pitch)).all():
        raise OutOfRange("row_pitch", "no distance from row to row", "give a length above 0")
    if not ((depth >= 0) & np.isfinite(depth)).all():
        raise OutOfRange("plan_depth", "not a depth", "give a length of 0 or more")
    length = np.asarray(depth / np.cos(angle))
    drop = np.asarray(pitch * np.sin(angle))
    return RowCount(length, _whole(length / pitch), _whole(np.asarray(depth / pitch)), drop)


@method(
    title="Gap under the middle of a stiff cell on curved ground",
    equation="sag = R - sqrt(R^2 - L^2/4) ~ L^2 / (8 R)",
    source="exact geometry",
)
def cell_sag(cell_length: ArrayLike, ground_radius: ArrayLike) -> Sag:
    """Give how far the ground bends away from a straight base between its ends.

    Parameters
    ----------
    cell_length : (...) array
        Length of the base, above 0. [m]
    ground_radius : (...) array
        Radius that the ground bends with: positive on a hump, negative in a hollow. [m]

    Returns
    -------
    sag : (...) array
        On a hump the ends stand off so far; below zero, in a hollow, the middle does. [m]
    approx : (...) array
        The same by L^2/8R. [m]

    Raises
    ------
    OutOfRange
        A base of no length, or ground that bends too sharply to carry its ends.
    """
    length, radius = np.asarray(cell_length, float), np.asarray(ground_radius, float)
    if not ((length > 0) & np.isfinite(length)).all():
        raise OutOfRange("cell_length", "no length", "give a length above 0")
    if not (np.abs(radius) >= length / 2).all():
        raise OutOfRange(
            "ground_radius",
            "bends too sharply for a base of this length",
            "give a radius of at least half the length",
        )
    with np.errstate(divide="ignore", invalid="ignore"):
        half = length / 2
        # the difference of R and the root, without losing the digits of a large R
        depth = half**2 / (np.abs(radius) + np.sqrt(np.abs(radius) ** 2 - half**2))
        return Sag(np.asarray(np.sign(radius) * depth), np.asarray(length**2 / (8 * radius)))
