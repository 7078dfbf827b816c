"""What the methods of this room may be given: each wrong input has a message of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.given import above_zero, at_least_zero, number, where, within

_MOST_RAIN = 10.0  # more than ever fell in a month; what is above was given in another unit [m]


def rain_depth(value: ArrayLike, name: str = "rain") -> Array:
    """Pass depths of rain on [m]."""
    found = at_least_zero(name, value)
    if (bad := found > _MOST_RAIN).any():
        what = f"{float(found[bad].flat[0]):g} m of rain never fell anywhere"
        raise OutOfRange(where(name, bad), what, 'give its unit, as in "6 in" or "150 mm"')
    return found


def curve_number(value: ArrayLike, name: str = "curve_number") -> Array:
    """Pass curve numbers from 30 to 100 on."""
    return within(
        name, value, 30.0, 100.0, "give a curve number from 30 to 100: below 30, sources use 30"
    )


def gradient(value: ArrayLike, name: str = "gradient") -> Array:
    """Pass gradients of running water on: above 0, at most 2 (63 degrees)."""
    found = above_zero(name, value)
    if (bad := found > 2.0).any():
        what = f"{float(found[bad].flat[0]):g} is steeper than 2 down for 1 along"
        right = 'give fall over run, as 0.05, or with a unit, as "5 %"'
        raise OutOfRange(where(name, bad), what, right)
    return found


def ground_slope(value: ArrayLike, name: str = "slope") -> Array:
    """Pass angles of ground on: 0 to less than upright [rad]."""
    found = number(name, value)
    if (bad := (found < 0) | (found >= np.pi / 2 - 1e-9)).any():
        raise OutOfRange(
            where(name, bad), "is not an angle of ground", "give 0 to less than 90 deg"
        )
    return found


def rising(name: str, value: ArrayLike, right: str) -> Array:
    """Pass a list of numbers on, each above the one before and the first above 0."""
    found = above_zero(name, np.atleast_1d(np.asarray(value, float)))
    if found.ndim != 1:
        raise OutOfRange(name, "is not one list of numbers", right)
    if (bad := np.diff(found) <= 0).any():
        at = int(np.flatnonzero(bad)[0])
        what = f"{found[at + 1]:g} stands behind {found[at]:g}"
        raise OutOfRange(f"{name}, value {at + 2}", what, right)
    return found
