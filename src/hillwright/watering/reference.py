"""Reference evapotranspiration of a day or month: what a field of well-watered grass would use."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import air, radiation
from hillwright.watering import given as guard
from hillwright.watering.air import FAO56
from hillwright.watering.given import DAY, MJ_DAY, MM
from hillwright.watering.radiation import ASCE
from hillwright.watering.skyday import SOLAR, sky_day

# Cn and Cd of a day by reference surface
SURFACES = {"short": (900.0, 0.34), "tall": (1600.0, 0.38)}
STANDARDS = ("fao", "asce")


class Combination(NamedTuple):
    """What the combination equation gives, and its two parts."""

    evapotranspiration: Array
    radiation_part: Array
    wind_part: Array


class ReferenceDay(NamedTuple):
    """Every step of one day's reference evapotranspiration."""

    mean: Array
    pressure: Array
    delta: Array
    gamma: Array
    saturation: Array
    vapour: Array
    wind: Array
    extraterrestrial: Array
    daylight: Array
    radiation: Array
    clear_sky: Array
    shortwave: Array
    longwave: Array
    net: Array
    evapotranspiration: Array


@method(
    title="Penman-Monteith equation for a reference surface",
    equation="ET = [0.408 D (Rn - G) + g Cn/(T + 273) u2 (es - ea)] / [D + g (1 + Cd u2)] mm/day; "
    "Cn/Cd 900/0.34 short (FAO-56), 1600/0.38 tall",
    source=FAO56 + ", equation 6; " + ASCE,
)
def penman_monteith(
    mean: ArrayLike,
    delta: ArrayLike,
    gamma: ArrayLike,
    net: ArrayLike,
    soil_heat: ArrayLike,
    wind: ArrayLike,
    saturation: ArrayLike,
    vapour: ArrayLike,
    surface: str = "short",
) -> Combination:
    """Give a day's reference evapotranspiration from its parts.

    Parameters
    ----------
    mean : (...) array
        Mean temperature, (Tmax + Tmin)/2. [degC]
    delta, gamma : (...) array
        Slope of the saturation curve and psychrometric constant. [Pa/K]
    net, soil_heat : (...) array
        Rn, and G into the soil. [W/m2]
    wind : (...) array
        At 2 m. [m/s]
    saturation, vapour : (...) array
        es and ea. [Pa]
    surface : str
        "short" (grass, 0.12 m) or "tall" (alfalfa, 0.5 m). [text]

    Returns
    -------
    evapotranspiration, radiation_part, wind_part : (...) array
        Depth in time, and what radiation and dry wind add to it; never below 0. [m/s]

    Raises
    ------
    OutOfRange
        No temperature, no wind, or no such surface.
    """
    cn, cd = SURFACES[guard.one_of("surface", surface, SURFACES)]
    t, u = guard.temperature("mean", mean), given.at_least_zero("wind", wind)
    d, g = given.above_zero("delta", delta) / 1e3, given.above_zero("gamma", gamma) / 1e3
    rn = (given.number("net", net) - given.number("soil_heat", soil_heat)) / MJ_DAY
    dry = (given.number("saturation", saturation) - given.number("vapour", vapour)) / 1e3
    dry = np.maximum(dry, 0.0)  # in fog a sensor reads more than air can hold
    below = d + g * (1 + cd * u)
    sun, blown = 0.408 * d * rn / below, g * cn / (t + 273) * u * dry / below
    per_day = MM / DAY
    total = np.maximum(sun + blown, 0.0)
    return Combination(
        np.asarray(total * per_day), np.asarray(sun * per_day), np.asarray(blown * per_day)
    )


@method(
    title="Reference evapotranspiration from temperature alone (Hargreaves)",
    equation="ET0 = 0.0023 (Tmean + 17.8) sqrt(Tmax - Tmin) 0.408 Ra",
    source=FAO56 + ", equation 52",
)
def hargreaves(
    high: ArrayLike,
    low: ArrayLike,
    extraterrestrial: ArrayLike,
    mean: ArrayLike | None = None,
) -> Array:
    """Give a day's reference evapotranspiration where only temperatures are known.

    Parameters
    ----------
    high, low : (...) array
        Of the day. [degC]
    extraterrestrial : (...) array
        Ra, above the air. [W/m2]
    mean : (...) array, optional
        Mean temperature where it is not half-way between them. [degC]

    Returns
    -------
    (...) array
        Depth in time, never below 0. [m/s]

    Raises
    ------
    OutOfRange
        A low above its high, or no radiation.

    Notes
    -----
    Of a week or more; of single days, wind and clouds make it a guess.
    """
    warm, cool = guard.temperature("high", high), guard.temperature("low", low)
    guard.not_below("low", cool, "high", warm)
    t = (warm + cool) / 2 if mean is None else guard.temperature("mean", mean)
    ra = radiation.sunlight("extraterrestrial", extraterrestrial) / MJ_DAY
    et = 0.0023 * (t + 17.8) * np.sqrt(np.maximum(warm - cool, 0)) * 0.408 * ra
    return np.asarray(np.maximum(et, 0) * MM / DAY)


@method(
    title="Reference evapotranspiration of a day from its weather",
    equation="FAO-56 chapters 3 and 4 in order; ea from ea, dew point or humidity, else e0(Tmin); "
    "Rs as measured, else from sunshine, else from Tmax - Tmin; u2 from the wind, else 2 m/s; "
    "standard asce: its constants and limits; sky moist: its clear sky of appendix D",
    source=FAO56 + ", chapters 3 and 4; " + ASCE,
)
def reference_day(
    latitude: ArrayLike,
    altitude: ArrayLike,
    day: ArrayLike,
    high: ArrayLike,
    low: ArrayLike,
    vapour: ArrayLike | None = None,
    dew_point: ArrayLike | None = None,
    humidity_high: ArrayLike | None = None,
    humidity_low: ArrayLike | None = None,
    humidity_mean: ArrayLike | None = None,
    radiation_measured: ArrayLike | None = None,
    sunshine: ArrayLike | None = None,
    radiation_factor: ArrayLike = 0.16,
    wind: ArrayLike | None = None,
    wind_height: ArrayLike = 2.0,
    soil_heat: ArrayLike = 0.0,
    surface: str = "short",
    standard: str = "fao",
    sky: str = "simple",
    solar_constant: ArrayLike = SOLAR,
) -> ReferenceDay:
    """Give a day's (or a mean day of a month's) reference evapotranspiration, with its steps.

    Parameters
    ----------
    latitude : (...) array
        North positive. [rad]
    altitude : (...) array
        Above the sea. [m]
    day : (...) array
        Day of the year, 1 January = 1. [-]
    high, low : (...) array
        Highest and lowest temperature. [degC]
    vapour : (...) array, optional
        Vapour pressure. [Pa]
    dew_point : (...) array, optional
        Mean dew point. [degC]
    humidity_high, humidity_low, humidity_mean : (...) array, optional
        Relative humidity: highest, lowest, or their mean alone. [-]
    radiation_measured : (...) array, optional
        Sunlight on level ground. [W/m2]
    sunshine : (...) array, optional
        Hours of bright sun. [s]
    radiation_factor : (...) array
        k of Rs from the range of temperature: 0.16 inland, 0.19 at a coast. [-]
    wind : (...) array, optional
        As measured. [m/s]
    wind_height : (...) array
        Of its instrument. [m]
    soil_heat : (...) array
        Into the soil; 0 for a day. [W/m2]
    surface : str
        "short" (grass) or "tall" (alfalfa). [text]
    standard : str
        "fao" or "asce". [text]
    sky : str
        Clear sky: "simple", (0.75 + 2e-5 z) Ra, or "moist", of ASCE appendix D. [text]
    solar_constant : (...) array
        0.0820 MJ/m2/min in both standards. [W/m2]

    Returns
    -------
    mean : (...) array
        Temperature. [degC]
    pressure : (...) array
        Of the air. [Pa]
    delta, gamma : (...) array
        Slope of the saturation curve, psychrometric constant. [Pa/K]
    saturation, vapour : (...) array
        es and ea. [Pa]
    wind : (...) array
        At 2 m. [m/s]
    extraterrestrial : (...) array
        Ra. [W/m2]
    daylight : (...) array
        N. [s]
    radiation, clear_sky, shortwave, longwave, net : (...) array
        Rs, Rso, Rns, Rnl and Rn. [W/m2]
    evapotranspiration : (...) array
        Depth in time. [m/s]

    Raises
    ------
    OutOfRange
        A place, day or weather that cannot be.
    """
    by = guard.one_of("standard", standard, STANDARDS)
    kind = guard.one_of("sky", sky, ("simple", "moist"))
    warm, cool = guard.temperature("high", high), guard.temperature("low", low)
    guard.not_below("low", cool, "high", warm)
    f, j = guard.latitude(latitude), guard.day_of_year(day)
    mean = np.asarray((warm + cool) / 2)
    over = sky_day(f, j, solar_constant)
    p = air.air_pressure(altitude)
    es = air.mean_saturation(warm, cool).mean
    if vapour is not None:
        ea = given.at_least_zero("vapour", vapour)
    elif dew_point is not None:
        ea = air.saturation_pressure(guard.temperature("dew_point", dew_point))
    elif humidity_high is not None or humidity_mean is not None:
        ea = air.vapour_from_humidity(warm, cool, humidity_high, humidity_low, humidity_mean)
    elif humidity_low is not None:
        right = "give humidity_high with it, or humidity_mean"
        raise OutOfRange("humidity_low", "is given alone", right)
    else:
        ea = air.saturation_pressure(cool)  # FAO-56 equation 48: dew falls on most nights
    ea = np.broadcast_to(ea, np.broadcast(ea, warm, f).shape)
    if kind == "simple":
        rso = radiation.clear_sky(over.radiation, altitude)
    else:
        rso = radiation.clear_sky_moist(over.radiation, ea, p, f, j).radiation
    if radiation_measured is not None:
        rs = radiation.sunlight("radiation_measured", radiation_measured)
    elif sunshine is not None:
        rs = radiation.radiation_from_sunshine(sunshine, over.daylight, over.radiation)
    else:
        rs = radiation.radiation_from_temperature(warm, cool, over.radiation, radiation_factor, rso)
    rnl = radiation.net_longwave(warm, cool, ea, rs, rso, by)
    rns, rn = radiation.net_radiation(rs, rnl)
    u2 = np.asarray(2.0) if wind is None else _wind(wind, wind_height)
    delta, gamma = air.saturation_slope(mean), air.psychrometric_constant(p)
    et = penman_monteith(mean, delta, gamma, rn, soil_heat, u2, es, ea, surface)
    return ReferenceDay(
        mean, p, delta, gamma, es, ea, u2, over.radiation, over.daylight, rs, rso, rns, rnl, rn,
        et.evapotranspiration,
    )  # fmt: skip


def _wind(wind: ArrayLike, height: ArrayLike) -> Array:
    # the equation gives 1.0002 at 2 m: a wind measured there is left as it is
    at = given.number("wind_height", height)
    return np.where(at == 2.0, given.at_least_zero("wind", wind), air.wind_at_2m(wind, at))
