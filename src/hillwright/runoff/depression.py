"""Water that the small hollows of worked ground hold."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import INCH, numbers, words


@method(
    title="Depression storage from roughness and slope",
    equation="MDS = 0.112 RR + 0.031 RR^2 - 0.012 RR S, in cm and percent; none below 0",
    source="Onstad 1984, Depressional storage on tilled soil surfaces, Trans. ASAE 27(3) "
    "(from memory)",
)
def hollow_storage(roughness: ArrayLike, slope: ArrayLike) -> Array:
    """Give the depth of water that the hollows of tilled ground hold.

    Parameters
    ----------
    roughness : (...) array
        Random roughness: standard deviation of heights with slope and furrows taken out. [m]
    slope : (...) array
        Angle of the ground. [rad]

    Returns
    -------
    (...) array
        Depth over the whole area; 0 where the slope lets everything out. [m]

    Raises
    ------
    OutOfRange
        Negative roughness, or an angle that is none of ground.

    Notes
    -----
    Tilled ground of 0 to about 12 %. Beyond about 17 % at 3 cm roughness nothing is held. What a
    row holds comes from the shape of the row, never from this.
    """
    rr = given.at_least_zero("roughness", roughness) * 100
    percent = np.tan(guard.ground_slope(slope)) * 100
    held = 0.112 * rr + 0.031 * rr**2 - 0.012 * rr * percent
    return np.asarray(np.maximum(held, 0.0) / 100)


@method(
    title="Water that an unworked surface holds before it runs",
    equation="table of depth by surface",
    source="Tholin and Keifer 1960, as in Linsley et al. and Chow (from memory)",
)
def surface_storage(surface: str) -> float:
    """Look up what interception and small hollows hold.

    Parameters
    ----------
    surface : str
        As the table words it, as "lawn grass". [text]

    Returns
    -------
    float
        Depth over the whole area. [m]

    Raises
    ------
    OutOfRange
        A surface that the table does not have.

    Notes
    -----
    Gently sloping ground. What a row holds comes from its shape, never from this.
    """
    known = words("sheet_flow", "hollows", "surface")
    at = known.index(given.one_of("surface", surface, known))
    return float(numbers("sheet_flow", "hollows", "depth_in")[at]) * INCH
