"""Chart, day sheets and calendars of the work."""

import csv
import datetime
import io
import re
import sys
from dataclasses import replace
from pathlib import Path

import icalendar
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "crew"))  # for hillwork.py

from hillwork import amounts, crew, hours, person

from hillwright.answers.hands import hands
from hillwright.answers.model import Answer
from hillwright.crew.assign import spells
from hillwright.crew.planning import plan_work
from hillwright.errors import HillwrightError
from hillwright.sheets.crew import crew_sheets, day_sheets, days_csv, tasks_csv
from hillwright.sheets.gantt import chart, charts
from hillwright.sheets.ics import crew_ics, person_ics
from hillwright.sheets.schedule import calendars, write_schedule


@pytest.fixture(scope="module")
def work():
    return plan_work(crew(5), amounts(12, 8))


@pytest.fixture(scope="module")
def busy(plan, work):
    answer = Answer(8, "", "short", "with measures", ("line",), (), "careful")
    return replace(plan, work=work, answers=(answer,))


def table(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_every_task_has_its_bar_and_its_name(work):
    drawn = chart(work, 260, 160)
    text = drawn.svg.decode()
    assert drawn.height <= 160
    for task in work.tasks:
        assert f">{task.name}<" in text
    assert len(re.findall(r'fill="#000000" stroke="none"', text)) == int(work.path.sum())


def test_a_chart_of_many_tasks_keeps_to_its_paper():
    many = plan_work(crew(9), amounts(40, 12))
    assert chart(many, 259, 150).height <= 150


def test_many_tasks_go_over_to_further_charts_that_can_be_read():
    many = plan_work(crew(6, hours=hours(heavy_until=10 * 60)), amounts(24, 30))
    drawn = charts(many, 400, 220)
    assert len(drawn) > 1
    text = "".join(picture.svg.decode() for picture in drawn)
    for task in many.tasks:
        assert text.count(f">{task.name}<") == 1


def test_there_is_a_day_sheet_for_each_day_and_for_each_person(busy):
    assert [s.title for s in crew_sheets(busy)] == ["Work plan", "Tasks"]
    by_day, by_person = day_sheets(busy)
    work = busy.work
    assert [b.heading for b in by_day.blocks[1:]] == [
        work.calendar.name(day) for day in range(work.days)
    ]
    assert [b.heading.split(" (")[0] for b in by_person.blocks] == [
        p.name for p in work.crew.people
    ]


def test_a_day_names_everybody_who_works_then_and_only_them(busy):
    work = busy.work
    names = [p.name for p in work.crew.people]
    for day, block in enumerate(day_sheets(busy)[0].blocks[1:]):
        said = {name for row in block.rows for name in row[2].split(", ")}
        there = {
            names[s.person]
            for s in work.stints
            for spell in spells(work.calendar, s.start, s.finish)
            if spell.day == day
        }
        assert said == there


def test_the_tables_hold_every_task_and_every_spell(busy, work):
    assert [row["task"] for row in table(tasks_csv(busy))] == [t.name for t in work.tasks]
    rows = table(days_csv(busy))
    count = sum(len(spells(work.calendar, s.start, s.finish)) for s in work.stints)
    assert len(rows) == count
    for row in rows:
        assert re.fullmatch(r"\d\d:\d\d-\d\d:\d\d", row["from-to"])
        assert row["person"] not in row["with"].split(", ")


def events(content):
    return list(icalendar.Calendar.from_ical(content).walk("VEVENT"))


def test_the_calendar_holds_the_working_time_of_every_task(work):
    found = events(crew_ics(work, "Hill"))
    timed = [e for e in found if isinstance(e["dtstart"].dt, datetime.datetime)]
    minutes = sum((e["dtend"].dt - e["dtstart"].dt).total_seconds() / 60 for e in timed)
    assert minutes == 5 * int((work.finish - work.start).sum())
    assert {str(e["summary"]) for e in timed} == {t.name for t in work.tasks}
    assert all(e["dtstart"].dt.tzinfo is None for e in timed)  # the clock on the hill
    (call,) = [e for e in found if e not in timed]
    assert call["dtend"].dt - call["dtstart"].dt == datetime.timedelta(days=1)


def test_the_calendar_keeps_to_the_form_of_its_standard(work):
    # RFC 5545 sections 3.1, 3.6 and 3.6.1
    content = crew_ics(work, "Hill; with, signs\\ and é" * 4)
    assert content.endswith(b"\r\n")
    lines = content.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in content.replace(b"\r\n", b"")
    whole = icalendar.Calendar.from_ical(content)
    assert whole["version"] == "2.0"
    assert whole["prodid"]
    ids = [str(e["uid"]) for e in events(content)]
    assert len(set(ids)) == len(ids)
    assert all("dtstamp" in e for e in events(content))
    assert crew_ics(work, "Hill") == crew_ics(work, "Hill")


def test_each_person_s_calendar_holds_their_own_hours(work):
    for i in range(len(work.crew.people)):
        timed = [
            e
            for e in events(person_ics(work, "Hill", i))
            if isinstance(e["dtstart"].dt, datetime.datetime)
        ]
        minutes = sum((e["dtend"].dt - e["dtstart"].dt).total_seconds() / 60 for e in timed)
        mine = sum(s.finish - s.start for s in work.stints if s.person == i)
        assert minutes == 5 * mine


def test_without_dates_there_is_no_calendar(busy):
    undated = plan_work(crew(5, hours=hours(start="")), amounts())
    assert calendars(replace(busy, work=undated)) == {}
    assert undated.calendar.name(0) == "day 1 (Mon)"


def test_the_files_of_the_work_are_written_whole_and_the_same_again(busy, tmp_path):
    first = write_schedule(busy, tmp_path / "a")
    again = write_schedule(busy, tmp_path / "b")
    assert [p.name for p in first][:4] == ["work.pdf", "tasks.csv", "days.csv", "crew.ics"]
    assert len(first) == 4 + len(busy.work.crew.people)
    written = sorted(p.name for p in (tmp_path / "a").iterdir())
    assert written == sorted(["set.json", *(p.name for p in first)])
    for one, two in zip(first, again, strict=True):
        assert one.read_bytes() == two.read_bytes()


def test_a_place_that_cannot_be_written_is_named(busy, tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(HillwrightError, match="cannot be written"):
        write_schedule(busy, tmp_path / "file")


def test_the_answer_tells_hands_days_bound_and_chance(busy, work):
    found = hands(_rooms(busy, work))
    assert found.short.startswith("5 people, ")
    assert "as likely as not" in found.short  # the likely length before the hoped for
    assert f"with nothing going wrong {work.days} working days" in found.short
    text = " ".join(found.lines)
    for said in ("No order of work", "longest path", "nine in ten", "811 by 2026-04-29"):
        assert said in text
    assert "811" in found.caution
    assert found.verdict == "with measures"


def test_a_crew_that_cannot_do_it_still_gets_its_sheet_that_says_so(busy, tmp_path):
    none = plan_work(crew([person("Max"), person("Eva")]), amounts())
    assert none.stopped
    files = write_schedule(replace(busy, work=none), tmp_path)
    assert [p.name for p in files] == ["work.pdf", "tasks.csv", "days.csv"]
    assert table(tasks_csv(replace(busy, work=none))) == []


def test_a_crew_that_cannot_do_it_is_stopped(busy):
    none = replace(busy.work, stopped="nobody may")
    found = hands(_rooms(busy, none))
    assert found.verdict == "stop"
    assert "nobody may" in found.short


def _rooms(busy, work):
    """Give what the answer reads of the rooms."""

    class Rooms:
        job = busy.opened.job

    rooms = Rooms()
    rooms.work, rooms.carry = work, busy.carry
    return rooms
