"""A typical year that the open solar library ships: weather that everybody who runs this has."""

from __future__ import annotations

from importlib import resources
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.job.weather import read_weather
from hillwright.method import method
from hillwright.watering.air import FAO56
from hillwright.watering.days import by_day
from hillwright.watering.given import DAY
from hillwright.watering.reference import hargreaves, reference_day
from hillwright.watering.skyday import sky_day
from hillwright.watering.tables import DAYS

_FILES = {"Greensboro": "723170TYA.CSV", "Sand Point": "703165TY.csv", "Miami": "12839.tm2"}


class ShippedYear(NamedTuple):
    """Reference evapotranspiration of a typical year."""

    monthly: Array
    by_temperature: Array
    annual: float


@method(
    title="Reference evapotranspiration of a typical year, from its hours",
    equation="hours gathered into days, each day by FAO-56 equation 6 (and by equation 52 from its "
    "temperatures alone), days added up by month",
    source=FAO56 + "; weather of NREL (TMY2, TMY3) as the solar library ships it",
)
def shipped_year(station: str) -> ShippedYear:
    """Give a typical year's reference evapotranspiration by month, from a file that is shipped.

    Parameters
    ----------
    station : str
        "Greensboro", "Miami" or "Sand Point". [text]

    Returns
    -------
    monthly, by_temperature : (12,) array
        Totals of the months, from all of the weather and from its temperatures alone. [m]
    annual : float
        Sum of the first. [m]

    Raises
    ------
    OutOfRange
        No such station.

    Notes
    -----
    A check of the whole way from the file to the months, reader and units with it.
    """
    if station not in _FILES:
        right = f"write one of {', '.join(sorted(_FILES))}"
        raise OutOfRange("station", f'"{station}" is not shipped', right)
    with resources.as_file(resources.files("pvlib") / "data" / _FILES[station]) as path:
        read = read_weather(path)
    days = by_day(read)
    if days.high is None or days.low is None or read.latitude is None or read.altitude is None:
        raise OutOfRange("station", f'"{station}" is not whole', "take another")
    et = reference_day(
        read.latitude, read.altitude, days.day, days.high, days.low, vapour=days.vapour,
        radiation_measured=days.radiation, wind=days.wind, wind_height=days.wind_height,
    ).evapotranspiration  # fmt: skip
    warm = hargreaves(days.high, days.low, sky_day(read.latitude, days.day).radiation)
    month = np.repeat(np.arange(12), DAYS)
    sums = [np.bincount(month, rate * DAY, 12).astype(float) for rate in (et, warm)]
    return ShippedYear(sums[0], sums[1], float(sums[0].sum()))
