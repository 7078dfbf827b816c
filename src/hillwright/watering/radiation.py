"""Sunlight that reaches the ground and heat that the ground gives back, day by day."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import given as guard
from hillwright.watering.air import FAO56
from hillwright.watering.given import MJ_DAY

ASCE = (
    "ASCE-EWRI 2005, The ASCE Standardized Reference Evapotranspiration Equation (as quoted in "
    "public programs)"
)
STEFAN_BOLTZMANN = {"fao": 4.903e-9, "asce": 4.901e-9}  # [MJ/K4/m2/day]
_RIGHT = 'give its unit, as in "22.1 MJ/m2/day"'


class NetRadiation(NamedTuple):
    """What the grass keeps."""

    shortwave: Array
    net: Array


class ClearSky(NamedTuple):
    """Sunlight through a clear sky, beam and sky light apart."""

    water: Array
    beam: Array
    diffuse: Array
    radiation: Array


def sunlight(name: str, value: ArrayLike) -> Array:
    """Pass rates of radiation on: 0 to more than ever falls [W/m2]."""
    return given.within(name, value, 0.0, 1500.0, _RIGHT)


@method(
    title="Sunlight from hours of sunshine",
    equation="Rs = (as + bs n/N) Ra",
    source=FAO56 + ", equation 35",
)
def radiation_from_sunshine(
    sunshine: ArrayLike,
    daylight: ArrayLike,
    extraterrestrial: ArrayLike,
    overcast: ArrayLike = 0.25,
    clear: ArrayLike = 0.5,
) -> Array:
    """Give the sunlight of a day from how long the sun shone.

    Parameters
    ----------
    sunshine, daylight : (...) array
        Hours of bright sun, and the most that there could be. [s]
    extraterrestrial : (...) array
        Ra, above the air. [W/m2]
    overcast, clear : (...) array
        Angstrom's as and bs; 0.25 and 0.50 where no local ones are known. [-]

    Returns
    -------
    (...) array
        Rs on level ground. [W/m2]

    Raises
    ------
    OutOfRange
        More sunshine than daylight, by more than a recorder's error of a quarter of an hour.
    """
    n, most = given.at_least_zero("sunshine", sunshine), given.at_least_zero("daylight", daylight)
    if (bad := n > most + 900).any():
        what = "is longer than the day"
        raise OutOfRange(given.where("sunshine", bad), what, "check its unit and the latitude")
    with np.errstate(invalid="ignore", divide="ignore"):
        part = np.where(most > 0, np.minimum(n / most, 1), 0.0)
    a, b = given.share("overcast", overcast), given.share("clear", clear)
    return np.asarray((a + b * part) * sunlight("extraterrestrial", extraterrestrial))


@method(
    title="Sunlight from the range of temperature",
    equation="Rs = k sqrt(Tmax - Tmin) Ra, no more than Rso; k = 0.16 inland, 0.19 at the coast",
    source=FAO56 + ", equation 50 (Hargreaves)",
)
def radiation_from_temperature(
    high: ArrayLike,
    low: ArrayLike,
    extraterrestrial: ArrayLike,
    factor: ArrayLike = 0.16,
    clear_sky: ArrayLike | None = None,
) -> Array:
    """Give the sunlight of a day from its highest and lowest temperature.

    Parameters
    ----------
    high, low : (...) array
        Of the day. [degC]
    extraterrestrial : (...) array
        Ra, above the air. [W/m2]
    factor : (...) array
        0.16 inland, 0.19 near a coast. [-]
    clear_sky : (...) array, optional
        Rso, which it never exceeds. [W/m2]

    Returns
    -------
    (...) array
        Rs on level ground. [W/m2]

    Raises
    ------
    OutOfRange
        A low above its high, or no radiation.

    Notes
    -----
    Not for islands, where the sea keeps the range small.
    """
    warm, cool = guard.temperature("high", high), guard.temperature("low", low)
    guard.not_below("low", cool, "high", warm)
    k = given.within("factor", factor, 0.1, 0.3, "give 0.16 inland, 0.19 at a coast")
    rs = k * np.sqrt(np.maximum(warm - cool, 0)) * sunlight("extraterrestrial", extraterrestrial)
    return np.asarray(rs if clear_sky is None else np.minimum(rs, sunlight("clear_sky", clear_sky)))


@method(
    title="Sunlight of a clear day",
    equation="Rso = (0.75 + 2e-5 z) Ra",
    source=FAO56 + ", equation 37",
)
def clear_sky(extraterrestrial: ArrayLike, altitude: ArrayLike) -> Array:
    """Give the sunlight of a day without clouds.

    Parameters
    ----------
    extraterrestrial : (...) array
        Ra, above the air. [W/m2]
    altitude : (...) array
        Above the sea. [m]

    Returns
    -------
    (...) array
        Rso on level ground. [W/m2]

    Raises
    ------
    OutOfRange
        No radiation, or no altitude.
    """
    z = guard.altitude(altitude)
    return np.asarray((0.75 + 2e-5 * z) * sunlight("extraterrestrial", extraterrestrial))


@method(
    title="Sunlight of a clear day through moist air",
    equation="W = 0.14 ea P + 2.1 mm; KB = 0.98 exp[-0.00146 P/sin b - 0.075 (W/sin b)^0.4]; "
    "KD = 0.35 - 0.36 KB, for KB < 0.15 0.18 + 0.82 KB; Rso = (KB + KD) Ra; "
    "sin b = sin[0.85 + 0.3 f sin(2 pi J/365 - 1.39) - 0.42 f^2]; P, ea in kPa",
    source=ASCE + ", appendix D",
)
def clear_sky_moist(
    extraterrestrial: ArrayLike,
    vapour: ArrayLike,
    pressure: ArrayLike,
    latitude: ArrayLike,
    day: ArrayLike,
) -> ClearSky:
    """Give the sunlight of a day without clouds, knowing how moist the air is.

    Parameters
    ----------
    extraterrestrial : (...) array
        Ra, above the air. [W/m2]
    vapour, pressure : (...) array
        Vapour pressure and pressure of the air. [Pa]
    latitude : (...) array
        North positive. [rad]
    day : (...) array
        Day of the year, 1 January = 1. [-]

    Returns
    -------
    water : (...) array
        Rain that would fall if all vapour did, W. [m]
    beam, diffuse : (...) array
        Clearness of the air for the beam and for sky light. [-]
    radiation : (...) array
        Rso on level ground. [W/m2]

    Raises
    ------
    OutOfRange
        No air, no place, or no day.
    """
    p = given.above_zero("pressure", pressure) / 1e3
    f, j = guard.latitude(latitude), guard.day_of_year(day)
    w = 0.14 * given.at_least_zero("vapour", vapour) / 1e3 * p + 2.1
    height = 0.85 + 0.3 * f * np.sin(2 * np.pi * j / 365 - 1.39) - 0.42 * f**2
    sine = np.maximum(np.sin(height), 0.01)
    kb = 0.98 * np.exp(-0.00146 * p / sine - 0.075 * (w / sine) ** 0.4)
    kd = np.where(kb >= 0.15, 0.35 - 0.36 * kb, 0.18 + 0.82 * kb)
    ra = sunlight("extraterrestrial", extraterrestrial)
    return ClearSky(np.asarray(w * guard.MM), kb, kd, np.asarray((kb + kd) * ra))


@method(
    title="Net longwave radiation of a day",
    equation="Rnl = s [(Tmax,K^4 + Tmin,K^4)/2] (0.34 - 0.14 sqrt(ea)) (1.35 Rs/Rso - 0.35); "
    "s = 4.903e-9 MJ/K4/m2/day, K = degC + 273.16, ea in kPa, 0.3 <= Rs/Rso <= 1; "
    "ASCE: s = 4.901e-9",
    source=FAO56 + ", equation 39; " + ASCE,
)
def net_longwave(
    high: ArrayLike,
    low: ArrayLike,
    vapour: ArrayLike,
    radiation: ArrayLike,
    clear_sky: ArrayLike,
    standard: str = "fao",
) -> Array:
    """Give the heat that the ground radiates to the sky, less what comes back.

    Parameters
    ----------
    high, low : (...) array
        Of the day. [degC]
    vapour : (...) array
        Vapour pressure. [Pa]
    radiation, clear_sky : (...) array
        Rs, and Rso of a day without clouds. [W/m2]
    standard : str
        "fao" or "asce": which constant. [text]

    Returns
    -------
    (...) array
        Rnl, upward positive. [W/m2]

    Raises
    ------
    OutOfRange
        A low above its high, no radiation, or no standard.
    """
    by = guard.one_of("standard", standard, STEFAN_BOLTZMANN)
    warm, cool = guard.temperature("high", high), guard.temperature("low", low)
    guard.not_below("low", cool, "high", warm)
    clouds = cloudiness(sunlight("radiation", radiation), sunlight("clear_sky", clear_sky))
    ea = given.at_least_zero("vapour", vapour) / 1e3
    black = STEFAN_BOLTZMANN[by] * ((warm + 273.16) ** 4 + (cool + 273.16) ** 4) / 2
    return np.asarray(black * (0.34 - 0.14 * np.sqrt(ea)) * clouds * MJ_DAY)


def cloudiness(rs: Array, rso: Array) -> Array:
    """Give how far clouds let longwave radiation out [-]; in polar night as under a clear sky.

    FAO-56 gives 0.33 as the Rs/Rso of dense cloud; ASCE, and programs after either, stop at 0.3.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        part = np.where(rso > 0, rs / rso, 1.0)
    return np.asarray(1.35 * np.clip(part, 0.3, 1.0) - 0.35)


@method(
    title="Net radiation",
    equation="Rns = (1 - albedo) Rs; Rn = Rns - Rnl",
    source=FAO56 + ", equations 38 and 40",
)
def net_radiation(
    radiation: ArrayLike, longwave: ArrayLike, albedo: ArrayLike = 0.23
) -> NetRadiation:
    """Give the radiation that the ground keeps.

    Parameters
    ----------
    radiation : (...) array
        Rs, sunlight. [W/m2]
    longwave : (...) array
        Rnl, net longwave, upward positive. [W/m2]
    albedo : (...) array
        Share of sunlight that is thrown back; 0.23 for the reference grass. [-]

    Returns
    -------
    shortwave, net : (...) array
        Rns and Rn. [W/m2]

    Raises
    ------
    OutOfRange
        No radiation, or an albedo that is no share.
    """
    rns = (1 - given.share("albedo", albedo)) * sunlight("radiation", radiation)
    return NetRadiation(np.asarray(rns), np.asarray(rns - given.number("longwave", longwave)))


@method(
    title="Heat that goes into the soil in a month",
    equation="G = 0.07 (T next - T previous); without the next month 0.14 (T - T previous)",
    source=FAO56 + ", equations 43 and 44",
)
def soil_heat_month(
    previous: ArrayLike, this: ArrayLike | None = None, following: ArrayLike | None = None
) -> Array:
    """Give the heat that the soil takes up in a month; over a day it is next to nothing.

    Parameters
    ----------
    previous : (...) array
        Mean temperature of the month before. [degC]
    this : (...) array, optional
        Mean temperature of the month, used where the next is not known. [degC]
    following : (...) array, optional
        Mean temperature of the next month. [degC]

    Returns
    -------
    (...) array
        G, into the soil positive. [W/m2]

    Raises
    ------
    OutOfRange
        Neither the month nor the next is given.
    """
    before = guard.temperature("previous", previous)
    if following is not None:
        return np.asarray(0.07 * (guard.temperature("following", following) - before) * MJ_DAY)
    if this is None:
        raise OutOfRange("following", "is not given", "give following, or this month's mean")
    return np.asarray(0.14 * (guard.temperature("this", this) - before) * MJ_DAY)
