"""What the methods of this room may be given: each wrong input has a message of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange


def where(name: str, bad: Mask | np.bool_) -> str:
    """Name the input, and which of its values where there are several, counted from 1."""
    if np.size(bad) == 1:
        return name
    return f"{name}, value {int(np.flatnonzero(bad)[0]) + 1}"


def number(name: str, value: ArrayLike) -> Array:
    """Pass numbers on, or refuse what is none."""
    found = np.asarray(value, float)
    if (bad := np.asarray(~np.isfinite(found))).any():
        raise OutOfRange(where(name, bad), "is not a number", "give a finite number")
    return found


def above_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers above 0 on."""
    found = number(name, value)
    if (bad := np.asarray(found <= 0)).any():
        what = "is negative" if (found[bad] < 0).any() else "is zero"
        raise OutOfRange(where(name, bad), what, "give more than 0")
    return found


def at_least_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers of 0 or more on."""
    found = number(name, value)
    if (bad := np.asarray(found < 0)).any():
        raise OutOfRange(where(name, bad), "is negative", "give 0 or more")
    return found


def share(name: str, value: ArrayLike, most: float = 1.0) -> Array:
    """Pass shares from 0 to ``most`` on."""
    found = number(name, value)
    if (bad := np.asarray((found < 0) | (found > most))).any():
        raise OutOfRange(where(name, bad), f"is not within 0 to {most:g}", "give it as a share")
    return found


def below_one(name: str, value: ArrayLike) -> Array:
    """Pass shares from 0 to less than 1 on: what is lost of a whole of which something stays."""
    found = at_least_zero(name, value)
    if (bad := np.asarray(found >= 1)).any():
        raise OutOfRange(where(name, bad), "leaves nothing over", "give a share below 1, as 15 %")
    return found
