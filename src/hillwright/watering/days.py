"""Weather by the day, whatever it was measured by: what reference evapotranspiration needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.job.weather import DAY, Weather
from hillwright.watering import air
from hillwright.watering.reference import reference_day
from hillwright.watering.skyday import sky_day


@dataclass(frozen=True, slots=True, eq=False)
class Days:
    """k whole days in order."""

    year: Index  # (k,)
    day: Index  # (k,) of the year, 1 January = 1
    high: Array | None  # (k,) [degC]
    low: Array | None  # (k,) [degC]
    vapour: Array | None  # (k,) [Pa]
    humidity_high: Array | None  # (k,) [-]
    humidity_low: Array | None  # (k,) [-]
    humidity_mean: Array | None  # (k,) [-]
    radiation: Array | None  # (k,) [W/m2]
    sunshine: Array | None  # (k,) [s]
    wind: Array | None  # (k,) [m/s]
    wind_height: float  # [m]
    rain: Array | None  # (k,) [m]
    reference: Array | None  # (k,) as the file itself gives it [m]


def by_day(weather: Weather) -> Days:
    """Give whole days: hours are gathered, a day that is cut at either end is left out.

    Raises
    ------
    OutOfRange
        No whole day.
    """
    step = round(DAY / weather.step)
    key = weather.year * 1000 + weather.day
    first = int(np.flatnonzero(np.diff(key, prepend=-1))[0]) if step > 1 else 0
    if step > 1:
        starts = np.flatnonzero(np.diff(key, prepend=-1))
        whole = [s for s in starts if s + step <= len(key) and key[s + step - 1] == key[s]]
        first = int(whole[0]) if whole else 0
        count = len(whole)
    else:
        count = len(key)
    if not count:
        raise OutOfRange(weather.where, "holds no whole day", "give all 24 hours of each day")
    span = slice(first, first + count * step)

    def gathered(values: Array | None, how: str) -> Array | None:
        if values is None:
            return None
        table = values[span].reshape(count, step)
        return frozen(np.asarray(getattr(table, how)(axis=1)))

    w = weather
    hourly = step > 1
    high = gathered(w.temperature if hourly and w.temperature is not None else w.high, "max")
    low = gathered(w.temperature if hourly and w.temperature is not None else w.low, "min")
    vapour = w.vapour
    if vapour is None and w.dew_point is not None:
        vapour = air.saturation_pressure(w.dew_point)
    if vapour is None and hourly and w.humidity is not None and w.temperature is not None:
        vapour = air.saturation_pressure(w.temperature) * np.minimum(w.humidity, 1.0)
    rate = w.rain
    return Days(
        year=frozen(w.year[span].reshape(count, step)[:, 0]),
        day=frozen(w.day[span].reshape(count, step)[:, 0]),
        high=high,
        low=low,
        vapour=gathered(vapour, "mean"),
        humidity_high=_share(gathered(w.humidity_high, "mean")),
        humidity_low=_share(gathered(w.humidity_low, "mean")),
        humidity_mean=None if hourly else _share(gathered(w.humidity, "mean")),
        radiation=gathered(w.radiation, "mean"),
        sunshine=gathered(w.sunshine, "sum"),
        wind=gathered(w.wind, "mean"),
        wind_height=w.wind_height or 2.0,
        rain=gathered(rate, "sum"),
        reference=gathered(w.reference, "sum"),
    )


def _share(values: Array | None) -> Array | None:
    # a sensor in fog reads a little above 100 %
    return None if values is None else frozen(np.minimum(values, 1.0))


def reference_of(days: Days, latitude: float, altitude: float) -> tuple[Array, tuple[str, ...]]:
    """Give the reference evapotranspiration of each day [m], and what stood in for what is missing.

    Parameters
    ----------
    days : Days
        The weather.
    latitude : float
        North positive. [rad]
    altitude : float
        Above the sea. [m]

    Returns
    -------
    tuple
        (k,) depths [m], and notes in words.
    """
    if days.reference is not None:
        return days.reference, ("Reference ET is the file's own.",)
    if days.high is None or days.low is None:
        raise OutOfRange("weather", "has no high and low", "give high and low, or reference ET")
    notes = []
    damp = days.vapour is not None or days.humidity_high is not None
    if not damp and days.humidity_mean is None:
        notes.append("Humidity is not known: the dew point is taken as the night's low.")
    ra = sky_day(latitude, days.day).radiation
    if days.radiation is None and days.sunshine is None:
        notes.append("Sunlight is not known: it is reckoned from the range of temperature.")
    if days.radiation is not None and (days.radiation > 1.05 * ra + 5).mean() > 0.05:
        what = "is stronger than above the air on many days"
        raise OutOfRange("radiation", what, "check its unit and the latitude")
    if days.wind is None:
        notes.append("Wind is not known: it is taken as 2 m/s.")
    humid = None if damp else days.humidity_mean
    found = reference_day(
        latitude, altitude, np.minimum(days.day, 365), days.high, days.low,
        vapour=days.vapour,
        humidity_high=days.humidity_high,
        humidity_low=days.humidity_low if days.humidity_high is not None else None,
        humidity_mean=humid,
        radiation_measured=days.radiation,
        sunshine=days.sunshine,
        wind=days.wind,
        wind_height=days.wind_height,
    )  # fmt: skip
    return frozen(found.evapotranspiration * DAY), tuple(notes)
