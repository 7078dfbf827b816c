"""Printed pages, read back: true to scale, no text over another, none off the paper."""

import json
from dataclasses import replace

import numpy as np
import pytest
from pdfread import MM, letters, outside, overlaps, pages, paths, ruled_through

from hillwright.sheets import documents as documents_made
from hillwright.sheets.blocks import RoomSheet, Text
from hillwright.sheets.pdf import NEARLY_EMPTY, document, print_document, print_pages
from hillwright.sheets.plan_sheet import plan_sheet
from hillwright.sheets.scale import FOOT, MARGIN
from hillwright.sheets.setout import plan_page
from hillwright.sheets.spread import spread
from hillwright.sheets.write import documents, numbers


@pytest.mark.parametrize(("units", "paper"), [("us", "tabloid"), ("metric", "a3")])
def test_a_line_of_ten_prints_at_its_scaled_length_within_a_fifth_of_a_millimetre(
    make, units, paper
):
    plan = make(units=units, paper=paper)
    unit = 0.3048 if units == "us" else 1.0
    base = np.array([[0.3, -1.0, 99.0], [0.3 + 10 * unit, -1.0, 99.0]])
    plan = replace(plan, setout=replace(plan.setout, base_line=base))
    drawn = plan_sheet(plan)
    (page, *_) = pages(print_document(plan, "Plan", (plan_page(plan, drawn),)))
    # where its ends must be on the paper, from its lower left
    height = page.get_size()[1] * MM
    corner = np.array([MARGIN, height - MARGIN - drawn.paper.drawing[1]])
    expected = drawn.drawing.view.place(base) + corner
    lines = [p for p in paths(page) if len(p) == 2]
    near = min(lines, key=lambda p: np.abs(p - expected).max())
    assert np.abs(near - expected).max() < 0.2
    printed = float(np.hypot(*(near[1] - near[0])))
    assert printed == pytest.approx(10 * unit * 1000 / drawn.scale, abs=0.2)


def test_the_scale_bar_is_as_long_as_it_says(make):
    plan = make()
    drawn = plan_sheet(plan)
    (page, *_) = pages(print_document(plan, "Plan", (plan_page(plan, drawn),)))
    signs, inks, _ = letters(page)
    right = MARGIN + drawn.paper.drawing[0]
    # the last number of the bar carries the unit
    at = next(
        k
        for k in range(1, len(signs))
        if "".join(signs[k : k + 2]) == "ft" and inks[k, 0] > right and signs[k - 1].isdigit()
    )
    number, end = float(signs[at - 1]), inks[at - 1]
    boxes = [p for p in paths(page) if p[:, 0].min() > right and np.ptp(p[:, 1]) < 4]
    bar = [p for p in boxes if -1 < p[:, 1].min() - end[3] < 6 and np.ptp(p[:, 0]) > 2]
    ends = np.concatenate(bar)[:, 0]
    assert np.ptp(ends) == pytest.approx(number * 304.8 / drawn.scale, abs=0.2)


def headed(data):
    """Give what heads a sheet, a part or a table, wherever it stands in the data of a paper."""
    if isinstance(data, list):
        return {h for each in data for h in headed(each)}
    if not isinstance(data, dict):
        return set()
    found = {h for each in data.values() for h in headed(each)}
    own = [data.get("heading"), data.get("title")]
    own.append(data.get("text") if data.get("kind") == "title" else None)
    return found | {"".join(h.split()) for h in own if isinstance(h, str) and h}


@pytest.fixture(scope="module")
def heads():
    """What heads anything on the papers that were printed so far."""
    return set()


@pytest.fixture(scope="module")
def set_of(worked, tmp_path_factory, heads):
    made = {}
    plain = documents_made.print_document

    def noted(plan, title, sheets, number=""):
        heads.update(headed(document(plan, title, sheets, number)[1]))
        return plain(plan, title, sheets, number)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(documents_made, "print_document", noted)
        yield from _set_of(worked, tmp_path_factory, made)


def _set_of(worked, tmp_path_factory, made):

    def printed(name):
        if name not in made:
            plan = worked(name)
            papers = [d for d in documents(plan) if d.name.endswith(".pdf")]
            number = numbers(tuple(papers))
            folder = tmp_path_factory.mktemp(name)
            made[name] = {}
            for paper in papers:
                path = folder / f"{paper.reader}-{paper.name}"
                paper.write(plan, path, number[paper.place])
                made[name][paper.place] = pages(path)
        return made[name]

    yield printed


@pytest.mark.parametrize("name", ["bracken-bank", "long-meadow", "quarry-garden"])
def test_no_text_lies_over_another_or_off_the_paper_on_any_page(set_of, name):
    found = [
        (place, k, what)
        for place, printed in set_of(name).items()
        for k, page in enumerate(printed, 1)
        for what in (*overlaps(page), *outside(page))
    ]
    assert found == []


@pytest.mark.parametrize("share", [1.0, 0.78])
def test_the_rule_under_a_title_goes_through_no_letter_however_small_it_is_set(make, share):
    titled = RoomSheet("Planting gypsum, quickly", (Text("", ("Some words.",)),))
    files, data = document(make(), "Paper", (titled,), "")
    for key in ("text", "small", "table"):
        data["sheets"][0]["paper"][key] *= share
    data["sheets"] = [
        {**sheet, "blocks": spread(sheet["blocks"], sheet["paper"])} for sheet in data["sheets"]
    ]
    printed = print_pages({**files, "data.json": json.dumps(data).encode()}, "pdf")[0]
    assert ruled_through(pages(printed)[0]) == []


@pytest.mark.parametrize("name", ["bracken-bank", "long-meadow", "quarry-garden"])
def test_no_page_is_printed_nearly_empty(set_of, name):
    """A paper may end where it ends; no page before its last is left white."""
    found = []
    for place, printed in set_of(name).items():
        if place == "crew/row-cards.pdf":  # one card a row, be it of one cell
            continue
        for k, page in enumerate(printed[:-1], 1):
            _, boxes, _ = letters(page)
            height = page.get_size()[1] * MM
            body = boxes[boxes[:, 1] > MARGIN + FOOT + 14]
            lowest = body[:, 1].min() if len(body) else height
            reached = [p[:, 1].min() for p in paths(page) if p[:, 1].min() > MARGIN + FOOT + 14]
            lowest = min([lowest, *reached])
            if (height - lowest) / height < NEARLY_EMPTY:
                found.append((place, k))
    assert found == []


@pytest.mark.parametrize("name", ["bracken-bank", "long-meadow", "quarry-garden"])
def test_no_heading_stands_alone_at_the_foot_of_a_page(set_of, heads, name):
    found = []
    for place, printed in set_of(name).items():
        for k, page in enumerate(printed, 1):
            signs, boxes, _ = letters(page)
            body = boxes[:, 1] > MARGIN + FOOT + 10
            if not body.any():
                continue
            lowest = boxes[body, 1].min()
            line = body & (boxes[:, 1] < lowest + 1.6)
            said = "".join(signs[i] for i in np.flatnonzero(line))
            if said in heads and len(printed) > k:
                found.append((place, k, said))
    assert heads
    assert found == []


def test_a_low_table_is_not_torn_and_a_high_one_may_be():
    paper = {"width": 210.0, "margin": 14.0, "text": 9.0, "table": 8.0}
    row = ["word"] * 3
    low, high = (
        {"kind": "table", "heading": "", "head": row, "rows": [row] * n, "widths": [0.0, 0.0, 1.0]}
        for n in (6, 40)
    )
    long = {**low, "rows": [[*row[:2], "many words " * 200]] * 3}
    whole = [spread([b], paper)[0][0]["whole"] for b in (low, high, long)]
    assert whole == [True, False, False]
