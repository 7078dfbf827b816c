"""The water on paper: the controller's door, the season, the budget, CSV and calendar."""

import csv
import dataclasses
import io

import numpy as np
import pytest
from icalendar import Calendar

from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.blocks import Picture, Table
from hillwright.sheets.watercalendar import watering_ics
from hillwright.sheets.watersheets import water_sheets
from hillwright.sheets.watertables import program_csv, water_csv


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    job, _ = write_job(tmp_path_factory.mktemp("water"), "us")
    text = job.read_text("utf-8")
    text = text.replace("[climate]", '[climate]\nplace = "Fresno"', 1)
    job.write_text(text.replace("[watering]", "[watering]\nprice = 9.0", 1), "utf-8")
    return work_out(open_job(job))


def tables(sheet):
    return {block.heading: block for block in sheet.blocks if isinstance(block, Table)}


def test_the_door_has_twelve_months_for_every_valve(plan):
    door, _, _ = water_sheets(plan)
    first = next(iter(tables(door).values()))
    assert [row[0] for row in first.rows][:2] == ["Jan", "Feb"]
    assert len(first.rows) == 12
    assert "100 %" in [row[4] for row in first.rows]
    assert any("Water that runs on a slope" in line for b in door.blocks for line in
               getattr(b, "lines", ()))  # fmt: skip


def test_the_season_compares_the_program_with_the_same_minutes_all_year(plan):
    _, season, _ = water_sheets(plan)
    tuned, same = tables(season)["A year under each setting"].rows
    assert tuned[0].startswith("tuned")
    named = tables(season).get("Cells that do not last between waterings")
    assert (tuned[5] == "0") == (named is None)  # who dries out is named, with a remedy
    if named is not None:
        assert all("a plant of factor" in row[5] for row in named.rows)
    gallons = [int(row[1].split()[0].replace(",", "")) for row in (tuned, same)]
    assert gallons[0] < gallons[1]
    cost = [float(row[7].replace(",", "")) for row in (tuned, same)]
    assert cost[0] == pytest.approx(9.0 * gallons[0] / 1000, abs=1)
    picture = next(b for b in season.blocks if isinstance(b, Picture))
    assert picture.svg.count(b"<rect") == 36


def test_the_budget_is_the_ordinance_s_worksheet(plan):
    _, _, budget = water_sheets(plan)
    lines = dict(tables(budget)["Water budget"].rows)
    assert lines["Reference evapotranspiration ETo (in/yr)"] == "51.1"  # the ordinance's Fresno
    regular, special = (
        float(lines[f"{kind} (sq. ft.)"].replace(",", ""))
        for kind in ("Regular landscape area", "Special landscape area SLA")
    )
    area = regular + special / 0.55
    allowed = float(lines["Maximum applied water allowance MAWA (gal/yr)"].replace(",", ""))
    assert allowed == pytest.approx(51.1 * 0.62 * 0.55 * area, rel=0.02)


def test_the_tables_have_a_row_for_every_cell_and_for_every_valve_and_month(plan):
    cells = list(csv.DictReader(io.StringIO(water_csv(plan))))
    assert len(cells) == len(plan.layout.row)
    assert float(cells[0]["peak (gal/day)"]) > 0
    program = list(csv.DictReader(io.StringIO(program_csv(plan))))
    assert len(program) == 12 * len(plan.watering.valves.names)


def test_the_calendar_opens_each_valve_on_the_days_of_the_program(plan):
    calendar = Calendar.from_ical(watering_ics(plan))
    events = list(calendar.walk("VEVENT"))
    reminders = [e for e in events if "controller" in str(e["uid"])]
    assert len(reminders) == 12
    july = next(e for e in events if str(e["uid"]).startswith("valve-1-7"))
    program = plan.watering.program
    assert july["rrule"]["INTERVAL"] == [int(program.interval[0, 6])]
    minutes = (july["dtend"].dt - july["dtstart"].dt).total_seconds() / 60
    assert minutes >= program.minutes[0, 6]


def test_answer_seven_says_days_minutes_budget_and_the_caution(plan):
    answer = plan.answers[6]
    text = " ".join(answer.lines)
    assert "Fresno" in text
    assert "same minutes all year" in text
    assert "allowance" in text
    assert "shut the water off" in answer.caution
    assert set(answer.figures) <= set(plan.workings)


def test_windows_too_short_mark_door_table_and_calendar(plan):
    late = np.zeros(12)
    late[6] = 1800.0
    program = dataclasses.replace(plan.watering.program, over=late)
    stopped = dataclasses.replace(
        plan, watering=dataclasses.replace(plan.watering, program=program)
    )
    door, _, _ = water_sheets(stopped)
    assert door.blocks[0].heading.startswith("STOP")
    assert "would be enough" in door.blocks[0].lines[0]
    valves = [t for name, t in tables(door).items() if name.startswith("Valve")]
    assert valves
    assert all(t.heading.endswith("STOP") and t.rows[6][0] == "Jul STOP" for t in valves)
    rows = list(csv.DictReader(io.StringIO(program_csv(stopped))))
    assert all(("STOP" in r["fits the windows"]) == (r["month"] == "July") for r in rows)
    events = Calendar.from_ical(watering_ics(stopped)).walk("VEVENT")
    marked = [e for e in events if str(e["summary"]).startswith("STOP")]
    assert marked
    assert {e["dtstart"].dt.month for e in marked} == {7}


def test_budget_sheet_and_door_say_that_the_program_is_over_the_allowance(plan):
    door, _, budget = water_sheets(plan)
    given = float(plan.watering.season[0].given.sum())
    over = given > plan.watering.allowance
    result = next(b for b in budget.blocks if b.heading == "Result")
    assert any("OVER THE ALLOWANCE" in line for line in result.lines) == over
    lines = dict(tables(budget)["Water budget"].rows)
    assert lines["Program over allowance"].startswith(f"{given / plan.watering.allowance:.2f}")
    goes = next(b for b in door.blocks if b.heading == "Where the water goes")
    assert any("OVER THE ALLOWANCE" in line for line in goes.lines) == over


def test_answer_and_season_sheet_tell_one_and_the_same_year(plan):
    _, season, _ = water_sheets(plan)
    given = tables(season)["A year under each setting"].rows[0][1]
    assert f"In a mean year the program takes {given}" in " ".join(plan.answers[6].lines)
