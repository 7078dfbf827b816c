"""The air over the garden: pressure, the moisture that it holds and could hold, wind at 2 m."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import given as guard

FAO56 = (
    "Allen, Pereira, Raes and Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage "
    "Paper 56"
)
_KPA = 1e3


class Saturation(NamedTuple):
    """What the air of a day could hold."""

    at_high: Array
    at_low: Array
    mean: Array


@method(
    title="Pressure of the air at a height above the sea",
    equation="P = 101.3 [(293 - 0.0065 z) / 293]^5.26 kPa",
    source=FAO56 + ", equation 7",
)
def air_pressure(altitude: ArrayLike) -> Array:
    """Give the mean pressure of the air at an altitude.

    Parameters
    ----------
    altitude : (...) array
        Above the sea. [m]

    Returns
    -------
    (...) array
        Pressure. [Pa]

    Raises
    ------
    OutOfRange
        A height where nobody gardens.
    """
    z = guard.altitude(altitude)
    return np.asarray(101.3 * ((293 - 0.0065 * z) / 293) ** 5.26 * _KPA)


@method(
    title="Psychrometric constant",
    equation="g = 0.665e-3 P",
    source=FAO56 + ", equation 8",
)
def psychrometric_constant(pressure: ArrayLike) -> Array:
    """Give the psychrometric constant at a pressure of the air.

    Parameters
    ----------
    pressure : (...) array
        Of the air. [Pa]

    Returns
    -------
    (...) array
        Pressure for a degree. [Pa/K]

    Raises
    ------
    OutOfRange
        No pressure.
    """
    return np.asarray(0.665e-3 * given.above_zero("pressure", pressure))


@method(
    title="Saturation vapour pressure",
    equation="e0(T) = 0.6108 exp[17.27 T / (T + 237.3)] kPa, T in degC",
    source=FAO56 + ", equation 11",
)
def saturation_pressure(temperature: ArrayLike) -> Array:
    """Give the vapour pressure of saturated air; at the dew point, what air holds (equation 14).

    Parameters
    ----------
    temperature : (...) array
        Of the air, or its dew point. [degC]

    Returns
    -------
    (...) array
        Vapour pressure. [Pa]

    Raises
    ------
    OutOfRange
        No temperature that air has.
    """
    t = guard.temperature("temperature", temperature)
    return np.asarray(0.6108 * np.exp(17.27 * t / (t + 237.3)) * _KPA)


@method(
    title="Mean saturation vapour pressure of a day",
    equation="es = [e0(Tmax) + e0(Tmin)] / 2",
    source=FAO56 + ", equation 12",
)
def mean_saturation(high: ArrayLike, low: ArrayLike) -> Saturation:
    """Give the mean of the saturation pressures at the day's extremes, not that of the mean.

    Parameters
    ----------
    high, low : (...) array
        Highest and lowest temperature of the day. [degC]

    Returns
    -------
    at_high, at_low, mean : (...) array
        Vapour pressures. [Pa]

    Raises
    ------
    OutOfRange
        A low above its high, or no temperature of air.
    """
    warm, cool = guard.temperature("high", high), guard.temperature("low", low)
    guard.not_below("low", cool, "high", warm)
    top, bottom = saturation_pressure(warm), saturation_pressure(cool)
    return Saturation(top, bottom, np.asarray((top + bottom) / 2))


@method(
    title="Slope of the saturation vapour pressure curve",
    equation="D = 4098 e0(T) / (T + 237.3)^2",
    source=FAO56 + ", equation 13",
)
def saturation_slope(temperature: ArrayLike) -> Array:
    """Give how fast saturation pressure grows with temperature.

    Parameters
    ----------
    temperature : (...) array
        Mean of the air. [degC]

    Returns
    -------
    (...) array
        Slope. [Pa/K]

    Raises
    ------
    OutOfRange
        No temperature that air has.
    """
    t = guard.temperature("temperature", temperature)
    return np.asarray(4098 * saturation_pressure(t) / (t + 237.3) ** 2)


@method(
    title="Vapour pressure from relative humidity",
    equation="ea = [e0(Tmin) RHmax + e0(Tmax) RHmin] / 2; with RHmax alone e0(Tmin) RHmax; "
    "with the mean alone RHmean [e0(Tmax) + e0(Tmin)] / 2",
    source=FAO56 + ", equations 17 to 19",
)
def vapour_from_humidity(
    high: ArrayLike,
    low: ArrayLike,
    humidity_high: ArrayLike | None = None,
    humidity_low: ArrayLike | None = None,
    humidity_mean: ArrayLike | None = None,
) -> Array:
    """Give what the air held, by the best of the humidities that are known.

    Parameters
    ----------
    high, low : (...) array
        Highest and lowest temperature of the day. [degC]
    humidity_high : (...) array, optional
        Highest relative humidity of the day, which goes with the lowest temperature. [-]
    humidity_low : (...) array, optional
        Lowest relative humidity of the day, which goes with the highest temperature. [-]
    humidity_mean : (...) array, optional
        Mean of the two, where no more is known. [-]

    Returns
    -------
    (...) array
        Vapour pressure. [Pa]

    Raises
    ------
    OutOfRange
        No humidity, one that is no share, or a low above its high.
    """
    top, bottom, mean = mean_saturation(high, low)
    if humidity_high is not None:
        most = given.share("humidity_high", humidity_high)
        if humidity_low is None:
            return np.asarray(bottom * most)
        least = given.share("humidity_low", humidity_low)
        guard.not_below("humidity_low", least, "humidity_high", most)
        return np.asarray((bottom * most + top * least) / 2)
    if humidity_mean is None:
        right = "give humidity_high (best with humidity_low) or humidity_mean"
        raise OutOfRange("humidity", "is not given", right)
    return np.asarray(given.share("humidity_mean", humidity_mean) * mean)


@method(
    title="Vapour pressure from a dry and a wet thermometer",
    equation="ea = e0(Twet) - a P (Tdry - Twet); a = 0.000662 aspirated, 0.0008 naturally "
    "ventilated, 0.0012 indoors [1/degC]",
    source=FAO56 + ", equations 15 and 16",
)
def vapour_from_wet_bulb(
    dry: ArrayLike, wet: ArrayLike, pressure: ArrayLike, ventilation: str = "aspirated"
) -> Array:
    """Give what the air held, from a psychrometer.

    Parameters
    ----------
    dry, wet : (...) array
        Temperatures of the two thermometers. [degC]
    pressure : (...) array
        Of the air. [Pa]
    ventilation : str
        "aspirated" (5 m/s of air), "natural" (about 1 m/s) or "indoors". [text]

    Returns
    -------
    (...) array
        Vapour pressure. [Pa]

    Raises
    ------
    OutOfRange
        A wet thermometer above the dry one, or air drier than dry.
    """
    a = {"aspirated": 0.000662, "natural": 0.0008, "indoors": 0.0012}
    kind = guard.one_of("ventilation", ventilation, a)
    t, w = guard.temperature("dry", dry), guard.temperature("wet", wet)
    guard.not_below("wet", w, "dry", t)
    found = saturation_pressure(w) - a[kind] * given.above_zero("pressure", pressure) * (t - w)
    if (bad := found < 0).any():
        what = "is too far below the dry thermometer: no air is so dry"
        raise OutOfRange(given.where("wet", bad), what, "wet the wick and read both again")
    return np.asarray(found)


@method(
    title="Wind speed at 2 m",
    equation="u2 = uz 4.87 / ln(67.8 z - 5.42)",
    source=FAO56 + ", equation 47",
)
def wind_at_2m(wind: ArrayLike, height: ArrayLike) -> Array:
    """Bring a wind speed from the height of its instrument to 2 m above grass.

    Parameters
    ----------
    wind : (...) array
        Speed as measured. [m/s]
    height : (...) array
        Of the instrument above the ground. [m]

    Returns
    -------
    (...) array
        Speed at 2 m. [m/s]

    Raises
    ------
    OutOfRange
        Wind that never blew, or an instrument lower than half a metre or higher than a mast.

    Notes
    -----
    Over short grass. Airports measure at 10 m: taken for 2 m, their wind is a third too strong.
    """
    u = given.within("wind", wind, 0.0, 100.0, 'give its unit, as in "6 mi/h" or "2.7 m/s"')
    z = given.within("height", height, 0.5, 200.0, 'give its unit, as in "10 m" or "6 ft"')
    return np.asarray(u * 4.87 / np.log(67.8 * z - 5.42))
