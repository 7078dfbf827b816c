"""What the methods of this room may be given: each wrong input has a message of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange


def number(name: str, value: ArrayLike) -> Array:
    """Pass finite numbers on."""
    found = np.asarray(value, float)
    if (bad := ~np.isfinite(found)).any():
        raise OutOfRange(_where(name, bad), "is not a number", "give a finite number")
    return found


def within(name: str, value: ArrayLike, low: float, high: float, right: str) -> Array:
    """Pass numbers from ``low`` to ``high`` on."""
    found = number(name, value)
    slack = 1e-12 * max(abs(low), abs(high))
    if (bad := (found < low - slack) | (found > high + slack)).any():
        said = f"{float(found[bad].flat[0]):.6g} is outside {low:.6g} to {high:.6g}"
        raise OutOfRange(_where(name, bad), said, right)
    return found


def latitude(value: ArrayLike) -> Array:
    """Pass latitudes on, north is positive [rad]."""
    return within("latitude", value, -np.pi / 2, np.pi / 2, "give -90 to 90 deg, north is positive")


def declination(value: ArrayLike) -> Array:
    """Pass declinations of the sun on [rad]."""
    right = "the sun's declination is never beyond 23.5 deg, north is positive"
    return within("declination", value, -0.4103, 0.4103, right)


def day(value: ArrayLike) -> Array:
    """Pass days of the year on."""
    return within("day", value, 1, 366, "count the days of the year from 1 to 366")


def slope(value: ArrayLike) -> Array:
    """Pass angles of ground on, level to upright [rad]."""
    return within("slope", value, 0.0, np.pi / 2, "give 0 to 90 deg")


def at_least_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers of 0 or more on."""
    found = number(name, value)
    if (bad := found < 0).any():
        raise OutOfRange(_where(name, bad), "is negative", "give 0 or more")
    return found


def _where(name: str, bad: np.ndarray) -> str:
    if np.ndim(bad) == 0 or np.size(bad) == 1:
        return name
    place = np.argwhere(bad)[0] + 1
    return f"{name}, value {', '.join(str(int(p)) for p in place)}"
