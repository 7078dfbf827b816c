"""One upright column of soil on a slip plane parallel to the ground: the forces on it.

All forms of the infinite slope, and the limits found from it, come from this one balance. Along
the plane the driving shear is W (sin b cos b + kh cos^2 b) and the total normal stress is
W (cos^2 b - kh sin b cos b), W being the upright stress of soil and surcharge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.stability.given import (
    WATER,
    above_zero,
    at_least_zero,
    friction_angle,
    ground_slope,
    soil_weight,
    water_within,
    within,
)


class Column(NamedTuple):
    """A column of soil on the slip plane: checked, SI, of shapes that broadcast."""

    slope: Array
    depth: Array
    cohesion: Array  # of soil and roots together
    tan_friction: Array
    moist: Array
    saturated: Array
    water: Array  # height above the plane
    surcharge: Array
    kh: Array
    ru: Array
    water_weight: Array
    above: Array  # height of water above the ground

    @property
    def weight(self) -> Array:
        """Upright stress on the plane from soil, water in it, and surcharge [Pa]."""
        return self.surcharge + self.moist * (self.depth - self.water) + self.saturated * self.water

    @property
    def pore_pressure(self) -> Array:
        """Water pressure on the plane [Pa]."""
        return np.asarray(self.flowing + self.ru * (self.weight - self.surcharge))

    @property
    def flowing(self) -> Array:
        """Pressure on the plane of water that flows parallel to the ground [Pa]."""
        return np.asarray(self.water_weight * (self.water + self.above) * np.cos(self.slope) ** 2)

    @property
    def normal_share(self) -> Array:
        """Total normal stress on the plane over the upright stress."""
        c = np.cos(self.slope)
        return np.asarray(c * (c - self.kh * np.sin(self.slope)))

    @property
    def driving_share(self) -> Array:
        """Driving shear on the plane over the upright stress."""
        c = np.cos(self.slope)
        return np.asarray(c * (np.sin(self.slope) + self.kh * c))


def column_of(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    saturated_weight: ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    root_cohesion: ArrayLike = 0.0,
    kh: ArrayLike = 0.0,
    pore_pressure_ratio: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
    water_above: ArrayLike = 0.0,
) -> Column:
    """Check everything that :func:`hillwright.stability.infinite.infinite_slope` takes.

    Raises
    ------
    OutOfRange
        The first wrong input, each with its own message.
    """
    moist = soil_weight(unit_weight)
    saturated = moist
    if saturated_weight is not None:
        saturated = soil_weight(saturated_weight, "saturated_weight")
        check_saturated(moist, saturated)
    z = above_zero("depth", depth)
    water = water_within(water_height, z, of="depth")
    ru = within("pore_pressure_ratio", pore_pressure_ratio, 0, 1)
    if np.any((ru > 0) & (water > 0)):
        raise OutOfRange(
            "pore_pressure_ratio",
            "stands beside a water height: the same water would count twice",
            "give one of them",
        )
    return Column(
        slope=ground_slope(slope),
        depth=z,
        cohesion=at_least_zero("cohesion", cohesion)
        + at_least_zero("root_cohesion", root_cohesion),
        tan_friction=np.asarray(np.tan(friction_angle(friction))),
        moist=moist,
        saturated=saturated,
        water=water,
        surcharge=at_least_zero("surcharge", surcharge),
        kh=within("kh", kh, 0, 1),
        ru=ru,
        water_weight=above_zero("water_weight", water_weight),
        above=_joined(water_above, water, z),
    )


def _joined(water_above: ArrayLike, water: Array, depth: Array) -> Array:
    above = at_least_zero("water_above", water_above)
    if np.any((above > 0) & (water < depth * (1 - 1e-9))):
        raise OutOfRange(
            "water_above",
            "stands on ground that is not full of water",
            "give a water height as high as the depth, or no water above the ground",
        )
    return above


def check_saturated(moist: Array, saturated: Array) -> None:
    """Refuse soil that would weigh less with its pores full than moist."""
    less = np.atleast_1d(saturated < moist * (1 - 1e-9))
    if less.any():
        where = "saturated_weight"
        if less.size > 1:
            where += f", value {int(np.flatnonzero(less)[0]) + 1}"
        raise OutOfRange(
            where,
            "soil with its pores full of water weighs less than the same soil moist",
            "give at least the moist unit weight",
        )


def factor(column: Column) -> Array:
    """Give resisting over driving shear, at least 0; infinite where nothing drives."""
    normal = column.weight * column.normal_share - column.pore_pressure
    resisting = np.maximum(column.cohesion + normal * column.tan_friction, 0.0)
    return over(resisting, column.weight * column.driving_share)


def over(resisting: Array, driving: Array) -> Array:
    """Divide; what nothing drives is held without limit."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(driving > 0, resisting / driving, np.inf))
