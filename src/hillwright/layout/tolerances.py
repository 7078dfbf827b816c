"""How far a stake may stand off."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

STAKE = 0.025  # a row's stake may stand this far off: common practice, no source [m]
ANCHOR = 0.010  # an anchor of the top row: common practice, no source [m]
TAPE_SIGMA = 0.005  # standard error of one taut tape, read at the ground: common practice [m]


@method(
    title="Permitted deviation of a position point (built structures)",
    equation="deviation = 1.5 sqrt(L) mm, L in m",
    source="ISO 4463-1:1989 as quoted by Kala 2009, Geodesy and Cartography 35(3)",
)
def iso_position_deviation(distance: ArrayLike) -> Array:
    """Give how far a point of a concrete or steel structure may lie off, by its distance.

    Parameters
    ----------
    distance : (...) array
        Between the points, above 0. [m]

    Returns
    -------
    (...) array
        Permitted deviation, either way. [m]

    Raises
    ------
    OutOfRange
        A distance of zero or less.

    Notes
    -----
    For concrete and steel. The standard's looser groups for earthwork are not given here; for
    staked planting rows 25 mm is workable (common practice, no source).
    """
    length = np.asarray(distance, float)
    if not ((length > 0) & np.isfinite(length)).all():
        raise OutOfRange("distance", "no distance between points", "give a length above 0")
    return np.asarray(1.5e-3 * np.sqrt(length))
