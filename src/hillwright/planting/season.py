"""When things are sown, bloom and are picked, from frost dates and the hemisphere."""

from __future__ import annotations

import datetime
from bisect import bisect
from dataclasses import dataclass
from functools import cache

from hillwright.data import table
from hillwright.planting.palette import Plant

_YEAR = 365
_STARTS = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)
PICKING = 28  # how long a sown crop is picked once it is ripe: common practice, no source [days]


@dataclass(frozen=True, slots=True)
class Season:
    """The frost-free part of a site's year; days of the year from 1."""

    last_frost: int  # in spring
    first_frost: int  # in autumn
    south: bool  # of the equator
    given: bool  # the job tells the dates; else they are those of the program


def month_of(day: int) -> int:
    """Give the month, 1 to 12, of a day of the year (any number; it goes round)."""
    return bisect(_STARTS, (day - 1) % _YEAR)


def said(day: int) -> str:
    """Write a day of the year as "15 Apr"."""
    date = datetime.date(2025, 1, 1) + datetime.timedelta(days=(day - 1) % _YEAR)
    return f"{date.day} {date:%b}"


def growing_months(season: Season) -> tuple[int, ...]:
    """Give the months, 1 to 12, that lie for the most part between the frosts."""
    length = (season.first_frost - season.last_frost) % _YEAR or _YEAR
    inside = [month_of(season.last_frost + d) for d in range(length)]
    return tuple(m for m in range(1, 13) if inside.count(m) > 15) or (7,)


def planting_window(plant: Plant, season: Season) -> tuple[int, int]:
    """Give the first and last day of the year to sow or set out.

    An annual by its frost class against the last frost; what stays is set out from the start of
    autumn where winters are mild, or in spring: here, from four weeks before the last frost.
    """
    if plant.frost:
        row = next(f for f in table("plants")["frost"] if f["word"] == plant.frost)
        first, last = row["plant_days"]
        return _wrap(season.last_frost + first), _wrap(season.last_frost + last)
    return _wrap(season.last_frost - 28), _wrap(season.last_frost + 42)


@cache
def bloom_months(plant: Plant, season: Season) -> tuple[int, ...]:
    """Give the months in which it flowers here."""
    return tuple(sorted(_turned(m, season.south) for m in plant.bloom))


@cache
def harvest_months(plant: Plant, season: Season) -> tuple[int, ...]:
    """Give the months in which it is picked here: from its own months, or days from sowing."""
    if plant.harvest:
        return tuple(sorted(_turned(m, season.south) for m in plant.harvest))
    if plant.days is None or not plant.frost:
        return ()
    first, last = planting_window(plant, season)
    row = next(f for f in table("plants")["frost"] if f["word"] == plant.frost)
    span = (last - first) % _YEAR
    start = first + plant.days[0]
    stop = first + span + plant.days[1] + PICKING
    frost = season.last_frost + (season.first_frost - season.last_frost) % _YEAR
    stop = min(stop, frost + row["end_days"])
    return tuple(sorted({month_of(d) for d in range(start, max(stop, start + 1))}))


def _turned(month: int, south: bool) -> int:
    return (month + 5) % 12 + 1 if south else month


def _wrap(day: int) -> int:
    return (day - 1) % _YEAR + 1
