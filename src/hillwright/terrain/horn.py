"""Slope of a grid of heights by Horn's weighted differences, steady under noise."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.slopes import slope_and_aspect

_SOURCE = (
    "Horn 1981, Hill shading and the reflectance map, Proc. IEEE 69(1); also Burrough and "
    "McDonnell 1998, Principles of Geographical Information Systems (from memory)"
)
_EQUATION = (
    "dz/dx = [(c + 2f + i) - (a + 2d + g)] / (8 dx); "
    "dz/dy southward = [(g + 2h + i) - (a + 2b + c)] / (8 dy)"
)


class HornSlope(NamedTuple):
    """Horn's gradient and what follows from it."""

    dz_dx: Array
    dz_dy: Array
    dz_dy_rowwise: Array
    rise_run: Array
    slope: Array
    aspect: Array


@method(title="Horn slope of a grid", equation=_EQUATION, source=_SOURCE)
def horn(heights: ArrayLike, cell_x: float, cell_y: float | None = None) -> HornSlope:
    """Give gradient, slope and aspect at the inner nodes of a grid of heights.

    Parameters
    ----------
    heights : (ny, nx) array
        North row first; a missing height leaves its neighbours without a slope. [any]
    cell_x : float
        Column spacing, in the unit of the heights. [any]
    cell_y : float, optional
        Row spacing southward, negative when the rows go north; left out, cells are square. [any]

    Returns
    -------
    dz_dx : (ny - 2, nx - 2) array
        Rise towards the east. [-]
    dz_dy : (ny - 2, nx - 2) array
        Rise towards the north. [-]
    dz_dy_rowwise : (ny - 2, nx - 2) array
        Rise towards the next row (southward when the north row is first). [-]
    rise_run : (ny - 2, nx - 2) array
        Steepest rise over run. [-]
    slope : (ny - 2, nx - 2) array
        Angle from horizontal. [rad]
    aspect : (ny - 2, nx - 2) array
        Direction the ground faces, clockwise from north; not a number where flat. [rad]

    Raises
    ------
    OutOfRange
        Fewer than 3 rows or columns, or a spacing of zero.

    Notes
    -----
    Exact on a plane. The outermost rows and columns have no slope by this method.
    """
    z = np.asarray(heights, float)
    dy = cell_x if cell_y is None else cell_y
    if z.ndim != 2 or min(z.shape) < 3:
        raise OutOfRange("heights", f"a grid of shape {z.shape}", "give at least 3 by 3 heights")
    if not (cell_x > 0 and np.isfinite(cell_x) and dy != 0 and np.isfinite(dy)):
        raise OutOfRange("cell", "no spacing between the heights", "give a spacing above 0")
    west, east = z[:, :-2], z[:, 2:]
    across = east - west
    p = (across[:-2] + 2 * across[1:-1] + across[2:]) / (8 * cell_x)
    down = z[2:] - z[:-2]
    q = (down[:, :-2] + 2 * down[:, 1:-1] + down[:, 2:]) / (8 * abs(dy))
    north = -q * np.sign(dy) + 0.0
    slope, aspect = slope_and_aspect(p, north)
    return HornSlope(p, north, q, np.hypot(p, q), slope, aspect)


@method(title="Horn slope of a 3 by 3 window", equation=_EQUATION, source=_SOURCE)
def horn_window(window: ArrayLike, cell_x: float, cell_y: float | None = None) -> HornSlope:
    """Give gradient, slope and aspect at the middle of nine heights.

    Parameters
    ----------
    window : array (3, 3)
        Heights a b c / d e f / g h i, north row first. [any]
    cell_x : float
        Column spacing, in the unit of the heights. [any]
    cell_y : float, optional
        Row spacing southward; left out, cells are square. [any]

    Returns
    -------
    dz_dx : float
        Rise towards the east. [-]
    dz_dy : float
        Rise towards the north. [-]
    dz_dy_rowwise : float
        Rise towards the south, down the rows. [-]
    rise_run : float
        Steepest rise over run. [-]
    slope : float
        Angle from horizontal. [rad]
    aspect : float
        Direction the ground faces, clockwise from north; not a number when flat. [rad]

    Raises
    ------
    OutOfRange
        Not 3 by 3 heights, one of them missing, or a spacing of zero.
    """
    z = np.asarray(window, float)
    if z.shape != (3, 3) or not np.isfinite(z).all():
        raise OutOfRange("window", "not nine heights", "give 3 rows of 3 heights, north row first")
    return HornSlope(*(figure[0, 0] for figure in horn(z, cell_x, cell_y)))
