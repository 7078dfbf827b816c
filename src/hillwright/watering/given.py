"""What the methods of this room may be given: each wrong input has a message of its own."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange, did_you_mean

DAY = 86400.0  # [s]
MJ_DAY = 1e6 / DAY  # 1 MJ/m2 in a day, as a mean rate [W/m2]
MM = 1e-3
INCH = 0.0254
LATENT = 2.45e6  # heat that evaporates a kilogram of water: FAO-56 eq. 20 [J/kg]


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


def within(name: str, value: ArrayLike, least: float, most: float, right: str = "") -> Array:
    """Pass numbers from ``least`` to ``most`` on."""
    found = number(name, value)
    if (bad := (found < least) | (found > most)).any():
        what = f"{float(found[bad].flat[0]):g} is not within {least:g} to {most:g}"
        raise OutOfRange(where(name, bad), what, right or f"give {least:g} to {most:g}")
    return found


def at_least_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers of 0 or more on."""
    found = number(name, value)
    if (bad := found < 0).any():
        raise OutOfRange(where(name, bad), "is negative", "give 0 or more")
    return found


def above_zero(name: str, value: ArrayLike) -> Array:
    """Pass numbers above 0 on."""
    found = number(name, value)
    if (bad := found <= 0).any():
        what = "is negative" if (found[bad] < 0).any() else "is zero"
        raise OutOfRange(where(name, bad), what, "give more than 0")
    return found


def share(name: str, value: ArrayLike) -> Array:
    """Pass shares from 0 to 1 on."""
    return within(name, value, 0.0, 1.0, 'give a share from 0 to 1, or write it as in "35 %"')


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
