"""What the methods of this room may be given: each wrong input has a message of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange

WATER = 9810.0  # unit weight of water [N/m3]
_STEEPEST_FRICTION = np.radians(50.0)  # no soil of the tables is above this [rad]
_HEAVIEST = 30_000.0  # unit weight of solid rock; what is above was given in another unit [N/m3]


def _where(name: str, bad: Mask) -> str:
    """Name the input, and which of its values where there are several, counted from 1."""
    if np.size(bad) == 1:
        return name
    return f"{name}, value {int(np.flatnonzero(bad)[0]) + 1}"


def number(name: str, value: ArrayLike) -> Array:
    """Pass numbers on, or refuse what is none."""
    found = np.asarray(value, float)
    if (bad := np.asarray(~np.isfinite(found))).any():
        raise OutOfRange(_where(name, bad), "is not a number", "give a finite number")
    return found


def above_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers above 0 on."""
    found = number(name, value)
    if (bad := np.asarray(found <= 0)).any():
        what = "is negative" if (found[bad] < 0).any() else "is zero"
        raise OutOfRange(_where(name, bad), what, "give more than 0")
    return found


def at_least_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers of 0 or more on."""
    found = number(name, value)
    if (bad := np.asarray(found < 0)).any():
        raise OutOfRange(_where(name, bad), "is negative", "give 0 or more")
    return found


def within(name: str, value: ArrayLike, least: float, most: float) -> Array:
    """Pass pure numbers from ``least`` to ``most`` on."""
    found = number(name, value)
    if (bad := np.asarray((found < least) | (found > most))).any():
        raise OutOfRange(
            _where(name, bad), f"is not within {least:g} to {most:g}", "give it so, as a share"
        )
    return found


def friction_angle(value: ArrayLike, name: str = "friction") -> Array:
    """Pass friction angles on: 0 to 50 degrees [rad]."""
    found = number(name, value)
    if (bad := np.asarray(found < 0)).any():
        raise OutOfRange(_where(name, bad), "is negative", "give 0 to 50 deg")
    if (bad := np.asarray(found > _STEEPEST_FRICTION + 1e-12)).any():
        right = "give 50 deg or less; a share such as 0.6 is not an angle"
        raise OutOfRange(_where(name, bad), "is over 50 deg, and no soil has that", right)
    return found


def soil_weight(value: ArrayLike, name: str = "unit_weight") -> Array:
    """Pass unit weights of soil on: above 0, no heavier than rock [N/m3]."""
    found = above_zero(name, value)
    if (bad := np.asarray(found > _HEAVIEST)).any():
        right = "give 30 kN/m3 (190 pcf) or less; a density in kg/m3 is not a unit weight"
        raise OutOfRange(_where(name, bad), "is heavier than rock", right)
    return found


def ground_slope(value: ArrayLike, name: str = "slope") -> Array:
    """Pass angles of ground on: 0 to less than upright [rad]."""
    found = number(name, value)
    if (bad := np.asarray((found < 0) | (found >= np.pi / 2 - 1e-9))).any():
        raise OutOfRange(
            _where(name, bad), "is not an angle of ground", "give 0 to less than 90 deg"
        )
    return found


def water_within(
    water: ArrayLike, depth: ArrayLike, name: str = "water_height", of: str = "thickness"
) -> Array:
    """Pass heights of water on that stay in the soil [m]."""
    found = at_least_zero(name, water)
    if (bad := np.asarray(found > np.asarray(depth, float) * (1 + 1e-9))).any():
        raise OutOfRange(_where(name, bad), "stands above the ground", f"give 0 to the {of}")
    return found


def fitting(**values: ArrayLike) -> None:
    """Refuse arrays whose sizes do not go together."""
    shapes = {name: np.shape(value) for name, value in values.items() if np.ndim(value)}
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        told = ", ".join(f"{name} has {shape[-1]}" for name, shape in shapes.items())
        right = "give every list the same length, or one number for all"
        raise OutOfRange(" and ".join(shapes), f"do not go together: {told}", right) from None
