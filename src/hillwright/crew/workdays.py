"""Working time: days, breaks and who is there, counted in slots of five minutes."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Index, Mask, frozen
from hillwright.crew.people import Person

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SLOT = 5  # [min]
_NO_DATE = datetime.date(2001, 1, 1)  # a Monday, for a job that names no day
_LOOKED_AT = 3660  # calendar days after which no more are looked at


@dataclass(frozen=True, slots=True)
class Hours:
    """When the crew works; minutes after midnight."""

    start: str  # first day as "2026-05-04", "" where no day is named
    days: tuple[str, ...]  # weekdays
    begin: int
    end: int
    lunch: int  # [min]
    morning: int  # talk and setting up, before the work [min]
    off: tuple[str, ...] = ()  # dates
    light_from: int = 0  # daylight
    light_to: int = 24 * 60
    heavy_until: int | None = None

    @property
    def windows(self) -> tuple[tuple[int, int], ...]:
        """Stretches of a day that are worked, in minutes after midnight."""
        begin, end = max(self.begin, self.light_from), min(self.end, self.light_to)
        begin = -(-(begin + self.morning) // SLOT) * SLOT
        noon = round((begin + end - self.lunch) / 2 / SLOT) * SLOT
        if not self.lunch:
            return ((begin, end),)
        return ((begin, noon), (noon + self.lunch, end))

    @property
    def per_day(self) -> int:
        """Slots in a day's work."""
        return sum(max(0, (b - a) // SLOT) for a, b in self.windows)


@dataclass(frozen=True, slots=True, eq=False)
class Calendar:
    """Every slot of working time, in order."""

    dates: tuple[str, ...]  # of each working day
    dated: bool  # the dates are real ones
    day: Index  # (slots,) which working day
    minute: Index  # (slots,) after midnight, of its beginning
    present: Mask  # (people, slots)
    heavy: Mask  # (slots,) heavy work is allowed

    def name(self, day: int) -> str:
        """Name a working day: its date, or its number."""
        date = datetime.date.fromisoformat(self.dates[day])
        weekday = WEEKDAYS[date.weekday()]
        return f"{weekday} {self.dates[day]}" if self.dated else f"day {day + 1} ({weekday})"


def calendar(hours: Hours, people: Sequence[Person], days: int) -> Calendar:
    """Give so many working days, from the first on which somebody is there.

    Days are looked for over ten years; fewer are given where there are no more.
    """
    first = datetime.date.fromisoformat(hours.start) if hours.start else _NO_DATE
    minutes = np.concatenate([np.arange(a, b - SLOT + 1, SLOT) for a, b in hours.windows])
    dates, shifts = list[str](), list[Mask]()
    for k in range(_LOOKED_AT):
        if len(dates) == days or not minutes.size:
            break
        date = first + datetime.timedelta(days=k)
        weekday = WEEKDAYS[date.weekday()]
        if weekday not in hours.days or date.isoformat() in hours.off:
            continue
        there = np.array([_there(p, date.isoformat(), weekday, minutes) for p in people])
        if there.any():
            dates.append(date.isoformat())
            shifts.append(there)
    n = len(dates)
    present = np.concatenate(shifts, axis=1) if n else np.zeros((len(people), 0), bool)
    cool = minutes < (24 * 60 if hours.heavy_until is None else hours.heavy_until)
    return Calendar(
        tuple(dates),
        bool(hours.start),
        frozen(np.repeat(np.arange(n), len(minutes))),
        frozen(np.tile(minutes, n).astype(np.intp)),
        frozen(present),
        frozen(np.tile(cool, n)),
    )


def _there(person: Person, date: str, weekday: str, minutes: Index) -> Mask:
    if (person.days and weekday not in person.days) or date in person.away:
        return np.zeros(len(minutes), bool)
    begin = 0 if person.begin is None else person.begin
    end = 24 * 60 if person.end is None else person.end
    return np.asarray((minutes >= begin) & (minutes + SLOT <= end))


def clock(minute: int) -> str:
    """Write a time of day, as in "07:30"."""
    return f"{minute // 60:02d}:{minute % 60:02d}"
