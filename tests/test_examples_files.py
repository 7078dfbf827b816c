"""The examples: invented, small, readable, and what the generator makes."""

import importlib.util
import math
from pathlib import Path

import numpy as np
import pytest

from hillwright.job.read import open_job
from hillwright.job.sidecar import read_site
from hillwright.job.site import HeightGrid, Spots, TapeSections

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted(p.parent for p in (ROOT / "examples").glob("*/job.toml"))


@pytest.fixture(scope="module")
def hills():
    spec = importlib.util.spec_from_file_location("hills", ROOT / "benchmarks" / "hills.py")
    module = importlib.util.module_from_spec(spec)
    import sys

    sys.modules["hills"] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    yield module
    del sys.modules["hills"]


def test_there_is_an_example_for_each_kind_of_survey():
    kinds = {open_job(e).job.survey.kind for e in EXAMPLES}
    assert kinds == {"sections", "points", "dem"}
    assert {open_job(e).job.units for e in EXAMPLES} == {"us", "metric"}


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda p: p.name)
def test_an_example_is_small_says_that_it_is_invented_and_is_listed(example):
    files = [p for p in example.iterdir() if p.suffix in {".toml", ".csv", ".tif", ".geojson"}]
    assert sum(p.stat().st_size for p in files) < 200_000
    assert "nvented" in open_job(example).job.site.notes
    assert f"`{example.name}`" in (ROOT / "examples" / "README.md").read_text("utf-8")


# area on the slope over the cell's own area, less than a tenth of it in trimmed edges
@pytest.mark.parametrize(
    ("name", "cells"),
    [("bracken-bank", (40, 120)), ("quarry-garden", (200, 340)), ("long-meadow", (450, 600))],
)
def test_an_example_reads_and_has_room_for_the_cells_it_promises(name, cells):
    opened = open_job(ROOT / "examples" / name)
    site = read_site(opened)
    x, y = site.outline.T
    plan = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    cell = opened.job.cell
    assert cells[0] < plan / math.cos(math.radians(30)) / (cell.width * cell.run) < cells[1]


def test_the_examples_show_what_their_readme_says():
    bank, quarry, meadow = (
        read_site(open_job(ROOT / "examples" / n))
        for n in ("bracken-bank", "quarry-garden", "long-meadow")
    )
    assert isinstance(bank.measured, TapeSections)
    assert len(bank.measured.chainage) == 11
    assert isinstance(quarry.measured, Spots)
    assert len(quarry.measured.breaklines) == 2
    assert [e.name for e in quarry.exclusions] == ["crab apple", "trail", "boulder"]
    assert quarry.string is not None
    assert isinstance(meadow.measured, HeightGrid)
    assert np.isfinite(meadow.measured.heights).mean() > 0.95


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda p: p.name)
def test_the_generator_makes_the_example_again(hills, example, tmp_path):
    hills.EXAMPLES[example.name](tmp_path)
    made = sorted(p.name for p in tmp_path.iterdir())
    assert made
    for name in made:
        if name.endswith(".tif"):  # the library's version may change the bytes, never the heights
            import rasterio

            with rasterio.open(tmp_path / name) as a, rasterio.open(example / name) as b:
                assert np.array_equal(a.read(1), b.read(1))
                assert (a.transform, a.crs, a.nodata) == (b.transform, b.crs, b.nodata)
        else:
            assert (tmp_path / name).read_text("utf-8") == (example / name).read_text("utf-8")


@pytest.mark.parametrize("kind", ["sections", "points", "dem"])
@pytest.mark.parametrize("us", [True, False])
def test_a_hill_of_any_size_reads_back_as_the_ground_it_was_made_from(hills, kind, us, tmp_path):
    job = hills.write_hill(tmp_path, kind, 14, 9, seed=5, us=us)
    site = read_site(open_job(job))
    assert np.ptp(site.outline, axis=0) == pytest.approx([14, 9], abs=0.02)
    if kind == "points":
        x, y, z = site.measured.xyz.T
        plane, *_ = np.linalg.lstsq(np.column_stack([x, y, np.ones(len(x))]), z, rcond=None)
        assert math.degrees(math.atan(plane[1])) == pytest.approx(32, abs=3)


def test_the_same_seed_makes_the_same_hill(hills, tmp_path):
    for folder in ("a", "b"):
        hills.write_hill(tmp_path / folder, "points", 8, 6, seed=9)
    first, second = ((tmp_path / f / "points.csv").read_text("utf-8") for f in "ab")
    assert first == second
