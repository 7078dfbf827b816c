"""Crop coefficients of food plants: by stage of growth, climate, and ground that they cover."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import tables
from hillwright.watering.air import FAO56

_KC = "give a crop coefficient, 0 to 1.4"


class Crop(NamedTuple):
    """What the tables say of a crop."""

    initial: float
    middle: float
    end: float
    height: float


class Roots(NamedTuple):
    """How deep a crop roots, and how far it may dry its soil."""

    shallow: float
    deep: float
    depletion: float


class Dual(NamedTuple):
    """Crop water use with and without stress."""

    coefficient: Array
    evapotranspiration: Array


@method(
    title="Crop coefficients of a crop",
    equation="table look-up: Kc ini, Kc mid, Kc end, greatest height",
    source=FAO56 + ", table 12",
)
def crop_coefficients(crop: str) -> Crop:
    """Look up the single crop coefficients of a crop.

    Parameters
    ----------
    crop : str
        As the table calls it, "tomato" or "squash, zucchini". [text]

    Returns
    -------
    initial, middle, end : float
        Kc of the three stages. [-]
    height : float
        Greatest height. [m]

    Raises
    ------
    OutOfRange
        No such crop in the table.

    Notes
    -----
    For a humidity of 45 % by day and wind of 2 m/s; see the adjustment for climate.
    """
    found = tables.row("crops", "coefficients", "crop", crop)
    return Crop(found["kc_ini"], found["kc_mid"], found["kc_end"], found["height_m"])


@method(
    title="Roots of a crop and how far it may dry its soil",
    equation="table look-up: least and greatest effective root depth, depletion fraction p",
    source=FAO56 + ", table 22",
)
def crop_roots(crop: str) -> Roots:
    """Look up the root depth and the depletion fraction of a crop.

    Parameters
    ----------
    crop : str
        As the table calls it. [text]

    Returns
    -------
    shallow, deep : float
        Range of effective root depths; the shallower is for scheduling. [m]
    depletion : float
        Share of the available water that may be used before the plant is short, where it uses
        5 mm a day. [-]

    Raises
    ------
    OutOfRange
        No such crop in the table.

    Notes
    -----
    Never deeper than the soil that roots can reach.
    """
    found = tables.row("crops", "roots", "crop", crop)
    return Roots(found["zr_min_m"], found["zr_max_m"], found["p"])


@method(
    title="Crop coefficient for the climate",
    equation="Kc = Kc(table) + [0.04 (u2 - 2) - 0.004 (RHmin - 45)] (h/3)^0.3; "
    "u2 1 to 6 m/s, RHmin 20 to 80 %, h 0.1 to 10 m",
    source=FAO56 + ", equation 62",
)
def coefficient_for_climate(
    coefficient: ArrayLike,
    wind: ArrayLike,
    humidity_low: ArrayLike,
    height: ArrayLike,
    at_end: bool = False,
) -> Array:
    """Adjust a tabled Kc mid or Kc end to the wind and the dryness of a climate.

    Parameters
    ----------
    coefficient : (...) array
        As tabled. [-]
    wind : (...) array
        Mean at 2 m during the stage. [m/s]
    humidity_low : (...) array
        Mean lowest relative humidity of the days of the stage. [-]
    height : (...) array
        Mean height of the crop during the stage. [m]
    at_end : bool
        Kc end: adjusted only where the table gives 0.45 or more. [-]

    Returns
    -------
    (...) array
        Kc for the climate. [-]

    Raises
    ------
    OutOfRange
        A coefficient, wind, humidity or height that cannot be.

    Notes
    -----
    Wind, humidity and height outside the equation's limits are taken at the limits.
    """
    kc = given.within("coefficient", coefficient, 0, 1.5, _KC)
    u = np.clip(given.at_least_zero("wind", wind), 1, 6)
    rh = np.clip(given.share("humidity_low", humidity_low) * 100, 20, 80)
    h = np.clip(given.above_zero("height", height), 0.1, 10)
    adjusted = kc + (0.04 * (u - 2) - 0.004 * (rh - 45)) * (h / 3) ** 0.3
    return np.where(at_end & (kc < 0.45), kc, adjusted)


@method(
    title="Crop coefficient through the season",
    equation="Kc ini, then in a line to Kc mid, Kc mid, then in a line to Kc end: "
    "Kc = Kc prev + (i - sum of stages before)/(length of stage) (Kc next - Kc prev)",
    source=FAO56 + ", equation 66",
)
def coefficient_curve(
    day: ArrayLike,
    stages: ArrayLike,
    initial: float,
    middle: float,
    end: float,
    outside: float = 0.0,
) -> Array:
    """Give the crop coefficient on days counted from planting.

    Parameters
    ----------
    day : (...) array
        Day of the crop, 1 is the day of planting. [-]
    stages : (4,) array
        Lengths of the four stages in days: initial, development, middle, late. [-]
    initial, middle, end : float
        Kc of the stages. [-]
    outside : float
        Kc before planting and after the last day. [-]

    Returns
    -------
    (...) array
        Kc of each day. [-]

    Raises
    ------
    OutOfRange
        Not four stages, a stage of less than no time, or no coefficient.
    """
    lengths = given.at_least_zero("stages", stages)
    if lengths.shape != (4,) or not lengths.sum() > 0:
        raise OutOfRange(
            "stages", "are not four lengths", "give initial, development, middle, late"
        )
    ki, km, ke = (
        float(given.within(n, v, 0, 1.5, _KC))
        for n, v in (("initial", initial), ("middle", middle), ("end", end))
    )
    i = given.number("day", day)
    corners = np.concatenate([[0.0], np.cumsum(lengths)])
    kc = np.interp(i, corners, [ki, ki, km, km, ke])
    return np.where((i < 0) | (i > corners[-1]), outside, kc)


@method(
    title="Water use of a crop",
    equation="ETc = Ks (Kcb + Ke) ET0; single coefficient: Ke = 0, Kcb = Kc",
    source=FAO56 + ", equations 58, 69 and 80",
)
def crop_use(
    reference: ArrayLike,
    coefficient: ArrayLike,
    evaporation: ArrayLike = 0.0,
    stress: ArrayLike = 1.0,
) -> Dual:
    """Give the water that a crop uses.

    Parameters
    ----------
    reference : (...) array
        ET0. [m/s]
    coefficient : (...) array
        Kc, or the basal Kcb. [-]
    evaporation : (...) array
        Ke of the wet soil surface, with a basal coefficient. [-]
    stress : (...) array
        Ks, 1 for a plant that is not short of water; it acts on the plant, not on the soil. [-]

    Returns
    -------
    coefficient : (...) array
        Ks Kcb + Ke. [-]
    evapotranspiration : (...) array
        ETc. [m/s]

    Raises
    ------
    OutOfRange
        A coefficient or a rate that cannot be.
    """
    kc = given.within("coefficient", coefficient, 0, 2.0, _KC)
    total = given.share("stress", stress) * kc + given.within("evaporation", evaporation, 0, 1.4)
    et = total * given.at_least_zero("reference", reference)
    return Dual(np.asarray(total), np.asarray(et))


@method(
    title="Crop coefficient of plants that do not cover the ground",
    equation="Kc = Kc min + (Kc full - Kc min) min[1, 2 fc, fc^(1/(1 + h))]",
    source=FAO56 + ", equation 98",
)
def coefficient_for_cover(
    full: ArrayLike, cover: ArrayLike, height: ArrayLike, least: ArrayLike = 0.15
) -> Array:
    """Give the coefficient of young or wide-spaced plants from how much ground they shade.

    Parameters
    ----------
    full : (...) array
        Kc under full cover. [-]
    cover : (...) array
        Share of the ground that the plants shade at noon. [-]
    height : (...) array
        Of the plants. [m]
    least : (...) array
        Kc of bare soil between them, 0.15 to 0.20. [-]

    Returns
    -------
    (...) array
        Kc of the whole area. [-]

    Raises
    ------
    OutOfRange
        A share that is none, or no coefficient.
    """
    kc = given.within("full", full, 0, 1.5, _KC)
    low = given.within("least", least, 0, 1.0, _KC)
    fc, h = given.share("cover", cover), given.at_least_zero("height", height)
    part = np.minimum(np.minimum(1.0, 2 * fc), fc ** (1 / (1 + h)))
    return np.asarray(low + np.maximum(kc - low, 0) * part)
