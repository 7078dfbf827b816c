"""The calendars, read by a library that did not write them (vobject)."""

import itertools

import pytest
import vobject

from hillwright.sheets.schedule import calendars
from hillwright.sheets.watercalendar import watering_ics


def title(event):
    """Its summary without the mark of windows that are too short."""
    return event.summary.value.removeprefix("STOP: ")


def events(text):
    calendar = vobject.readOne(text)
    assert calendar.version.value == "2.0"
    assert calendar.prodid.value
    return calendar.vevent_list


def test_the_openings_of_the_valves_are_those_of_the_program(example):
    found, program = events(watering_ics(example)), example.watering.program
    assert len({e.uid.value for e in found}) == len(found)
    reminders = [e for e in found if title(e).startswith("Set the watering controller")]
    assert sorted(e.dtstart.value.month for e in reminders) == list(range(1, 13))
    for event in reminders:
        again = list(itertools.islice(event.getrruleset(addRDate=True), 2))
        assert again[1].year - again[0].year == 1
    opened = {(title(e).split(":")[0], e.dtstart.value.month) for e in found}
    for v, name in enumerate(example.watering.valves.names):
        for m in range(12):
            if program.minutes[v, m]:
                assert (name.split(":")[0], m + 1) in opened
    for event in found:
        if event not in reminders and hasattr(event, "rrule"):
            days = list(itertools.islice(event.getrruleset(addRDate=True), 40))
            assert days
            assert {d.month for d in days} == {event.dtstart.value.month}
            assert event.dtend.value > event.dtstart.value


def test_the_work_of_a_dated_plan_has_every_task_on_its_days(example):
    made = calendars(example)
    if not example.work.calendar.dated:
        assert made == {}
        return
    found = events(made["crew.ics"].decode())
    named = {e.summary.value for e in found}
    assert {t.name for t in example.work.tasks} <= named
    dates = {str(e.dtstart.value)[:10] for e in found if e.summary.value in
             {t.name for t in example.work.tasks}}  # fmt: skip
    assert dates <= set(example.work.calendar.dates)
    assert len(made) == 1 + len(example.work.crew.people)


@pytest.mark.parametrize("name", ["bracken-bank"])
def test_a_broken_calendar_is_refused_by_that_reader(worked, name):
    text = watering_ics(worked(name)).replace("END:VEVENT", "END:EVENT", 1)
    with pytest.raises(vobject.base.ParseError):
        events(text)
