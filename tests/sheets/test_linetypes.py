"""Lines and lettering of the drawings are those of the table: on pages, in pictures, in the DXF."""

import re
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from pdfread import pages, strokes

from hillwright.sheets.linetypes import ELEMENTS, HEIGHTS, LAYER_LINES, WIDTHS
from hillwright.sheets.marks import LAYERS
from hillwright.sheets.readers.files import files
from hillwright.sheets.write import documents, numbers

DOCS = Path(__file__).parents[2] / "docs" / "sheets.md"
DRAWN = (
    "crew/set-out.pdf", "crew/anchors.pdf", "crew/soil.pdf", "crew/drip.pdf", "crew/planting.pdf",
    "crew/work.pdf", "crew/row-cards.pdf", "owner/cover.pdf",
)  # fmt: skip


def test_every_layer_has_its_line_and_the_manual_has_the_same_table():
    assert list(LAYER_LINES) == list(LAYERS)
    assert {s.width for s in LAYER_LINES.values()} <= set(WIDTHS)
    assert {s.number for s in LAYER_LINES.values()} <= set(ELEMENTS)
    found = re.findall(
        r"^\| `([a-z-]+)` \| (.*?) \| (\d\d) [a-z -]+ \| ([\d.]+) \|$",
        DOCS.read_text("utf-8"),
        re.M,
    )
    said = {layer: (about, number, float(width)) for layer, about, number, width in found}
    assert said == {k: (LAYERS[k], s.number, s.width) for k, s in LAYER_LINES.items()}


@pytest.fixture(scope="module")
def papers(worked, tmp_path_factory):
    plan = worked("bracken-bank")
    made = [d for d in documents(plan) if d.place in DRAWN]
    number, folder = numbers(tuple(made)), tmp_path_factory.mktemp("drawn")
    for d in made:
        d.write(plan, folder / d.name, number[d.place])
    assert len(made) == len(DRAWN)
    return [folder / d.name for d in made]


def test_pages_are_drawn_with_widths_of_the_series_alone(papers):
    for path in papers:
        found = np.concatenate([strokes(page) for page in pages(path)])
        assert len(found) > 5, path.name
        off = np.abs(found[:, None] - np.array(WIDTHS)).min(axis=1)
        assert off.max() < 0.006, (path.name, np.unique(found[off > 0.006].round(3)))


def test_pictures_are_lettered_in_heights_of_the_series(worked, monkeypatch, tmp_path):
    from hillwright.sheets import svg as maker

    seen = set()
    one = maker._words
    monkeypatch.setattr(maker, "_words", lambda m, height: seen.add(m.size) or one(m, height))
    plan = worked("bracken-bank")
    for k, paper in enumerate(documents(plan)):
        if paper.name.endswith(".pdf"):
            paper.write(plan, tmp_path / f"{k}.pdf", "")
    capitals = np.array(sorted(seen)) * 0.66
    off = np.abs(capitals[:, None] - np.array(HEIGHTS)).min(axis=1)
    assert off.max() < 0.03, capitals[off > 0.03]


def test_every_layer_of_the_drawing_file_has_its_line_type_and_width(worked, tmp_path):
    plan = worked("bracken-bank")
    (paper,) = (d for d in files(plan) if d.name == "set-out.dxf")
    path = tmp_path / "set-out.dxf"
    paper.write(plan, path, "")
    drawing = ezdxf.readfile(path)
    widths = {round(100 * w) for w in WIDTHS}
    for name, style in LAYER_LINES.items():
        layer = drawing.layers.get(name.upper())
        assert layer.dxf.lineweight == round(100 * style.width)
        assert layer.dxf.linetype == style.name
        if style.number != "01":
            kind = drawing.linetypes.get(style.name)
            assert kind.dxf.description.startswith(f"ISO 128 type {style.number}, ")
    drawn = drawing.modelspace().query("LWPOLYLINE POLYLINE CIRCLE HATCH")
    own = {e.dxf.lineweight for e in drawn if e.dxf.hasattr("lineweight")} - {-1}
    assert own <= widths
    contours = drawing.modelspace().query('LWPOLYLINE[layer=="CONTOURS"]')
    assert {e.dxf.get("linetype", "BYLAYER") for e in contours} == {"BYLAYER", "Continuous"}
    assert not drawing.audit().errors
