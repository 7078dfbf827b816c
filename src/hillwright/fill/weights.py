"""What a filled cell weighs: dry, as it went in, and with its pores full."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.fill.given import at_least_zero, where
from hillwright.method import method


class CellMass(NamedTuple):
    """Masses of the n cells with their soil and mulch."""

    dry: Array
    moist: Array
    saturated: Array


@method(
    title="Mass of a filled cell",
    equation="m = box + V_soil p_soil + V_mulch p_mulch, p dry, moist or saturated",
    source="exact",
    symbols={
        "V_soil": "soil",
        "p_soil": "soil_density",
        "V_mulch": "mulch",
        "p_mulch": "mulch_density",
        "p": "density",
    },
)
def cell_mass(
    soil: ArrayLike,
    soil_density: ArrayLike,
    mulch: ArrayLike = 0.0,
    mulch_density: ArrayLike = (0.0, 0.0, 0.0),
    box: ArrayLike = 0.0,
) -> CellMass:
    """Give the mass of cells with what is in them.

    Parameters
    ----------
    soil : (n,) array or float
        Settled volume of soil. [m3]
    soil_density : (n, 3) or (3,) array
        Dry, moist and saturated density of the settled soil. [kg/m3]
    mulch : (n,) array or float, optional
        Volume of mulch. [m3]
    mulch_density : (n, 3) or (3,) array, optional
        Dry, moist and saturated density of the mulch. [kg/m3]
    box : (n,) array or float, optional
        Empty cell with its clips. [kg]

    Returns
    -------
    dry, moist, saturated : (n,) array
        Mass of the filled cell. [kg]

    Raises
    ------
    OutOfRange
        A negative volume or density, or soil that is lighter wet than dry.
    """
    found = []
    for name, volume, density in (
        ("soil", soil, soil_density),
        ("mulch", mulch, mulch_density),
    ):
        v = np.atleast_1d(at_least_zero(name, volume))
        p = np.atleast_2d(at_least_zero(f"{name}_density", density))
        if (bad := np.asarray((np.diff(p, axis=1) < -1e-9).any(axis=1))).any():
            raise OutOfRange(
                where(f"{name}_density", bad), "lighter wet than dry", "give dry, moist, saturated"
            )
        found.append(v[:, None] * p)
    total = np.atleast_1d(at_least_zero("box", box))[:, None] + found[0] + found[1]
    return CellMass(*(np.ascontiguousarray(total[:, k]) for k in range(3)))
