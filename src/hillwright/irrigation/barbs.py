"""What emitter barbs and fittings cost in head."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.irrigation.tables import rows, words
from hillwright.method import method


class Barb(NamedTuple):
    """An emitter barb that stands in the way of a lateral's flow."""

    area_ratio: Array
    obstruction_index: Array
    loss_coefficient: Array


@method(
    title="Loss coefficient of an emitter barb",
    equation="K = 1.23 IO^0.51, IO = ((1 - r)/r)^2, r = free area / pipe area",
    source="Rettore Neto et al., J. BIOENG 19 (K fitted at Re 6,000 to 72,000; IO from memory)",
)
def barb_loss(barb_area: ArrayLike, bore: ArrayLike) -> Barb:
    """Give the K of an on-line emitter's barb inside a lateral.

    Parameters
    ----------
    barb_area : (n,) array
        Of the barb, seen along the pipe. [m2]
    bore : (n,) array
        Inside diameter of the pipe. [m]

    Returns
    -------
    area_ratio : (n,) array
        Free area over pipe area at the barb. [-]
    obstruction_index : (n,) array
        IO. [-]
    loss_coefficient : (n,) array
        K of h = K v2/2g, v in the free pipe. [-]

    Raises
    ------
    OutOfRange
        A barb as large as the pipe.

    Notes
    -----
    Bores of 10 to 20 mm, Re 6,000 to 72,000; standard error of the fit 0.042.
    """
    area = given.at_least_zero("barb_area", barb_area)
    r = 1 - area / (np.pi / 4 * given.above_zero("bore", bore) ** 2)
    if (bad := r <= 0).any():
        raise OutOfRange(
            given.where("barb_area", bad), "fills the pipe", "give area and bore again"
        )
    index = ((1 - r) / r) ** 2
    return Barb(r, index, 1.23 * index**0.51)


@method(
    title="Length of pipe that loses as much as an emitter barb",
    equation="le = c d^-e, d in mm and le in m",
    source="Watters and Keller 1978, as in Montalvo 2003 (from memory)",
)
def barb_length(bore: ArrayLike, size: str = "standard") -> Array:
    """Give the length to add to the spacing for each barb.

    Parameters
    ----------
    bore : (n,) array
        Inside diameter of the lateral. [m]
    size : str
        "small", "standard" or "large". [text]

    Returns
    -------
    length : (n,) array
        Of pipe for each barb. [m]

    Raises
    ------
    OutOfRange
        A bore of 0 or below, an unknown size.
    """
    known = words("irrigation_tubing", "barb", "barb_size")
    kind = given.one_of("size", size, known)
    row = next(r for r in rows("irrigation_tubing", "barb") if r["barb_size"] == kind)
    d = 1e3 * given.above_zero("bore", bore)
    return np.asarray(row["coefficient"] * d ** -row["exponent"])


@method(
    title="Loss coefficient of a fitting",
    equation="h = K v^2 / 2g",
    source="EPANET 2.2 User Manual (Rossman et al. 2020), Table 3.3",
)
def fitting_loss(fitting: str) -> float:
    """Look a fitting up.

    Parameters
    ----------
    fitting : str
        Its name in the table. [text]

    Returns
    -------
    loss_coefficient : float
        K, full bore. [-]

    Raises
    ------
    OutOfRange
        A fitting that is not tabled.
    """
    kind = given.one_of("fitting", fitting, words("irrigation_tubing", "fitting", "fitting"))
    return next(float(r["K"]) for r in rows("irrigation_tubing", "fitting") if r["fitting"] == kind)
