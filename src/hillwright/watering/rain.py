"""Effective rain: the part of a month's rain that the plants can use."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.watering import given as guard
from hillwright.watering.given import INCH, MM

_TR21 = "USDA SCS 1970, Irrigation Water Requirements, Technical Release 21"
METHODS = ("scs", "fao46", "fao rule", "share")


def _month(name: str, value: ArrayLike) -> Array:
    right = 'give its unit, as in "3 in" or "75 mm"'
    return given.within(name, value, 0.0, 10.0, right)


@method(
    title="Storage factor of effective rain",
    equation="SF = 0.531747 + 0.295164 D - 0.057697 D^2 + 0.003804 D^3, D in inches",
    source=_TR21 + " (as quoted in public programs)",
)
def storage_factor(storage: ArrayLike) -> Array:
    """Give how usable storage in the soil raises effective rain.

    Parameters
    ----------
    storage : (...) array
        D, water that may be used up between waterings. [m]

    Returns
    -------
    (...) array
        SF, 1 at 3 in. [-]

    Raises
    ------
    OutOfRange
        Storage outside the 0 to 7 in that the equation was drawn for.

    Notes
    -----
    D is usually 40 to 60 % of the available water of the root zone.
    """
    right = "the equation holds from 0 to 7 in (0.178 m)"
    d = given.within("storage", storage, 0.0, 7.0 * INCH, right) / INCH
    return np.asarray(0.531747 + 0.295164 * d - 0.057697 * d**2 + 0.003804 * d**3)


@method(
    title="Effective rain of a month (SCS)",
    equation="Pe = SF (0.70917 P^0.82416 - 0.11556) 10^(0.02426 ETc) in, not above P or ETc; "
    "millimetre form Pe = SF (1.25 P^0.824 - 2.93) 10^(0.000955 ETc)",
    source=_TR21 + " (as quoted in public programs)",
)
def effective_rain_scs(
    rain: ArrayLike, use: ArrayLike, storage: ArrayLike = 3.0 * INCH, form: str = "inch"
) -> Array:
    """Give the effective part of a month's rain from what plants use and what soil stores.

    Parameters
    ----------
    rain, use : (...) array
        Mean rain of the month, and what the plants use in it. [m]
    storage : (...) array
        Usable storage of the root zone. [m]
    form : str
        "inch" (as published) or "millimetre" (its converted form). [text]

    Returns
    -------
    (...) array
        Effective rain. [m]

    Raises
    ------
    OutOfRange
        Negative depths, storage outside 0 to 7 in, or no such form.

    Notes
    -----
    Of monthly means. It knows neither how hard the rain falls nor how steep the ground is.
    """
    kind = guard.one_of("form", form, ("inch", "millimetre"))
    p, et, sf = _month("rain", rain), _month("use", use), storage_factor(storage)
    if kind == "inch":
        got = (0.70917 * (p / INCH) ** 0.82416 - 0.11556) * 10 ** (0.02426 * et / INCH) * INCH
    else:
        got = (1.25 * (p / MM) ** 0.824 - 2.93) * 10 ** (0.000955 * et / MM) * MM
    return np.asarray(np.clip(sf * got, 0.0, np.minimum(p, et)))


@method(
    title="Effective rain of a month (simplified)",
    equation="Pe = P (125 - 0.2 P)/125 up to 250 mm, 125 + 0.1 P above",
    source="Smith 1992, CROPWAT, FAO Irrigation and Drainage Paper 46 (as quoted in a public "
    "program)",
)
def effective_rain_fao46(rain: ArrayLike) -> Array:
    """Give the effective part of a month's rain from the rain alone.

    Parameters
    ----------
    rain : (...) array
        Of the month. [m]

    Returns
    -------
    (...) array
        Effective rain. [m]

    Raises
    ------
    OutOfRange
        Negative rain.
    """
    p = _month("rain", rain) / MM
    return np.where(p <= 250, p * (125 - 0.2 * p) / 125, 125 + 0.1 * p) * MM


@method(
    title="Effective rain of a month (rule of thumb)",
    equation="Pe = 0.6 P - 10 mm below 75 mm, 0.8 P - 25 mm above, not below 0",
    source="Brouwer and Heibloem 1986, Irrigation Water Needs, FAO Training Manual 3 (from memory)",
)
def effective_rain_rule(rain: ArrayLike) -> Array:
    """Give the effective part of a month's rain on gentle ground.

    Parameters
    ----------
    rain : (...) array
        Of the month. [m]

    Returns
    -------
    (...) array
        Effective rain. [m]

    Raises
    ------
    OutOfRange
        Negative rain.

    Notes
    -----
    For slopes up to 4 or 5 %: on bare steep ground it promises too much; rows that hold their
    water may be taken as level.
    """
    p = _month("rain", rain) / MM
    # the two lines cross at 75 mm, so that there is no step
    return np.maximum(np.where(p < 75, 0.6 * p - 10, 0.8 * p - 25), 0) * MM


@method(
    title="Effective rain as a share",
    equation="Pe = e P",
    source="common practice, no source",
)
def effective_rain_share(rain: ArrayLike, effective: ArrayLike = 0.8) -> Array:
    """Give a set share of rain.

    Parameters
    ----------
    rain : (...) array
        Of any time. [m]
    effective : (...) array
        Share that plants can use. [-]

    Returns
    -------
    (...) array
        Effective rain. [m]

    Raises
    ------
    OutOfRange
        Negative rain, or no share.
    """
    return np.asarray(_month("rain", rain) * given.share("effective", effective))
