"""The sheet and the table of the soil say what the room found."""

import csv
import dataclasses
import io
import re

import numpy as np
import pytest

from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets import tables
from hillwright.sheets.blocks import Table
from hillwright.sheets.soil import soil_csv, soil_sheets
from hillwright.sheets.soilplan import _HATCHES, amounts, mix_letters


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    return work_out(open_job(write_job(tmp_path_factory.mktemp("bank"), "us")[0]))


def test_the_rows_of_the_sheet_sum_to_what_is_carried(demo):
    _, sheet = soil_sheets(demo)
    rows = next(b for b in sheet.blocks if isinstance(b, Table) and b.heading == "Row by row")
    column = next(k for k, h in enumerate(rows.head) if h.startswith("to carry"))
    carried = sum(float(r[column]) for r in rows.rows)
    assert carried == pytest.approx(demo.fill.total_loose / 0.764554858, abs=0.05)


def test_every_table_is_as_wide_as_its_head(demo):
    for block in soil_sheets(demo)[1].blocks:
        if isinstance(block, Table):
            assert {len(r) for r in block.rows} == {len(block.head)} == {len(block.widths)}


def test_the_table_of_cells_sums_to_the_soil_in_place(demo):
    found = list(csv.DictReader(io.StringIO(soil_csv(demo))))
    assert len(found) == len(demo.layout.row)
    total = sum(float(r["in_place_ft3"]) for r in found)
    assert total == pytest.approx(demo.fill.total_settled / 0.3048**3, rel=1e-3)
    assert np.array([float(r["soaked_lb"]) for r in found]).max() == pytest.approx(
        demo.fill.saturated.max() / 0.45359237, abs=1e-3
    )


def test_a_hill_without_a_filled_cell_has_no_such_sheet(make):
    assert soil_sheets(make()) == ()


def test_the_plan_letters_every_mix_and_names_every_row_that_takes_soil(demo):
    (drawn, _), letters = soil_sheets(demo), mix_letters(demo.fill)
    said = re.findall(r">([^<>]+)</text>", drawn.files["plan.svg"].decode())
    assert set(letters.values()) <= set(said)
    assert len(set(letters.values())) == len(letters)
    rows = [s for s in said if re.fullmatch(r"[A-Z] [\d.]+( \+ [A-Z] [\d.]+)* yd³", s)]
    assert len(rows) == len(amounts(demo))
    told = sum(float(v) for s in rows for v in re.findall(r"[A-Z] ([\d.]+)", s))
    assert told == pytest.approx(demo.fill.total_loose / 0.764554858, abs=0.006 * 2 * len(rows))


def test_the_plan_names_every_lift_and_the_pile(demo):
    drawn = soil_sheets(demo)[0].files["plan.svg"].decode()
    said = re.findall(r">([^<>]+)</text>", drawn)
    assert {f"L{lift.number}" for lift in demo.carry.lifts} <= set(said)
    assert any(s.startswith("Pile") for s in said)
    assert 'class="lifts"' in drawn


def test_hatches_of_mixes_differ_from_each_other_and_from_what_cells_keep_off():
    assert len(set(_HATCHES)) == len(_HATCHES)
    assert (1.3, (45.0,)) not in _HATCHES


def test_the_soil_of_the_lifts_and_of_what_is_set_cell_by_cell_is_all_of_it(demo):
    table = next(
        b for b in soil_sheets(demo)[1].blocks if isinstance(b, Table) and "Lifts" in b.heading
    )
    names, line = tables.line_names(demo.setout), tables.lines_of_cells(demo)
    alone = np.isin(line, [names.index(n) for n in demo.carry.singles])
    lifted = sum(float(r[-1]) for r in table.rows) * 0.764554858
    assert (line >= 0).all()
    whole = lifted + demo.fill.loose[alone].sum()
    assert whole == pytest.approx(demo.fill.total_loose, abs=0.01 * len(table.rows))


def test_a_pile_far_off_is_told_with_its_distance_and_the_scale_stays(demo):
    far = dataclasses.replace(demo.carry, pile=demo.carry.pile + np.array([0.0, -60.0, 0.0]))
    drawn = soil_sheets(dataclasses.replace(demo, carry=far))[0]
    near = soil_sheets(demo)[0]
    said = re.findall(r">(Pile[^<>]*)</text>", drawn.files["plan.svg"].decode())
    assert len(said) == 1
    assert re.fullmatch(r"Pile, \d+\.\d+ ft from here", said[0])
    scale = [int(re.search(r"1:(\d+)", page.scale)[1]) for page in (drawn, near)]
    assert scale[0] <= scale[1]
