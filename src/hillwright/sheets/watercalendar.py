"""The watering program as a calendar (iCalendar): every opening, and when to change the setting."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from hillwright.answers.water import days_text, run_text, starts_text
from hillwright.watering.tables import DAYS
from hillwright.watering.words import month_name, too_short, too_short_dry

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
    stop = [f"STOP: {s}" for s in (*too_short(found), *too_short_dry(found))]
    stamp = datetime(YEAR, 1, 1, tzinfo=UTC)
    for m in range(12):
        first = date(YEAR, m + 1, 1)
        settings = [
            f"{name}: {days_text(program, v, m)}, {run_text(program, v, m)}"
            + (f", starts {starts_text(program, v, m)}" if program.minutes[v, m] else "")
            for v, name in enumerate(found.valves.names)
        ]
        event = Event()
        event.add("uid", f"controller-{m + 1}@hillwright")
        event.add("dtstamp", stamp)
        event.add("dtstart", first)
        event.add("dtend", first + timedelta(days=1))
        event.add("rrule", {"freq": "yearly"})
        late = bool(program.over[m] > 0 or found.dry_program.over[m] > 0)
        mark = "STOP: " if late else ""
        event.add("summary", f"{mark}Set the watering controller for {month_name(m)}")
        why = stop if late else []
        event.add("description", "\n".join([*why, *settings]) or "Nothing is to be watered.")
        calendar.add_component(event)
        for v, name in enumerate(found.valves.names):
            # one event for each watering of a day, from its first opening to its last closing
            for k, opens in enumerate(program.opens[v][m]):
                at = timedelta(seconds=round(opens[0] / 60) * 60)
                start = datetime.combine(first, time()) + at
                length = timedelta(seconds=(program.arrives[v][m][k] - opens[0]) % 86400)
                last = first + timedelta(days=DAYS[m] - 1)
                rule: dict[str, object] = {"until": datetime.combine(last, time(23, 59))}
                if chosen := program.weekdays[v][m]:
                    rule |= {"freq": "weekly", "byday": [_WEEK[d] for d in chosen]}
                    while start.weekday() not in chosen:
                        start += timedelta(days=1)
                else:
                    rule |= {"freq": "daily", "interval": int(program.interval[v, m])}
                event = Event()
                event.add("uid", f"valve-{v + 1}-{m + 1}-{k + 1}@hillwright")
                event.add("dtstamp", stamp)
                event.add("dtstart", start)
                event.add("dtend", start + length)
                event.add("rrule", rule)
                event.add("summary", f"{mark}{name}: {run_text(program, v, m)}")
                if late:
                    event.add("description", "\n".join(stop))
                calendar.add_component(event)
    return str(calendar.to_ical().decode())
