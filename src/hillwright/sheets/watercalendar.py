"""The watering program as a calendar (iCalendar): every opening, and when to change the setting."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from hillwright.answers.water import clock_text, days_text, run_text
from hillwright.watering.tables import DAYS
from hillwright.watering.words import month_name

if TYPE_CHECKING:
    from hillwright.plan import Plan

_WEEK = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
YEAR = 2027  # that the openings are laid out for; the reminders come back every year


def watering_ics(plan: Plan) -> str:
    """Give a calendar with a reminder on the first of each month and every valve's openings."""
    from icalendar import Calendar, Event

    found, program = plan.watering, plan.watering.program
    calendar = Calendar()
    calendar.add("prodid", "-//Hillwright//watering//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"Watering: {plan.opened.job.site.name}")
    stamp = datetime(YEAR, 1, 1, tzinfo=UTC)
    for m in range(12):
        first = date(YEAR, m + 1, 1)
        settings = [
            f"{name}: {days_text(program, v, m)}, {run_text(program, v, m)}"
            + (f", from {clock_text(float(program.first[v, m]))}" if program.minutes[v, m] else "")
            for v, name in enumerate(found.valves.names)
        ]
        event = Event()
        event.add("uid", f"controller-{m + 1}@hillwright")
        event.add("dtstamp", stamp)
        event.add("dtstart", first)
        event.add("dtend", first + timedelta(days=1))
        event.add("rrule", {"freq": "yearly"})
        event.add("summary", f"Set the watering controller for {month_name(m)}")
        event.add("description", "\n".join(settings) or "Nothing is to be watered.")
        calendar.add_component(event)
        for v, name in enumerate(found.valves.names):
            if not program.minutes[v, m]:
                continue
            at = timedelta(seconds=round(float(program.first[v, m]) / 60) * 60)
            start = datetime.combine(first, time()) + at
            open_ = int(program.minutes[v, m])
            cycles = int(program.cycles[v, m])
            length = open_ + max(cycles - 1, 0) * int(program.soak[v, m])
            last = first + timedelta(days=DAYS[m] - 1)
            rule: dict[str, object] = {"until": datetime.combine(last, time(23, 59))}
            if chosen := program.weekdays[v][m]:
                rule |= {"freq": "weekly", "byday": [_WEEK[d] for d in chosen]}
                while start.weekday() not in chosen:
                    start += timedelta(days=1)
            else:
                rule |= {"freq": "daily", "interval": int(program.interval[v, m])}
            event = Event()
            event.add("uid", f"valve-{v + 1}-{m + 1}@hillwright")
            event.add("dtstamp", stamp)
            event.add("dtstart", start)
            event.add("dtend", start + timedelta(minutes=length))
            event.add("rrule", rule)
            event.add("summary", f"{name}: {run_text(program, v, m)}")
            calendar.add_component(event)
    return str(calendar.to_ical().decode())
