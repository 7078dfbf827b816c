"""What the methods of hands may be given: each wrong input has a message of its own."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean

GRAVITY = 9.80665  # standard [m/s2]
KCAL_MIN = 4184.0 / 60  # [W]
POUND = 0.45359237  # [kg]


def number(name: str, value: ArrayLike) -> Array:
    """Pass numbers on, or refuse what is none."""
    found = np.asarray(value, float)
    if not np.isfinite(found).all():
        raise OutOfRange(name, "is not a number", "give a finite number")
    return found


def at_least_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers of 0 or more on."""
    found = number(name, value)
    if (found < 0).any():
        raise OutOfRange(name, "is negative", "give 0 or more")
    return found


def above_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers above 0 on."""
    found = number(name, value)
    if (found <= 0).any():
        what = "is negative" if (found < 0).any() else "is zero"
        raise OutOfRange(name, what, "give more than 0")
    return found


def within(name: str, value: ArrayLike, least: float, most: float, right: str = "") -> Array:
    """Pass numbers from ``least`` to ``most`` on."""
    found = number(name, value)
    if (bad := (found < least) | (found > most)).any():
        what = f"{float(np.atleast_1d(found)[np.atleast_1d(bad)][0]):g} is not within "
        raise OutOfRange(name, f"{what}{least:g} to {most:g}", right or "give it so")
    return found


def one_of(name: str, value: str, known: Iterable[str]) -> str:
    """Pass one of the known words on, or name the nearest."""
    words, word = tuple(known), " ".join(value.lower().split())
    for each in words:
        if each.lower() == word:
            return each
    right = did_you_mean(value, words, f"known are {', '.join(words)}")
    raise OutOfRange(name, f'"{value}" is not known', right)


@cache
def rows(file: str, name: str) -> tuple[dict[str, Any], ...]:
    """Give the rows of one table of ``data/`` as column -> cell."""
    found = table(file)[name]
    return tuple(dict(zip(found["columns"], r, strict=True)) for r in found["rows"])
