"""The files: complete, readable by others, the same bytes twice."""

import csv
import io
import warnings
from dataclasses import replace

import numpy as np
import pyogrio
import pytest
import shapely
from pypdf import PdfReader

from hillwright.errors import HillwrightError, JobError
from hillwright.sheets import rows, words
from hillwright.sheets.documents import READERS, Drawn
from hillwright.sheets.dxf import insert_units
from hillwright.sheets.readers.crew import crew_papers
from hillwright.sheets.readers.inspector import inspector_papers
from hillwright.sheets.readers.owner import owner_papers
from hillwright.sheets.readers.supplier import supplier_papers
from hillwright.sheets.scale import papers
from hillwright.sheets.write import write_sheets

FILES = [
    "STOP.txt",
    "owner/list.pdf",
    "owner/cover.pdf",
    "owner/planting.pdf",
    "owner/upkeep.pdf",
    "crew/list.pdf",
    "crew/safety.pdf",
    "crew/smoothing.pdf",
    "crew/set-out.pdf",
    "crew/row-cards.pdf",
    "crew/anchors.pdf",
    "crew/planting.pdf",
    "crew/as-built.pdf",
    "supplier/list.pdf",
    "supplier/order.pdf",
    "supplier/takeoff.csv",
    "supplier/orders.csv",
    "inspector/list.pdf",
    "inspector/stability.pdf",
    "inspector/drainage.pdf",
    "files/list.pdf",
    "files/stakes.csv",
    "files/bars.csv",
    "files/rows.csv",
    "files/cells.csv",
    "files/rain.csv",
    "files/soil.csv",
    "files/tasks.csv",
    "files/days.csv",
    "files/planting.csv",
    "files/plants.csv",
    "files/water.csv",
    "files/watering.csv",
    "files/upkeep.csv",
    "files/as-built.csv",
    "files/price.csv",
    "files/watering.ics",
    "files/upkeep.ics",
    "files/set-out.dxf",
    "files/set-out.gpkg",
    "files/workbook.xlsx",
    "files/model.glb",
    "files/plan.json",
]


@pytest.fixture(scope="module")
def folder(plan, tmp_path_factory):
    folder = tmp_path_factory.mktemp("sheets") / "new"
    write_sheets(plan, folder)
    return folder


def table(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def files_in(folder):
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_the_set_is_complete_and_nothing_else_is_left(plan, folder):
    assert files_in(folder) == sorted([*FILES, "set.json"])


def test_the_same_plan_gives_the_same_bytes(plan, folder, tmp_path):
    told = []
    again = write_sheets(plan, tmp_path, lambda name, share: told.append((name, share)))
    assert [p.relative_to(tmp_path).as_posix() for p in again] == FILES
    for place in [*FILES, "set.json"]:
        assert (tmp_path / place).read_bytes() == (folder / place).read_bytes(), place
    assert told[0] == ("STOP.txt", 0.0)
    assert told[-1] == ("done", 1.0)


def test_a_stop_stands_on_every_page_and_beside_the_files_until_it_is_cleared(plan, tmp_path):
    write_sheets(plan, tmp_path)
    said = (tmp_path / "STOP.txt").read_text(encoding="utf-8")
    assert plan.answers[0].short in said
    assert plan.answers[0].caution in said
    for path in tmp_path.rglob("*.pdf"):
        for page in PdfReader(path).pages:
            assert words.STOPPED in " ".join(page.extract_text().split()), path
    for reader in READERS:  # whoever holds a paper alone finds out from their list whom to ask
        first = PdfReader(tmp_path / reader / "list.pdf").pages[0].extract_text()
        assert plan.answers[0].caution in " ".join(first.split())
    assert "STOP" in (tmp_path / "files" / "set-out.dxf").read_text(encoding="utf-8")
    cleared = replace(
        plan, answers=tuple(replace(a, verdict="clear", caution="") for a in plan.answers)
    )
    write_sheets(cleared, tmp_path)
    assert not (tmp_path / "STOP.txt").exists()
    # what each check found still stands on its own sheet; the strip of every page is clear
    for path in tmp_path.rglob("*.pdf"):
        for page in PdfReader(path).pages:
            assert words.STOPPED not in " ".join(page.extract_text().split())


@pytest.mark.parametrize("paper", ["letter", "tabloid", "a3", "a1"])
def test_pages_have_the_size_of_the_paper(make, tmp_path, paper):
    write_sheets(make(paper=paper), tmp_path)
    pages = PdfReader(tmp_path / "crew" / "set-out.pdf").pages
    assert len(pages) >= 3
    for page in pages[:2]:  # plan and section; the schedule goes on an office page
        # a point is 1/72 in
        assert float(page.mediabox.width) == pytest.approx(
            papers()[paper].width / 25.4 * 72, abs=0.5
        )
        assert float(page.mediabox.height) == pytest.approx(
            papers()[paper].height / 25.4 * 72, abs=0.5
        )


def test_the_pages_say_what_the_crew_needs(plan, folder):
    texts = [page.extract_text() for page in PdfReader(folder / "crew" / "set-out.pdf").pages]
    assert all(
        "Sample Slope" in t and f"C3: {k} of {len(texts)}" in t for k, t in enumerate(texts, 1)
    )
    first, whole = " ".join(texts[0].split()), " ".join(" ".join(texts).split())
    for text in ("Set-out plan", '3/8" = 1\'-0" (1:32)', "STOP: Mean slope", "R1"):
        assert text in first
    for text in (
        "Call before you dig",
        "Not a boundary survey",
        "the sheet of what holds the hill",
        "Invented example",
        "33 whole cells in 5 rows",
        "at most 2 cells more",
    ):
        assert text in whole
    assert "H:1V" in texts[1]
    assert f"{plan.setout.tape_a[0, 0] / 0.3048:.2f}" in texts[2]
    assert "W start" in texts[2]
    assert "on your right as you stand at A" in " ".join(texts[2].split())
    smoothing = PdfReader(folder / "crew" / "smoothing.pdf").pages[0].extract_text()
    assert "Part of the outline lies outside the survey." in " ".join(smoothing.split())
    order = PdfReader(folder / "supplier" / "order.pdf").pages[0].extract_text()
    assert "planting cell" in order


def test_a_long_schedule_goes_on_over_pages_with_its_head(make, tmp_path):
    write_sheets(make(rows=60, columns=6, paper="letter"), tmp_path)
    pages = PdfReader(tmp_path / "crew" / "set-out.pdf").pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    schedule = [t for t in texts if "start: left end" in t]
    assert len(schedule) >= 2
    assert all("down from string" in t for t in schedule)


def test_words_of_the_job_are_printed_as_they_stand(make, tmp_path):
    name = 'Hill #1 *bold* $x$ <b> & "q" [1] \\ 山'
    write_sheets(make(name=name), tmp_path)
    text = PdfReader(tmp_path / "crew" / "set-out.pdf").pages[0].extract_text()
    assert 'Hill #1 *bold* $x$ <b> & "q" [1] \\' in text


def test_stakes_are_in_the_surveys_own_numbers(plan, folder):
    stakes = table(folder / "files" / "stakes.csv")
    assert list(stakes[0]) == ["point", "northing", "easting", "elevation", "description"]
    assert [s["point"] for s in stakes] == list(plan.setout.stake_name)
    for stake, (x, y, z) in zip(stakes, plan.setout.stake, strict=True):
        assert float(stake["easting"]) == pytest.approx(600_000 + x / 0.3048, abs=6e-4)
        assert float(stake["northing"]) == pytest.approx(200_000 + y / 0.3048, abs=6e-4)
        assert float(stake["elevation"]) == pytest.approx(z / 0.3048, abs=6e-4)


def test_rows_are_the_set_out_in_the_jobs_units(plan, folder):
    found = table(folder / "files" / "rows.csv")
    s = plan.setout
    assert [int(r["row"]) for r in found] == s.row.tolist()
    for key, values in (
        ("tape_a_start_ft", s.tape_a[:, 0]),
        ("tape_b_end_ft", s.tape_b[:, 1]),
        ("offset_end_ft", s.offset[:, 1]),
        ("along_ft", s.along),
    ):
        got = np.array([float(r[key]) for r in found])
        np.testing.assert_allclose(got, values / 0.3048, atol=6e-4)
    assert found[-1]["mark"] == "W start"


def test_cells_and_takeoff_are_traced(plan, folder):
    cells = table(folder / "files" / "cells.csv")
    assert len(cells) == len(plan.layout.corners)
    assert float(cells[0]["upper_left_easting"]) == pytest.approx(600_000, abs=1e-3)
    takeoff = table(folder / "supplier" / "takeoff.csv")
    assert [int(t["count"]) for t in takeoff] == [33, 132]
    assert takeoff[0]["cells"].startswith("R1: 1 to 8; R2: 1 to 8; R3: 1 to 6")


def test_no_number_is_written_as_minus_nothing():
    assert rows._n(-0.0001) == "0.000"
    assert rows._n(-0.5) == "-0.500"


def test_the_drawing_file_passes_an_audit_and_reads_back(plan, folder):
    import ezdxf

    document = ezdxf.readfile(folder / "files" / "set-out.dxf")
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.header["$INSUNITS"] == 2  # feet
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        meta, _, geometry, fields = pyogrio.raw.read(folder / "files" / "set-out.dxf")
    layer = fields[list(meta["fields"]).index("Layer")]
    shapes = shapely.from_wkb(geometry)
    cells = shapes[layer == "CELLS"]
    assert len(cells) == plan.layout.count
    corners = shapely.get_coordinates(cells[0])[:4]
    expected = plan.layout.corners[0, :, :2] / 0.3048 + (600_000, 200_000)
    assert shapely.Polygon(corners).symmetric_difference(shapely.Polygon(expected)).area < 1e-6
    assert (layer == "STAKES").sum() == len(plan.setout.stake)
    bars = plan.stability.anchoring
    assert (layer == "ANCHORED").sum() == int(bars.hangs.sum())
    assert (layer == "BARS").sum() == 2 * len(bars.place)  # each is a cross
    text = fields[list(meta["fields"]).index("Text")]
    assert {"R1", "Boulder", "Base line"} <= set(text)


def test_survey_feet_and_metres_have_their_own_drawing_units():
    # DXF reference, from memory: 1 inches, 2 feet, 6 metres, 21 US survey feet, 0 unitless
    assert [insert_units(u) for u in ("ft", "m", "us_survey_foot", "rod")] == [2, 6, 21, 0]


def test_the_map_file_has_a_layer_for_each_thing(plan, folder):
    path = folder / "files" / "set-out.gpkg"
    counts = {
        name: pyogrio.read_info(path, layer=name)["features"]
        for name, _ in pyogrio.list_layers(path)
    }
    assert counts.pop("contours") > 10
    assert counts == {
        "cells": plan.layout.count,
        "outline": 1,
        "exclusions": 2,
        "rows": len(plan.setout.row),
        "stakes": len(plan.setout.stake),
        "bars": len(plan.stability.anchoring.place),
        "slope_factor": len(plan.stability.map.xy),
        "spots": 3,
        "seams": 0,
        "planting_cells": plan.layout.count,
        "plants": 0,
        "drip_pipes": 0,
        "drip_emitters": 0,
        "drip_valves": 0,
    }
    info = pyogrio.read_info(path, layer="cells")
    assert "Local site grid" in info["crs"]
    assert info["total_bounds"][0] == pytest.approx(600_000, abs=1e-6)


def test_a_job_with_a_coordinate_system_keeps_it(make, tmp_path):
    plan = make(units="metric")
    frame = replace(plan.site.frame, crs="EPSG:32610")
    write_sheets(replace(plan, site=replace(plan.site, frame=frame)), tmp_path)
    assert (
        pyogrio.read_info(tmp_path / "files" / "set-out.gpkg", layer="cells")["crs"] == "EPSG:32610"
    )


@pytest.fixture
def bare(make, stability_of):
    """Give the plan of a hill on which no cell fits."""
    plan = make()
    none = slice(0, 0)
    layout = plan.layout
    cut = {
        name: getattr(layout, name)[none]
        for name in (
            *("corners", "row", "number", "panel", "anchored", "trimmed", "shear", "twist"),
            *("gap", "hump", "bend", "run_slope", "cross_slope"),
        )
    }
    s = plan.setout
    lines = {
        name: getattr(s, name)[none]
        for name in (
            *("row", "cells", "first", "start", "end", "from_string", "station", "offset"),
            *("tape_a", "tape_b", "along", "angle", "sigma", "closure"),
        )
    }
    return replace(
        plan,
        layout=(none_fit := replace(layout, **cut, count=0, left_out=())),
        stability=stability_of(none_fit, plan.surface.fall_line),
        setout=replace(s, **lines),
        surface=replace(plan.surface, spots=(), fall_line=np.empty((0, 3))),
        planting=replace(
            plan.planting,
            **{k: getattr(plan.planting, k)[none] for k in ("use", "plant", "mix", "hydrozone")},
            sun=plan.planting.sun[:, none],
            season=plan.planting.season[none],
        ),
    )


def test_a_hill_without_cells_still_gets_its_sheets(bare, tmp_path):
    write_sheets(bare, tmp_path)
    text = " ".join(
        " ".join(page.extract_text().split())
        for page in PdfReader(tmp_path / "crew" / "set-out.pdf").pages
    )
    assert "0 whole cells" in text
    assert "the ground has no fall line" in text


def test_a_paper_is_left_out_just_where_nothing_would_be_drawn(
    plan, bare, worked, tmp_path, monkeypatch
):
    drawn = []
    monkeypatch.setattr(
        "hillwright.sheets.documents.print_document", lambda *a: drawn.append(a[2]) or b""
    )
    left_out = set()
    for one in (plan, bare, worked("quarry-garden")):
        for reader in (owner_papers, crew_papers, supplier_papers, inspector_papers):
            for paper in reader(Drawn(one)):
                if paper.name.endswith(".pdf"):
                    paper.write(one, tmp_path / "page", "")
                    assert paper.empty == (not drawn.pop()), paper.place
                    left_out |= {paper.place} if paper.empty else set()
    assert {"owner/cover.pdf", "crew/row-cards.pdf", "inspector/irrigation.pdf"} <= left_out


def test_a_refused_scale_writes_nothing(make, tmp_path):
    with pytest.raises(JobError):
        write_sheets(make(scale=10), tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_folder_that_cannot_be_written_is_named(plan, tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(HillwrightError, match="file: the sheets cannot be written here"):
        write_sheets(plan, tmp_path / "file")


def test_the_lists_tell_the_pages_and_numbers_of_the_papers(folder):
    text = " ".join(PdfReader(folder / "crew" / "list.pdf").pages[0].extract_text().split())
    for k, name in enumerate(("safety", "smoothing", "set-out", "row-cards", "anchors"), 1):
        pages = len(PdfReader(folder / "crew" / f"{name}.pdf").pages)
        assert f"{name}.pdf {pages} " in text
        assert f"C{k} " in text


def test_the_schedule_as_text_has_one_line_for_each_run_of_cells(plan):
    assert len(list(csv.reader(io.StringIO(rows.rows_csv(plan))))) == 1 + len(plan.setout.row)
