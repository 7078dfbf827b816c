"""The rain on paper: hydrographs true to their numbers, drains and spills drawn and counted."""

import csv
import io
import re

import numpy as np
import pytest

from hillwright import units
from hillwright.sheets import hydrograph
from hillwright.sheets.blocks import Picture, Table
from hillwright.sheets.marks import Circle, Fill, Line, Words
from hillwright.sheets.plan_sheet import plan_sheet
from hillwright.sheets.rain import by_row, rain_csv, rain_sheet
from hillwright.sheets.water import MOST_ARROWS


@pytest.fixture(scope="module")
def plan(make):
    return make()


def test_the_sheet_has_the_four_states_and_every_row_and_drain(plan):
    sheet = rain_sheet(plan)
    tables = [b for b in sheet.blocks if isinstance(b, Table)]
    states, soil, rows, drains = tables
    assert [r[0] for r in states.rows] == [s.name for s in plan.runoff.states]
    assert [r[0] for r in soil.rows] == [s.name for s in plan.runoff.states]
    assert [int(r[0]) for r in rows.rows] == np.unique(plan.layout.row).tolist()
    assert len(drains.rows) == len(plan.drainage.drains) > 0
    for table in tables:
        assert {len(r) for r in table.rows} == {len(table.head)}
    words = " ".join(str(b) for b in sheet.blocks)
    assert "no design" in words  # no rain was given
    assert "licensed practice" in words


def test_the_table_of_rows_adds_up_to_the_storm(plan):
    lines, storm = by_row(plan), plan.runoff.storm
    assert sum(r.leaves for r in lines) == pytest.approx(storm.rows.volume, rel=1e-9)
    assert sum(r.cells for r in lines) == len(plan.layout.row)
    assert min(r.first for r in lines) == storm.first_time
    read = list(csv.DictReader(io.StringIO(rain_csv(plan))))
    assert [int(r["row"]) for r in read] == [r.row for r in lines]
    leaves = sum(float(r["leaves_ft3"]) for r in read)
    assert leaves == pytest.approx(units.shown(storm.rows.volume, "m3.small", "us")[0], abs=0.01)


def test_a_hydrograph_peaks_where_and_as_high_as_the_storm_does(plan):
    storm, rain = plan.runoff.storm, plan.runoff.rain.rain
    first, last = hydrograph.window(storm)
    assert 0 <= first < last <= len(storm.time)
    for flows, h in ((hydrograph.flow(h, first, last), h) for h in (storm.rows, storm.bare)):
        assert flows.max() == pytest.approx(h.peak)
        at = np.concatenate(([0.0], storm.time))[first + int(np.argmax(flows))]
        assert at == pytest.approx(h.peak_time)
    made = hydrograph.hydrograph(storm, rain, "us", 200.0, 60.0).decode()
    assert "with the rows" in made
    assert "hours since the storm began" in made
    points = np.array(
        re.findall(r"(-?[\d.]+) (-?[\d.]+)", " ".join(re.findall(r'd="([^"]*)"', made)))
    )
    x, y = points.astype(float).T
    assert (x >= 0).all() and (x <= 200).all() and (y >= 0).all() and (y <= 60).all()  # noqa: PT018


def test_drains_and_spills_are_drawn_and_counted(plan):
    marks = plan_sheet(plan).drawing.marks
    drains = plan.drainage.drains
    assert sum(isinstance(m, Line) and m.layer == "drains" for m in marks) >= len(drains)
    assert sum(isinstance(m, Circle) and m.layer == "drains" for m in marks) == 2 * len(drains)
    assert sum(isinstance(m, Words) and m.layer == "drains" for m in marks) == len(drains)
    arrows = sum(isinstance(m, Fill) and m.layer == "spills" for m in marks)
    assert 0 < arrows <= MOST_ARROWS
    notes = plan_sheet(plan).drawing.notes
    assert f"{arrows} place" in notes["spills"]
    assert notes["drains"].startswith(f"{len(drains)} drain")


def test_pictures_fit_the_smallest_paper(make):
    letter = make(paper="letter")
    wide = [b.width for b in rain_sheet(letter).blocks if isinstance(b, Picture)]
    assert wide
    assert max(wide) <= 279.4 - 20
