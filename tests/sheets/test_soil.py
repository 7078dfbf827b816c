"""The sheet and the table of the soil say what the room found."""

import csv
import io

import numpy as np
import pytest

from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.blocks import Table
from hillwright.sheets.soil import soil_csv, soil_sheets


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    return work_out(open_job(write_job(tmp_path_factory.mktemp("bank"), "us")[0]))


def test_the_rows_of_the_sheet_sum_to_what_is_carried(demo):
    (sheet,) = soil_sheets(demo)
    rows = next(b for b in sheet.blocks if isinstance(b, Table) and b.heading == "Row by row")
    column = next(k for k, h in enumerate(rows.head) if h.startswith("to carry"))
    carried = sum(float(r[column]) for r in rows.rows)
    assert carried == pytest.approx(demo.fill.total_loose / 0.764554858, abs=0.05)


def test_every_table_is_as_wide_as_its_head(demo):
    for block in soil_sheets(demo)[0].blocks:
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
