"""The demo hillside, from its job file to its sheets."""

import csv
from pathlib import Path

import pyogrio
import pytest
from pypdf import PdfReader

from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.plan_sheet import plan_sheet
from hillwright.sheets.write import write_sheets
from hillwright.wording import in_units

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def bank():
    return work_out(open_job(EXAMPLES / "bracken-bank" / "job.toml"))


def test_the_demo_gets_its_sheets(bank, tmp_path):
    write_sheets(bank, tmp_path)
    texts = [
        " ".join(page.extract_text().split())
        for path in sorted(tmp_path.rglob("*.pdf"))
        for page in PdfReader(path).pages
    ]
    assert any(f"{bank.layout.count} whole cells" in text for text in texts)
    assert all("STOP" in text for text in texts)  # steeper than 2H:1V
    assert "Bracken bank (invented)" in texts[-1]
    order = PdfReader(tmp_path / "supplier" / "order.pdf").pages
    takeoff = " ".join(" ".join(page.extract_text() for page in order).split())
    for line in bank.takeoff.lines:
        if line.kind in ("labour", "work"):  # nobody orders these
            continue
        assert in_units(line.item, bank.job.units) in takeoff
    assert any("Where the rain goes" in text for text in texts)
    with (tmp_path / "files" / "stakes.csv").open(encoding="utf-8", newline="") as file:
        stakes = {row["point"]: row for row in csv.DictReader(file)}
    assert set(stakes) == set(bank.setout.stake_name)
    assert pyogrio.read_info(tmp_path / "files" / "set-out.gpkg", layer="cells")["features"] == len(
        bank.layout.corners
    )


@pytest.mark.parametrize("name", ["bracken-bank", "long-meadow"])
def test_nothing_that_matters_goes_unlettered(name):
    plan = work_out(open_job(EXAMPLES / name / "job.toml"))
    assert plan_sheet(plan).drawing.unplaced == []
