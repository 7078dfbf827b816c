"""The work as a calendar file (iCalendar, RFC 5545), for the whole crew or for one person.

Times are local without a zone ("floating"): the crew stands on the hill they are for.
"""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterable
from typing import Any

from hillwright.crew.assign import Spell, spells
from hillwright.crew.workplan import WorkPlan

_SPACE = uuid.UUID("6f1f3c0e-7d43-5f6e-9a55-3b9f1c6a2d11")  # of our own, invented
_PRODID = "-//Hillwright//work plan//EN"


def crew_ics(work: WorkPlan, site: str) -> bytes:
    """Give the calendar of all tasks; each says who is on it.

    Parameters
    ----------
    work : WorkPlan
        A plan with real dates.
    site : str
        Name of the site: the place of each event, and part of its identity, so that a new export
        replaces the old one.
    """
    names = [p.name for p in work.crew.people]
    events = []
    for i, task in enumerate(work.tasks):
        who = sorted({names[s.person] for s in work.stints if s.task == i})
        for k, spell in enumerate(spells(work.calendar, int(work.start[i]), int(work.finish[i]))):
            said = f"With: {', '.join(who)}"
            events.append(_event(work, site, task.name, spell, f"task {i} {k}", said))
    return _calendar(work, site, events)


def person_ics(work: WorkPlan, site: str, person: int) -> bytes:
    """Give the calendar of one person of a plan with real dates."""
    who = work.crew.people[person].name
    mine = [s for s in work.stints if s.person == person]
    events = [
        _event(work, site, work.tasks[s.task].name, spell, f"{who} {s.task} {n} {k}", "")
        for n, s in enumerate(mine)
        for k, spell in enumerate(spells(work.calendar, s.start, s.finish))
    ]
    return _calendar(work, site, events)


def _event(work: WorkPlan, site: str, name: str, spell: Spell, key: str, said: str) -> Any:
    import icalendar

    day = datetime.date.fromisoformat(work.calendar.dates[spell.day])
    event = icalendar.Event()
    event.add("uid", f"{uuid.uuid5(_SPACE, f'{site} {key}')}@hillwright")
    event.add("dtstamp", _stamp(work))
    event.add("dtstart", _at(day, spell.begin))
    event.add("dtend", _at(day, spell.end))
    event.add("summary", name)
    event.add("location", site)
    if said:
        event.add("description", said)
    return event


def _stamp(work: WorkPlan) -> datetime.datetime:
    # the first day at midnight: the same plan gives the same bytes
    day = datetime.date.fromisoformat(work.calendar.dates[0])
    return datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)


def _at(day: datetime.date, minute: int) -> datetime.datetime:
    return datetime.datetime.combine(day, datetime.time()) + datetime.timedelta(minutes=minute)


def _calendar(work: WorkPlan, site: str, events: Iterable[Any]) -> bytes:
    import icalendar

    found = icalendar.Calendar()
    found.add("prodid", _PRODID)
    found.add("version", "2.0")
    found.add("x-wr-calname", f"{site}: work")
    if work.call_by:
        call = icalendar.Event()
        day = datetime.date.fromisoformat(work.call_by)
        call.add("uid", f"{uuid.uuid5(_SPACE, f'{site} call')}@hillwright")
        call.add("dtstamp", _stamp(work))
        call.add("dtstart", day)
        call.add("dtend", day + datetime.timedelta(days=1))
        call.add("summary", "Last day to have buried lines located: call or click 811")
        call.add("location", site)
        found.add_component(call)
    for event in events:
        found.add_component(event)
    return bytes(found.to_ical())
