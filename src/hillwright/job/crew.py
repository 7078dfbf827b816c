"""Job sections of the work plan: who is there, when, what each may do, and how fast they were.

Which kinds of task there are is the table's affair (``data/crew_work.toml``); the crew room reads
the same one.
"""

from __future__ import annotations

import contextlib
import datetime
import re
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import Field, Strict, ValidatorFunctionWrapHandler, WrapValidator

from hillwright.data import table
from hillwright.errors import did_you_mean
from hillwright.job.fields import Conflict, as_text, shares, times
from hillwright.job.table import Section
from hillwright.units import UnitError, quantity

_MINUTE, _HOUR, _DAY = 60.0, 3600.0, 86400.0
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_DIMENSIONS = {"m": "[length]", "m2": "[length] ** 2", "m3": "[length] ** 3"}


def _clock(value: Any, read: ValidatorFunctionWrapHandler) -> int:
    if isinstance(value, datetime.time):
        value = value.strftime("%H:%M")
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found:
        raise UnitError(f"{value!r} is not a time of day", 'write it as in "07:30" or "16:00"')
    return 60 * int(found[1]) + int(found[2])


def _date(value: Any, read: ValidatorFunctionWrapHandler) -> str:
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    try:
        if value != "":
            datetime.date.fromisoformat(value)
    except (TypeError, ValueError):
        raise UnitError(f"{value!r} is not a date", 'write it as in "2026-05-04"') from None
    return str(value)


def _done(value: Any, read: ValidatorFunctionWrapHandler) -> tuple[float, str]:
    """Read how much was done: a count, or a length, area or volume as number and SI unit."""
    right = 'write a count, as in 24, or an amount, as in "3 yd3", "40 ft" or "200 ft2"'
    found: dict[str, float] = {}
    if isinstance(value, int | float) and not isinstance(value, bool):
        found[""] = float(value)
    elif isinstance(value, str):
        for unit, dimension in _DIMENSIONS.items():
            with contextlib.suppress(UnitError):  # it is an amount of another kind
                found[unit] = quantity(value, dimension)
    for unit, amount in found.items():
        if not amount > 0:
            raise UnitError(f"{value!r} is a rate of zero", right)
        return amount, unit
    raise UnitError(f"{value!r} is not an amount of work", right)


# minutes after midnight
Clock = Annotated[int, WrapValidator(_clock, json_schema_input_type=as_text(format="time"))]
# "2026-05-04", "" none
WorkDate = Annotated[str, WrapValidator(_date, json_schema_input_type=as_text(format="date"))]
Done = Annotated[
    tuple[float, str], WrapValidator(_done, json_schema_input_type=as_text(form="amount"))
]
Weekday = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
Kind = Literal["drive", "lift", "carry", "set", "pipe", "plant", "light"]
Role = Literal["lead", "hired hand", "adult volunteer", "child"]
_NOT_FOR_CHILDREN = ("drive", "lift", "carry", "set", "pipe")
_WEEK: tuple[Weekday, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri")


class CrewText(Section):
    """[crew]: how many work, on which days and hours, and what holds them up."""

    # counted, where nobody is named; None = those named, else 6
    people: Annotated[int, Strict(), Field(ge=1, le=60)] | None = None
    start: WorkDate = ""  # first day
    days: tuple[Weekday, ...] = _WEEK
    begin: Clock = 8 * 60
    end: Clock = 16 * 60 + 30
    lunch: Annotated[float, times(0, 4 * _HOUR)] = 30 * _MINUTE
    morning: Annotated[float, times(0, 4 * _HOUR)] = 15 * _MINUTE  # talk and setting up
    off: tuple[WorkDate, ...] = ()
    daylight: tuple[Clock, Clock] | None = None  # nobody works in the dark
    heavy_until: Clock | None = None  # no carrying and digging after this hour
    utilities_called: WorkDate = ""  # day of the notice
    finish_by: WorkDate = ""
    bar_drivers: Annotated[int, Strict(), Field(ge=1, le=20)] = 1
    learning: Annotated[float, shares(0.5, 1)] = 0.93
    rain_days: Annotated[float, shares(0, 0.9)] = 0.0  # of the days, lost to weather

    def conflicts(self) -> Iterator[Conflict]:
        """Find days without work, and dates that do not go together."""
        hours = ("begin", "end", "lunch", "morning", "daylight")
        begin, end = self.begin, self.end
        if self.end <= self.begin:
            yield Conflict(("end",), "is no later than begin", "give a later hour", ("begin",))
        elif self.daylight is not None and self.daylight[1] <= self.daylight[0]:
            what = "ends before it begins"
            yield Conflict(("daylight",), what, 'write it as in ["06:30", "17:45"]')
        else:
            if self.daylight is not None:
                begin, end = max(begin, self.daylight[0]), min(end, self.daylight[1])
            left = end - begin - (self.lunch + self.morning) / _MINUTE
            if left < 60:
                what = "less than an hour of the day is left to work in"
                yield Conflict(("end",), what, "begin earlier, end later or rest less", hours)
        if not self.days:
            what = "is a calendar without a working day"
            yield Conflict(("days",), what, 'name at least one, as in ["Sat"]')
        if self.heavy_until is not None and self.heavy_until < begin + self.morning / _MINUTE + 60:
            what = "leaves less than an hour a day for heavy work"
            yield Conflict(("heavy_until",), what, "give a later hour", ("begin", "morning"))
        for key in ("utilities_called", "finish_by"):
            if getattr(self, key) and not self.start:
                yield Conflict((key,), "there is no crew.start", "add the first day", ("start",))
        if self.finish_by and self.start and self.finish_by < self.start:
            what = "is before the first day"
            yield Conflict(("finish_by",), what, "give a later day", ("start",))


class PersonText(Section):
    """[[person]]: one of the crew, and what he or she may do."""

    name: str
    role: Role = "adult volunteer"
    may: tuple[Kind, ...] | None = None  # None = as the role says
    pace: Annotated[float, shares(0.05, 2)] | None = None  # None = as the role says
    days: tuple[Weekday, ...] = ()  # () = every working day
    begin: Clock | None = None  # None = with the crew
    end: Clock | None = None
    away: tuple[WorkDate, ...] = ()

    def conflicts(self) -> Iterator[Conflict]:
        """Find a person who has no name, no time, nothing to do, or is a child at a man's work."""
        if not self.name.strip():
            yield Conflict(("name",), "is empty", "give a name for the day sheet")
        if self.may is not None and not self.may:
            yield Conflict(("may",), "names no kind of work", "leave it out, or leave them out")
        if self.role == "child":
            for i, kind in enumerate(self.may or ()):
                if kind in _NOT_FOR_CHILDREN:
                    what = f'a child does not do work of the kind "{kind}" here'
                    yield Conflict(("may", i), what, 'take it out; "light" is', ("role",))
        if self.begin is not None and self.end is not None and self.end <= self.begin:
            yield Conflict(("end",), "is no later than begin", "give a later hour", ("begin",))


class MeasuredText(Section):
    """[[measured]]: a task that was timed on this hill; it overrides the table of hours."""

    task: str
    done: Done
    people: Annotated[int, Strict(), Field(ge=1, le=100)]
    took: Annotated[float, times(60, 30 * _DAY)]

    def conflicts(self) -> Iterator[Conflict]:
        """Find a task that is not in the table, or an amount in another unit than its own."""
        units = {row["id"]: row["unit"] for row in table("crew_work")["work"]}
        if self.task not in units:
            right = did_you_mean(self.task, units, f"write one of {', '.join(units)}")
            yield Conflict(("task",), f'"{self.task}" is not in the table of work', right)
            return
        unit = units[self.task]
        if self.done[1] != (unit if unit in _DIMENSIONS else ""):
            wanted = {"m": 'a length, as in "40 ft"', "m2": 'an area, as in "200 ft2"'}
            right = wanted.get(unit, 'a volume, as in "3 yd3"' if unit == "m3" else "a count")
            what = f'is not what "{self.task}" is measured by'
            yield Conflict(("done",), what, f"write {right}", ("task",))


def named_once(people: tuple[PersonText, ...], count: int | None) -> Iterator[Conflict]:
    """Find two people of one name, and a count beside the names that is another."""
    seen: dict[str, int] = {}
    for i, person in enumerate(people):
        if (first := seen.setdefault(person.name.strip(), i)) != i:
            what = f"is the name of number {first + 1} too"
            yield Conflict(("person", i, "name"), what, "give each a name of their own")
    if count is not None and people and count != len(people):
        what = f"is {count}, and {len(people)} are named"
        right = "leave it out where people are named"
        yield Conflict(("crew", "people"), what, right, ("person",))
