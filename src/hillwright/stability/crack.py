"""How deep the ground cracks at the crest of a slope."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.stability import given
from hillwright.stability.given import WATER


class Crack(NamedTuple):
    """The tension crack at a crest."""

    active: Array
    depth: Array
    thrust: Array


@method(
    title="Depth of the tension crack",
    equation="z = 2 c / (g sqrt(Ka)) - q / g, Ka = tan^2(45 deg - p / 2); thrust = gw z^2 / 2",
    source="Rankine; Craig, Soil Mechanics (equation from memory)",
)
def crack_depth(
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    *,
    surcharge: ArrayLike = 0.0,
    water_unit_weight: float = WATER,
) -> Crack:
    """Give the depth to which level ground behind a crest stands in tension.

    Parameters
    ----------
    cohesion, friction, unit_weight : (...) array
        Of the soil at the crest; undrained strength is cohesion with friction 0.
        [Pa], [rad], [N/m3]
    surcharge : (...) array
        Pressure on the ground behind the crest; it closes the crack. [Pa]
    water_unit_weight : float
        Of the water that may fill it. [N/m3]

    Returns
    -------
    active : (...) array
        Rankine's active coefficient. [-]
    depth : (...) array
        Of the crack, dry; 0 where the load closes it. [m]
    thrust : (...) array
        Of the crack filled with water, a third of the depth above its bottom. [N/m]

    Raises
    ------
    OutOfRange
        Strength, weight or load that no soil has.

    Notes
    -----
    For level ground behind the crest. A crack deeper than about half of the slope is not
    counted on to stay open; a circle must be cut off at it and its water pushed on the mass.
    """
    c = given.at_least_zero("cohesion", cohesion)
    p = given.friction_angle(friction)
    g = given.soil_weight(unit_weight)
    q = given.at_least_zero("surcharge", surcharge)
    water = given.above_zero("water_unit_weight", water_unit_weight)
    active = np.tan(np.pi / 4 - p / 2) ** 2
    depth = np.maximum(2 * c / (g * np.sqrt(active)) - q / g, 0.0)
    depth, active = np.broadcast_arrays(depth, active)
    return Crack(np.asarray(active), np.asarray(depth), np.asarray(0.5 * water * depth**2))
