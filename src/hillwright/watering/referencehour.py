"""Reference evapotranspiration of an hour."""

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
from hillwright.watering.given import MM
from hillwright.watering.radiation import ASCE, STEFAN_BOLTZMANN
from hillwright.watering.skyday import sky_hour

_MJ_HOUR = 1e6 / 3600  # 1 MJ/m2 in an hour, as a rate [W/m2]
# Cn, Cd by day and by night, G/Rn by day and by night
_HOURLY = {
    ("fao", "short"): (37.0, 0.34, 0.34, 0.1, 0.5),
    ("asce", "short"): (37.0, 0.24, 0.96, 0.1, 0.5),
    ("asce", "tall"): (66.0, 0.25, 1.7, 0.04, 0.2),
}


class ReferenceHour(NamedTuple):
    """Every step of one hour's reference evapotranspiration."""

    delta: Array
    gamma: Array
    saturation: Array
    vapour: Array
    wind: Array
    extraterrestrial: Array
    clear_sky: Array
    cloud_ratio: Array
    shortwave: Array
    longwave: Array
    net: Array
    soil_heat: Array
    evapotranspiration: Array


@method(
    title="Reference evapotranspiration of an hour",
    equation="ET = [0.408 D (Rn - G) + g Cn/(T + 273) u2 (e0(T) - ea)] / [D + g (1 + Cd u2)] "
    "mm/h; FAO-56: Cn 37, Cd 0.34, G = 0.1 Rn by day, 0.5 Rn by night; ASCE short: Cd 0.24 by "
    "day, 0.96 by night; ASCE tall: Cn 66, Cd 0.25 and 1.7, G 0.04 and 0.2 Rn",
    source=FAO56 + ", equations 45, 46 and 53; " + ASCE,
)
def reference_hour(
    latitude: ArrayLike,
    longitude: ArrayLike,
    zone: ArrayLike,
    altitude: ArrayLike,
    day: ArrayLike,
    time: ArrayLike,
    temperature: ArrayLike,
    radiation_measured: ArrayLike,
    wind: ArrayLike,
    humidity: ArrayLike | None = None,
    vapour: ArrayLike | None = None,
    wind_height: ArrayLike = 2.0,
    night_ratio: ArrayLike = 0.8,
    period: ArrayLike = 3600.0,
    surface: str = "short",
    standard: str = "fao",
) -> ReferenceHour:
    """Give an hour's reference evapotranspiration, with its steps.

    Parameters
    ----------
    latitude, longitude : (...) array
        North and east positive. [rad], [rad]
    zone : (...) array
        Longitude in the middle of the time zone, east positive. [rad]
    altitude : (...) array
        Above the sea. [m]
    day : (...) array
        Day of the year, 1 January = 1. [-]
    time : (...) array
        Standard clock time in the middle of the period. [s]
    temperature : (...) array
        Mean of the air. [degC]
    radiation_measured : (...) array
        Sunlight on level ground. [W/m2]
    wind : (...) array
        As measured. [m/s]
    humidity : (...) array, optional
        Relative humidity. [-]
    vapour : (...) array, optional
        Vapour pressure, where that is known instead. [Pa]
    wind_height : (...) array
        Of the wind's instrument. [m]
    night_ratio : (...) array
        Rs/Rso that holds through the night: that of two or three hours before sunset. [-]
    period : (...) array
        Length of the period. [s]
    surface : str
        "short" (grass) or "tall" (alfalfa, standard asce only). [text]
    standard : str
        "fao" or "asce". [text]

    Returns
    -------
    delta, gamma : (...) array
        Slope of the saturation curve, psychrometric constant. [Pa/K]
    saturation, vapour : (...) array
        e0(T) and ea. [Pa]
    wind : (...) array
        At 2 m. [m/s]
    extraterrestrial, clear_sky : (...) array
        Ra and Rso. [W/m2]
    cloud_ratio : (...) array
        Rs/Rso as used. [-]
    shortwave, longwave, net, soil_heat : (...) array
        Rns, Rnl, Rn and G. [W/m2]
    evapotranspiration : (...) array
        Depth in time, never below 0. [m/s]

    Raises
    ------
    OutOfRange
        A place, time or weather that cannot be, or a surface that the standard lacks.

    Notes
    -----
    Night is where net radiation is negative (FAO: where the sun is down). FAO-56 takes one Cd for
    day and night; ASCE does not: daily sums differ.
    """
    by = guard.one_of("standard", standard, ("fao", "asce"))
    over_tall = ("short", "tall") if by == "asce" else ("short",)
    cn, cd_day, cd_night, g_day, g_night = _HOURLY[by, guard.one_of("surface", surface, over_tall)]
    t = guard.temperature("temperature", temperature)
    e0, delta = air.saturation_pressure(t), air.saturation_slope(t)
    if vapour is not None:
        ea = given.at_least_zero("vapour", vapour)
    elif humidity is not None:
        ea = e0 * given.share("humidity", humidity)
    else:
        raise OutOfRange("humidity", "is not given", "give humidity or vapour")
    gamma = air.psychrometric_constant(air.air_pressure(altitude))
    u2 = np.where(
        np.asarray(wind_height) == 2.0,
        given.at_least_zero("wind", wind),
        air.wind_at_2m(wind, wind_height),
    )
    over = sky_hour(latitude, longitude, zone, day, time, period)
    rs = radiation.sunlight("radiation_measured", radiation_measured)
    rso = radiation.clear_sky(over.radiation, altitude)
    # near the horizon Rs/Rso says nothing of the clouds: the ratio before sunset is carried on
    low = over.elevation < (0.3 if by == "asce" else 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.where((rso > 0) & ~low, rs / rso, given.share("night_ratio", night_ratio))
    ratio = np.clip(ratio, 0.3, 1.0)
    kelvin = (t + 273.16) ** 4
    black = STEFAN_BOLTZMANN[by] / 24 * kelvin * _MJ_HOUR
    rnl = black * (0.34 - 0.14 * np.sqrt(ea / 1e3)) * (1.35 * ratio - 0.35)
    rns, rn = radiation.net_radiation(rs, rnl)
    lit = rn > 0 if by == "asce" else over.elevation > 0
    g = np.where(lit, g_day, g_night) * rn
    cd = np.where(lit, cd_day, cd_night)
    d, y = delta / 1e3, gamma / 1e3
    above = 0.408 * d * (rn - g) / _MJ_HOUR + y * cn / (t + 273) * u2 * (e0 - ea) / 1e3
    et = np.maximum(above / (d + y * (1 + cd * u2)), 0) * MM / 3600
    return ReferenceHour(
        delta, gamma, e0, np.asarray(ea), u2, over.radiation, rso, np.asarray(ratio), rns,
        np.asarray(rnl), rn, np.asarray(g), np.asarray(et),
    )  # fmt: skip
