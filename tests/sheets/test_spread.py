"""What is measured here for the typesetter is what it would find itself."""

import json
import string
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from hillwright.sheets import fonts
from hillwright.sheets.fonts import FOLDER, cap_height, set_width
from hillwright.sheets.spread import ACROSS, BESIDE, DOWN, spread

FONTS = typst.Fonts(
    include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(FOLDER)]
)
PAPER = {"width": 215.9, "margin": 14.0, "text": 9.0, "small": 7.5, "table": 8.0}
ROOM = 215.9 - 2 * 14.0
POINT = 25.4 / 72


def measured(texts, bold=False):
    """Have the typesetter measure lines of text: widths and heights in their size."""
    source = f"""
    #set text(font: "Source Sans 3", size: 100pt, weight: {600 if bold else 400}, lang: "en")
    #context [#metadata(json("texts.json").map(t => {{
      let size = measure([#t])
      (size.width.pt(), size.height.pt())
    }}))<found>]"""
    files = {"main": source.encode(), "texts.json": json.dumps(texts).encode()}
    said = typst.query(files, "<found>", font_paths=FONTS, ignore_system_fonts=True)
    return [(w / 100, h / 100) for w, h in json.loads(said)[0]["value"]]


LINES = (
    "8.08", "R01-14", "compensating 1.00 gal/h", "every day, 10 min", "dry mix, planting mix",
    "AV To Wa. (17 %)", "Row 1: 0.09 yd³", "pull tests: bar, load", "ΔH ≥ 3 m²",
)  # fmt: skip


@pytest.mark.parametrize("bold", [False, True])
def test_a_line_is_as_wide_as_the_typesetter_sets_it(bold):
    ours = [set_width(line, bold) for line in LINES]
    assert ours == pytest.approx([w for w, _ in measured(LINES, bold)], abs=1e-9)


@given(st.lists(st.text("abfijrtyAVTW 019.,:()-/", min_size=1, max_size=12), min_size=1))
def test_no_line_is_set_wider_than_it_was_measured(texts):
    texts = [t.strip() or "x" for t in texts]
    for text, (wide, _) in zip(texts, measured(texts), strict=True):
        assert wide <= set_width(text) + 1e-9


def test_lines_are_measured_alike_by_many_threads_that_begin_together():
    switched = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    pairs = [a + b for a in string.ascii_letters for b in string.ascii_letters + ",."]
    try:
        fonts._kerning.cache_clear()
        set_width.cache_clear()
        with ThreadPoolExecutor(8) as hands:
            found = list(hands.map(lambda _: [set_width(p) for p in pairs], range(8)))
    finally:
        sys.setswitchinterval(switched)
    assert all(widths == found[0] for widths in found)


def test_a_line_is_as_high_as_the_typesetter_sets_it():
    assert {round(h, 9) for _, h in measured(["Row 1", "p, q", "0.51"])} == {cap_height()}


def table(head, rows, widths=(), **more):
    return {
        "kind": "table",
        "heading": "",
        "head": list(head),
        "rows": [list(r) for r in rows],
        "widths": list(widths) or [0.0] * len(head),
        **more,
    }


def picture(wide):
    return {"kind": "picture", "heading": "", "width": wide, "height": 40.0}


def test_narrow_blocks_stand_side_by_side_while_there_is_room():
    lines = spread([picture(80.0), picture(90.0), picture(20.0), picture(150.0)], PAPER)
    assert [[b["width"] for b in line] for line in lines] == [[80.0, 90.0], [20.0], [150.0]]
    assert 80.0 + BESIDE + 90.0 <= ROOM < 80.0 + 90.0 + 20.0 + 2 * BESIDE


def test_a_long_narrow_table_goes_down_in_parts_that_hold_every_row_once():
    (((found,),)) = spread([table(["row", "cells"], [(str(k), "12") for k in range(43)])], PAPER)
    parts = found["parts"]
    assert len(parts) > 1
    assert [k for p in parts for k in range(p["first"], p["last"])] == list(range(43))


def test_columns_that_stretch_share_what_the_others_leave():
    (((found,),)) = spread([table(["a", "b", "c"], [("x", "y", "z")] * 3, (0, 1, 3))], PAPER)
    (part,) = found["parts"]
    first, second, third = part["widths"]
    assert first == pytest.approx(set_width("a", True) * 0.92 * 8 * POINT + 2 * ACROSS, abs=0.002)
    assert third == pytest.approx(3 * second)
    assert first + second + third == pytest.approx(ROOM)


def test_a_row_whose_text_is_broken_finds_its_own_height():
    rows = [("short",), ("long " * 60,), ("of two\nlines",), ("",)]
    (((found,),)) = spread([table(["what"], rows, (1,))], PAPER)
    line = cap_height() * 8 * POINT + 2 * DOWN
    assert found["parts"][0]["heights"] == [pytest.approx(line), None, None, 2 * DOWN]


def test_a_table_wider_than_the_page_is_left_to_the_typesetter():
    (((found,),)) = spread([table(["a", "b"], [("wide " * 30, "wide " * 30)])], PAPER)
    assert found["parts"] == [{"first": 0, "last": 1, "widths": None, "heights": None}]
