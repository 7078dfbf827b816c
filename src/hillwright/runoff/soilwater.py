"""How soils of a texture take in water: the mean parameters that Green-Ampt needs."""

from __future__ import annotations

from typing import NamedTuple

from hillwright.data import table
from hillwright.given import one_of
from hillwright.method import method

_CM, _CM_H = 0.01, 0.01 / 3600


class Soil(NamedTuple):
    """Green-Ampt parameters of a soil."""

    effective_porosity: float
    suction: float
    conductivity: float


@method(
    title="Green-Ampt parameters by soil texture",
    equation="table look-up: effective porosity, suction at the front, K of the wetted soil",
    source="Rawls, Brakensiek and Miller 1983, J. Hydraul. Eng. 109(1) "
    "(four of the eleven rows from memory)",
)
def green_ampt_soil(texture: str) -> Soil:
    """Look up the mean Green-Ampt parameters of a soil by its texture.

    Parameters
    ----------
    texture : str
        USDA texture class, as in "sandy loam". [text]

    Returns
    -------
    effective_porosity : float
        Room for water in dry soil. [-]
    suction : float
        Suction head at the wetting front. [m]
    conductivity : float
        Of the soil behind the front. [m/s]

    Raises
    ------
    OutOfRange
        No such texture class.

    Notes
    -----
    Means with very wide ranges: suction and conductivity of one texture vary tenfold.
    """
    rows = {row["texture"]: row for row in table("infiltration")["soil"]}
    row = rows[one_of("texture", " ".join(str(texture).split()), tuple(rows))]
    return Soil(
        row["effective_porosity"], row["suction_cm"] * _CM, row["conductivity_cm_h"] * _CM_H
    )
