"""The soil of a storm on the rows: the fill of the cells, and the ground that they stand on."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.given import at_least_zero, share
from hillwright.runoff.cascade import Soils


class SoilWater(NamedTuple):
    """How soil takes in water; each is one number or one for each of n cells."""

    porosity: ArrayLike  # effective: room for water in dry soil [-]
    conductivity: ArrayLike  # K of the wetted soil [m/s]
    suction: ArrayLike  # psi, suction head at the wetting front [m]
    moisture: ArrayLike  # water in it when the storm begins, at most the porosity [-]
    field_capacity: ArrayLike = 0.0  # water that does not drain out by its weight [-]


def soils_of(fill: SoilWater, ground: SoilWater, soil: Array, hold: Array, n: int) -> Soils:
    """Give the water that the cells can take over their plan area; ``soil`` [m3/m2]."""
    above, below = _checked("fill", fill, n), _checked("ground", ground, n)
    open_ = soil <= 0  # nothing but the ground takes in the water
    room = soil * (above.porosity - above.moisture)
    kept = soil * np.clip(above.field_capacity - above.moisture, 0.0, None)
    return Soils(
        hold,
        np.where(open_, np.inf, room),
        np.minimum(kept, room),
        np.where(open_, below.conductivity, above.conductivity),
        np.where(open_, _front(below), _front(above)),
        below.conductivity,
        _front(below),
        soil,
        np.asarray(below.porosity - below.moisture),
    )


class _Checked(NamedTuple):
    porosity: Array
    conductivity: Array
    suction: Array
    moisture: Array
    field_capacity: Array


def _checked(name: str, soil: SoilWater, n: int) -> _Checked:
    porosity = share(f"{name} porosity", soil.porosity)
    moisture = share(f"{name} moisture", soil.moisture)
    if (moisture > porosity).any():
        what = "more water than the soil has room for"
        raise OutOfRange(f"{name} moisture", what, "give at most the porosity")
    found = (
        porosity,
        at_least_zero(f"{name} conductivity", soil.conductivity),
        at_least_zero(f"{name} suction", soil.suction),
        moisture,
        share(f"{name} field capacity", soil.field_capacity),
    )
    for value in found:
        if value.shape not in ((), (n,)):
            what = f"{value.size} values for {n} cells"
            raise OutOfRange(name, what, "give one number, or one for each cell")
    return _Checked(*(np.broadcast_to(v, (n,)) for v in found))


def _front(soil: _Checked) -> Array:
    return np.asarray(soil.suction * (soil.porosity - soil.moisture))
