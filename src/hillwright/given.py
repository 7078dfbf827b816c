"""Guards of what methods are given: each wrong input has a message of its own.

A room that knows of further quantities (an angle of ground, a depth of rain) has its own guards in
its ``given.py``, made from these.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange, did_you_mean


def where(name: str, bad: Mask | np.bool_) -> str:
    """Name the input, and which of its values where there are several, counted from 1."""
    if np.ndim(bad) == 0:
        return name
    place = np.argwhere(bad)[0] + 1
    return f"{name}, value {', '.join(str(int(p)) for p in place)}"


def number(name: str, value: ArrayLike) -> Array:
    """Pass numbers on, or refuse what is none."""
    found = np.asarray(value, float)
    if (bad := ~np.isfinite(found)).any():
        raise OutOfRange(where(name, bad), "is not a number", "give a finite number")
    return found


def above_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers above 0 on."""
    found = number(name, value)
    if (bad := found <= 0).any():
        what = "is negative" if (found[bad] < 0).any() else "is zero"
        raise OutOfRange(where(name, bad), what, "give more than 0")
    return found


def at_least_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers of 0 or more on."""
    found = number(name, value)
    if (bad := found < 0).any():
        raise OutOfRange(where(name, bad), "is negative", "give 0 or more")
    return found


def within(name: str, value: ArrayLike, least: float, most: float, right: str = "") -> Array:
    """Pass pure numbers from ``least`` to ``most`` on."""
    found = number(name, value)
    if (bad := (found < least) | (found > most)).any():
        what = f"{float(found[bad].flat[0]):g} is not within {least:g} to {most:g}"
        raise OutOfRange(where(name, bad), what, right or f"give {least:g} to {most:g}")
    return found


def share(name: str, value: ArrayLike) -> Array:
    """Pass shares from 0 to 1 on."""
    return within(name, value, 0.0, 1.0, 'give a share from 0 to 1, or write it as in "35 %"')


def one_of(name: str, word: str, known: tuple[str, ...]) -> str:
    """Pass a word on that is known, whatever its case."""
    by_fold = {k.casefold(): k for k in known}
    if (found := by_fold.get(str(word).strip().casefold())) is None:
        few = ", ".join(known) if len(known) < 16 else "see the table"
        raise OutOfRange(name, f"{word!r} is not known", did_you_mean(str(word), known, few))
    return found
