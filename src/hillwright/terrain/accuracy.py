"""How good heights and taped lengths are."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class SlopeTape(NamedTuple):
    """A taped slope length brought to the level, by the root and by the series."""

    horizontal: Array
    correction: Array
    correction_first: Array
    correction_second: Array


@method(
    title="Vertical accuracy at 95 %",
    equation="accuracy_z = 1.96 RMSE_z",
    source="FGDC 1998, Geospatial Positioning Accuracy Standards, part 3 (NSSDA)",
)
def nssda_vertical(rmse_z: ArrayLike, n_check_points: int = 20) -> Array:
    """Give the error that 95 of 100 heights stay within.

    Parameters
    ----------
    rmse_z : (...) array
        Root mean square error at check points, 0 or more. [m]
    n_check_points : int
        How many check points it came from, at least 20. [-]

    Returns
    -------
    (...) array
        Accuracy at the 95 % level. [m]

    Raises
    ------
    OutOfRange
        An error below zero, or fewer than the 20 check points that the standard asks for.

    Notes
    -----
    Errors that are normal and without bias; over plants give the 95th percentile instead.
    """
    rmse = np.asarray(rmse_z, float)
    if not ((rmse >= 0) & np.isfinite(rmse)).all():
        raise OutOfRange("rmse_z", "not an error", "give 0 or more")
    if n_check_points < 20:
        raise OutOfRange(
            "n_check_points", f"{n_check_points:g} check points", "use at least 20 (NSSDA)"
        )
    return np.asarray(1.96 * rmse)


@method(
    title="Taped slope length to horizontal, difference in height known",
    equation="H = sqrt(s^2 - h^2); correction = s - H ~ h^2/(2s) + h^4/(8 s^3)",
    source="US Navy, NAVEDTRA 14069 (Engineering Aid Basic), p. 12-15",
)
def slope_tape(slope_distance: ArrayLike, height_difference: ArrayLike) -> SlopeTape:
    """Give the level length of a tape that lay on the slope.

    Parameters
    ----------
    slope_distance : (...) array
        Along the slope, above 0. [m]
    height_difference : (...) array
        Between its ends, up or down. [m]

    Returns
    -------
    horizontal : (...) array
        Level length, exact. [m]
    correction : (...) array
        To take off the taped length, exact. [m]
    correction_first : (...) array
        First term of the series, good below 5 %. [m]
    correction_second : (...) array
        First and second term. [m]

    Raises
    ------
    OutOfRange
        No length, or ends further apart in height than the tape is long.
    """
    s, h = np.asarray(slope_distance, float), np.abs(np.asarray(height_difference, float))
    if not ((s > 0) & np.isfinite(s)).all():
        raise OutOfRange("slope_distance", "no length", "give a length above 0")
    if not (h <= s).all():
        raise OutOfRange(
            "height_difference", "more than the tape is long", "give at most the slope distance"
        )
    horizontal = np.sqrt((s - h) * (s + h))
    first = h**2 / (2 * s)
    return SlopeTape(horizontal, h**2 / (s + horizontal), first, first + h**4 / (8 * s**3))
