"""The years after, on paper: what to do month by month, as sheets, table and calendar."""

from __future__ import annotations

import csv
import datetime
import io
import uuid
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.after.model import Chore, Upkeep
from hillwright.sheets.blocks import RoomSheet, Table, Text
from hillwright.watering.words import month_name
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

_SPACE = uuid.UUID("2c8b4f5e-0b0f-5b8e-8f1a-7d2f6a3c9e40")  # of our own, invented
YEAR = 2027  # that a plan without dates is laid out for; the chores come back every year
_HEAD = ("what", "how much", "where", "why", "source")


def upkeep_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets of the years after: what always holds, then the months from the first."""
    upkeep, system = plan.upkeep, plan.opened.job.units
    if not upkeep.chores:
        return ()
    beware = dict.fromkeys(c.caution for c in upkeep.chores if c.caution)
    first = [c for c in upkeep.chores if c.first_year]
    storms = list({c.what: c for c in upkeep.chores if c.storms}.values())
    blocks = [
        Text("What it rests on", tuple(in_units(n, system) for n in upkeep.notes), listed=True),
        Text("Beware", tuple(beware), strong=True),
    ]
    if storms:
        blocks.append(Text(_after_storms(plan), tuple(c.what for c in storms), listed=True))
    if first:
        blocks.append(
            Text(
                "In the first year only",
                tuple(
                    f"{c.what}: {in_units(c.much, system)} ({', '.join(_names(c.months))})."
                    for c in first
                ),
                listed=True,
            )
        )
    months = [_month(plan, m) for m in range(1, 13) if upkeep.of(m)]
    return (
        RoomSheet("The years after at a glance", (*blocks, calendar_table(upkeep))),
        RoomSheet("Upkeep month by month", (*months, _sources(upkeep))),
    )


def _after_storms(plan: Plan) -> str:
    if not plan.upkeep.storm:
        return "After every heavy storm"
    depth = units.show(plan.upkeep.storm / 2, "m.water", plan.opened.job.units)
    return f"After every day with more than {depth} of rain (half of a storm of 2 years)"


def _names(months: tuple[int, ...]) -> list[str]:
    return [month_name(m - 1)[:3] for m in months]


def _month(plan: Plan, month: int) -> Table:
    system = plan.opened.job.units
    letters = _letters(plan.upkeep)
    rows = tuple(_row(c, letters, system) for c in plan.upkeep.of(month))
    return Table(month_name(month - 1), _HEAD, rows, (), (1.5, 1.4, 1.6, 1.5, 0))


def _letters(upkeep: Upkeep) -> dict[str, str]:
    """Give each source a letter, in the order in which they come."""
    known = dict.fromkeys(c.source for m in range(1, 13) for c in upkeep.of(m))
    return dict(zip(known, "abcdefghijklmnopqrstuvwxyz", strict=False))


def _sources(upkeep: Upkeep) -> Text:
    lines = tuple(f"{letter}: {source}" for source, letter in _letters(upkeep).items())
    return Text("Sources", lines)


def _row(chore: Chore, letters: dict[str, str], system: units.System) -> tuple[str, ...]:
    what = f"{chore.what} (first year)" if chore.first_year else chore.what
    much = in_units(chore.much, system)
    return (what, much, chore.where, chore.why, letters[chore.source])


def upkeep_csv(plan: Plan) -> str:
    """Give the chores for a spreadsheet, a line for each month of each."""
    system, out = plan.opened.job.units, io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    head = ("month", "what", "how_much", "where", "why", "source")
    writer.writerow((*head, "first_year_only", "after_storms", "caution"))
    for m in range(1, 13):
        for c in plan.upkeep.of(m):
            flags = ("yes" if c.first_year else "no", "yes" if c.storms else "no")
            much = in_units(c.much, system)
            writer.writerow((m, c.what, much, c.where, c.why, c.source, *flags, c.caution))
    return out.getvalue()


def begins(plan: Plan) -> tuple[int, int]:
    """Give year and month that the upkeep begins with: after the work, or January."""
    calendar = plan.work.calendar
    if calendar.dated and plan.work.makespan:
        last = datetime.date.fromisoformat(calendar.dates[plan.work.days - 1])
        return (last.year + last.month // 12, last.month % 12 + 1)
    return YEAR, 1


def upkeep_ics(plan: Plan) -> str:
    """Give the chores as a calendar: all-day events on the first of the month, every year."""
    from icalendar import Calendar, Event

    system, site = plan.opened.job.units, plan.opened.job.site.name
    year, month = begins(plan)
    calendar = Calendar()
    calendar.add("prodid", "-//Hillwright//upkeep//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{site}: upkeep")
    stamp = datetime.datetime(year, month, 1, tzinfo=datetime.UTC)
    for c in plan.upkeep.chores:
        for m in c.months:
            day = datetime.date(year if m >= month else year + 1, m, 1)
            event = Event()
            event.add("uid", f"{uuid.uuid5(_SPACE, f'{site} {c.key} {m}')}@hillwright")
            event.add("dtstamp", stamp)
            event.add("dtstart", day)
            event.add("dtend", day + datetime.timedelta(days=1))
            if not c.first_year:
                event.add("rrule", {"freq": "yearly"})
            event.add("summary", c.what)
            event.add("location", site)
            told = (in_units(c.much, system), c.where, c.why, f"Source: {c.source}", c.caution)
            event.add("description", "\n".join(line for line in told if line))
            calendar.add_component(event)
    return str(calendar.to_ical().decode())


def calendar_table(upkeep: Upkeep) -> Table:
    """Give the year at a glance: a line for each chore, a mark for each of its months."""
    lines: dict[str, set[int]] = {}
    for c in upkeep.chores:
        lines.setdefault(c.what, set()).update(c.months)
    head = ("chore", *(month_name(m)[:3] for m in range(12)))
    rows = tuple(
        (what, *("●" if m in months else "" for m in range(1, 13)))
        for what, months in lines.items()
    )
    return Table("The year at a glance", head, rows)
