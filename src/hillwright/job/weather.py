"""Weather of a place as measured, hour by hour or day by day, from one file.

A CSV has a row for each day or hour under a header that names the units::

    date, high (degC), low (degC), humidity (%), radiation (MJ/m2/day), wind 2m (m/s), rain (mm)
    2021-01-01, 12.1, 3.4, 71, 8.2, 1.4, 0

Hours carry the time too ("2021-01-01 14:00", the end of the hour). Typical years (TMY3, TMY2) and
EPW files are known by their own heads.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from hillwright.arrays import Array, Index
from hillwright.errors import SurveyError

if TYPE_CHECKING:
    from hillwright.job.model import OpenJob

DAY, HOUR = 86400.0, 3600.0
SERIES = (
    "temperature", "high", "low", "dew_point", "vapour", "humidity", "humidity_high",
    "humidity_low", "radiation", "sunshine", "wind", "rain", "reference",
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """k days or hours of weather, in order; a series that the file lacks is None."""

    where: str
    step: float  # a day or an hour [s]
    year: Index  # (k,) calendar year; of a typical year, which is put together, one for all
    day: Index  # (k,) of the year, 1 January = 1
    hour: Array  # (k,) middle of the period on the clock [s]
    typical: bool  # a typical year, not one that was
    latitude: float | None  # [rad]
    longitude: float | None  # [rad]
    altitude: float | None  # [m]
    wind_height: float | None  # of the wind's instrument [m]
    notes: tuple[str, ...]
    temperature: Array | None = None  # mean [degC]
    high: Array | None = None  # [degC]
    low: Array | None = None  # [degC]
    dew_point: Array | None = None  # [degC]
    vapour: Array | None = None  # [Pa]
    humidity: Array | None = None  # mean, relative [-]
    humidity_high: Array | None = None  # [-]
    humidity_low: Array | None = None  # [-]
    radiation: Array | None = None  # sunlight on level ground, mean over the period [W/m2]
    sunshine: Array | None = None  # [s]
    wind: Array | None = None  # at wind_height [m/s]
    rain: Array | None = None  # fallen in the period [m]
    reference: Array | None = None  # reference evapotranspiration of the period [m]


def read_weather(path: Path, wind_height: float | None = None) -> Weather:
    """Read a file of weather, whichever of the known kinds it is.

    Parameters
    ----------
    path : Path
        CSV, TMY3, TMY2 (.tm2) or EPW.
    wind_height : float, optional
        Of the wind's instrument, where the job gives it. [m]

    Raises
    ------
    SurveyError
        Everything that is wrong in it.
    """
    from hillwright.job import weathercsv, weatheryear
    from hillwright.job.files import read_text

    kind = path.suffix.lower()
    if kind in (".tm2", ".epw"):
        return weatheryear.read_year(path, kind[1:], wind_height)
    text = read_text(path)
    head = text.split("\n", 2)[:2]
    if head[0].startswith("LOCATION,"):
        return weatheryear.read_year(path, "epw", wind_height)
    if len(head) > 1 and "ETR (W/m^2)" in head[1]:
        return weatheryear.read_year(path, "tmy3", wind_height)
    return weathercsv.read_csv(text, path.name, wind_height)


def weather_of(opened: OpenJob) -> Weather | None:
    """Read the file of weather that a job names, if it names one.

    Raises
    ------
    SurveyError
        It is missing, or everything that is wrong in it.
    """
    from hillwright.job.files import find

    if not (name := opened.job.climate.weather):
        return None
    path = find(opened.path, name, "climate.weather")
    return read_weather(path, opened.job.climate.wind_height)


def place_error(name: str, latitude: float) -> SurveyError:
    """Say that a file's own latitude is none."""
    what = f"its latitude is {latitude:g} deg, beyond the pole"
    return SurveyError(name, what, "give -90 to 90, north positive, in its head")
