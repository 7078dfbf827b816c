"""What the methods of this room may be given: each wrong input has a message of its own."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.given import number, where, within

DAY = 86400.0  # [s]
MJ_DAY = 1e6 / DAY  # 1 MJ/m2 in a day, as a mean rate [W/m2]
MM = 1e-3
INCH = 0.0254
LATENT = 2.45e6  # heat that evaporates a kilogram of water: FAO-56 eq. 20 [J/kg]


def latitude(value: ArrayLike) -> Array:
    """Pass latitudes on, north positive [rad]."""
    found = number("latitude", value)
    if (bad := np.abs(found) > np.pi / 2 + 1e-9).any():
        degrees = np.degrees(float(found[bad].flat[0]))
        what = f"{degrees:.1f} deg lies beyond the pole"
        right = "give -90 deg to 90 deg, north positive; longitude is another number"
        raise OutOfRange(where("latitude", bad), what, right)
    return found


def altitude(value: ArrayLike) -> Array:
    """Pass heights above the sea on [m]."""
    right = 'give its unit, as in "1200 ft" or "366 m"'
    return within("altitude", value, -500.0, 9000.0, right)


def day_of_year(value: ArrayLike, name: str = "day") -> Array:
    """Pass days of the year on, 1 January = 1."""
    return within(name, value, 1, 366, "count the days from 1 January = 1")


def temperature(name: str, value: ArrayLike) -> Array:
    """Pass temperatures of air on: none was ever outside -90 to 60 degrees Celsius."""
    right = "if these are degrees Fahrenheit, give them as such"
    return within(name, value, -90.0, 60.0, right)


def not_below(low_name: str, low: Array, high_name: str, high: Array) -> None:
    """Refuse a low that lies above its high."""
    if (bad := low > high + 1e-9).any():
        what = f"is above {high_name}"
        raise OutOfRange(where(low_name, bad), what, "give the lower of the two as low")


def one_of(name: str, word: str, known: Iterable[str]) -> str:
    """Pass a word on that is one of those known, however it is capitalised."""
    listed = tuple(known)
    by_lower = {k.lower(): k for k in listed}
    plain = " ".join(str(word).split()).lower()
    if plain not in by_lower:
        right = did_you_mean(str(word), listed, f"write one of {', '.join(listed)}")
        raise OutOfRange(name, f'"{word}" is not known', right)
    return by_lower[plain]
