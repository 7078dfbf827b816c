"""Heat: how hot it feels, by temperature in degrees Celsius and humidity as a share."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.given import number, rows, within
from hillwright.errors import OutOfRange
from hillwright.method import method

_HEAT_INDEX = (
    -42.379, 2.04901523, 10.14333127, -0.22475541, -6.83783e-3, -5.481717e-2,
    1.22874e-3, 8.5282e-4, -1.99e-6,
)  # fmt: skip
_CELSIUS = (
    -8.784695, 1.61139411, 2.338549, -0.14611605, -1.2308094e-2, -1.6424828e-2,
    2.211732e-3, 7.2546e-4, -3.582e-6,
)  # fmt: skip


def fahrenheit(celsius: ArrayLike) -> Array:
    """Give degrees Fahrenheit."""
    return np.asarray(np.asarray(celsius, float) * 9 / 5 + 32)


def celsius(fahrenheit: ArrayLike) -> Array:
    """Give degrees Celsius."""
    return np.asarray((np.asarray(fahrenheit, float) - 32) * 5 / 9)


def _poly(c: tuple[float, ...], t: Array, r: Array) -> Array:
    return np.asarray(
        c[0] + c[1] * t + c[2] * r + c[3] * t * r + c[4] * t**2 + c[5] * r**2
        + c[6] * t**2 * r + c[7] * t * r**2 + c[8] * t**2 * r**2
    )  # fmt: skip


@method(
    title="Heat index (US National Weather Service)",
    equation="mean of T and 0.5 (T + 61 + 1.2 (T - 68) + 0.094 R); from 80 F on the regression, "
    "less ((13 - R)/4) sqrt((17 - |T - 95|)/17) when dry, plus ((R - 85)/10)(87 - T)/5 when humid",
    source="NWS Weather Prediction Center, The Heat Index Equation (Rothfusz 1990, SR 90-23)",
)
def heat_index(temperature: ArrayLike, humidity: ArrayLike) -> Array:
    """Give how hot it feels in the shade and a light wind.

    Parameters
    ----------
    temperature : (...) array
        Of the air in the shade. [degC]
    humidity : (...) array
        Relative humidity. [-]

    Returns
    -------
    (...) array
        Heat index; full sun can add 8 deg C to it. [degC]

    Raises
    ------
    OutOfRange
        A humidity outside 0 to 1, or no number.
    """
    t = fahrenheit(number("temperature", temperature))
    r = 100 * within("humidity", humidity, 0.0, 1.0, 'give a share, as in "60 %"')
    simple = (t + 0.5 * (t + 61 + (t - 68) * 1.2 + r * 0.094)) / 2
    full = _poly(_HEAT_INDEX, t, r)
    dry = (r < 13) & (t >= 80) & (t <= 112)
    humid = (r > 85) & (t >= 80) & (t <= 87)
    less = (13 - r) / 4 * np.sqrt(np.maximum(17 - np.abs(t - 95), 0) / 17)
    more = (r - 85) / 10 * (87 - t) / 5
    full = full - np.where(dry, less, 0.0) + np.where(humid, more, 0.0)
    return celsius(np.where(simple >= 80, full, simple))


@method(
    title="Heat index by its polynomial in Celsius",
    equation="HI = c1 + c2 T + c3 R + ... + c9 T^2 R^2, no other branch",
    source="Rothfusz 1990 in Celsius, as open thermal-comfort libraries have it",
)
def heat_index_polynomial(temperature: ArrayLike, humidity: ArrayLike) -> Array:
    """Give the regression alone; below 27 deg C it is outside its range.

    Parameters
    ----------
    temperature : (...) array
        Of the air in the shade. [degC]
    humidity : (...) array
        Relative humidity. [-]

    Returns
    -------
    (...) array
        Heat index. [degC]

    Raises
    ------
    OutOfRange
        A humidity outside 0 to 1, or no number.
    """
    r = 100 * within("humidity", humidity, 0.0, 1.0, 'give a share, as in "60 %"')
    return _poly(_CELSIUS, number("temperature", temperature), r)


@method(
    title="Wet-bulb globe temperature",
    equation="0.7 Tnw + 0.2 Tg + 0.1 Ta; without sun 0.7 Tnw + 0.3 Tg",
    source="ISO 7243",
)
def wbgt(
    wet_bulb: ArrayLike, globe: ArrayLike, air: ArrayLike | None = None, sun: bool = True
) -> Array:
    """Give the wet-bulb globe temperature.

    Parameters
    ----------
    wet_bulb : (...) array
        Natural wet bulb, standing in wind and sun: not the psychrometer's. [degC]
    globe : (...) array
        Black globe. [degC]
    air : (...) array, optional
        Dry bulb in the shade; needed in the sun. [degC]
    sun : bool, optional
        Outdoors in the sun. [-]

    Returns
    -------
    (...) array
        WBGT. [degC]

    Raises
    ------
    OutOfRange
        In the sun without the temperature of the air, or no number.
    """
    wet, black = number("wet_bulb", wet_bulb), number("globe", globe)
    if not sun:
        return np.asarray(0.7 * wet + 0.3 * black)
    if air is None:
        raise OutOfRange("air", "is needed in the sun", "give the temperature in the shade")
    return np.asarray(0.7 * wet + 0.2 * black + 0.1 * number("air", air))


@method(
    title="WBGT estimated from temperature and humidity",
    equation="0.567 T + 0.393 e + 3.94, e = h 6.105 exp(17.27 T/(237.7 + T)) hPa",
    source="Australian Bureau of Meteorology, thermal comfort observations (from memory)",
)
def wbgt_estimate(temperature: ArrayLike, humidity: ArrayLike) -> Array:
    """Give the WBGT of a moderately sunny day with a light wind, where nobody measures it.

    Parameters
    ----------
    temperature : (...) array
        Of the air in the shade. [degC]
    humidity : (...) array
        Relative humidity. [-]

    Returns
    -------
    (...) array
        WBGT; too high at night and under cloud, too low in full sun without wind. [degC]

    Raises
    ------
    OutOfRange
        A humidity outside 0 to 1, or no number.

    Notes
    -----
    For planning; a measured one comes first.
    """
    t = number("temperature", temperature)
    h = within("humidity", humidity, 0.0, 1.0, 'give a share, as in "60 %"')
    e = h * 6.105 * np.exp(17.27 * t / (237.7 + t))
    return np.asarray(0.567 * t + 0.393 * e + 3.94)


def band(index: float) -> str:
    """Give the weather service's word for a heat index [degC], "" below its first."""
    f = float(fahrenheit(index))
    named = [r["category"] for r in rows("heat", "bands") if f >= r["from_F"]]
    return str(named[-1]) if named else ""
