"""Which sheet goes on which page: drawings on the job's paper, the rest on office pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from hillwright.sheets.blocks import Block, Picture, RoomSheet, Table
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import LEAST_TEXT
from hillwright.sheets.scale import FOOT, GAP, MARGIN, STRIP, Paper, office_paper, paper_of
from hillwright.units import System

if TYPE_CHECKING:
    from hillwright.plan import Plan

On = Literal["drawing", "office", "wide"]
POINT = 25.4 / 72  # [mm]
TABLE = 8.0  # lettering of tables on office pages [pt]
OFFICE_MARGIN = 14.0  # [mm]
BAR = 9.5  # height of the scale bar [mm]


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """A sheet with a form of its own in the template.

    Attributes
    ----------
    kind : str
        The form, as the template calls it.
    title, scale : str
        What the title block says; an empty scale stands for none.
    data : dict
        What the form is filled from.
    files : dict
        Its pictures, by the names that ``data`` uses.
    paper : On
        The job's paper, or an office page, upright or wide.
    """

    kind: str
    title: str
    scale: str
    data: dict[str, Any]
    files: dict[str, bytes] = field(default_factory=dict)
    paper: On = "drawing"


Sheet = Page | RoomSheet


def laid_out(sheets: tuple[Sheet, ...], system: System) -> Iterator[Page]:
    """Give the pages of a paper: what flows together is put together."""
    width = office_paper(system)[0] - 2 * OFFICE_MARGIN
    room = [s for s in sheets if isinstance(s, RoomSheet)]
    tables = [b for s in room for b in s.blocks if isinstance(b, Table)]
    on: On = "wide" if any(natural_width(t) > 1.25 * width for t in tables) else "office"
    width = office_paper(system, on == "wide")[0] - 2 * OFFICE_MARGIN
    flowing: list[RoomSheet] = []
    for sheet in sheets:
        if isinstance(sheet, Page):
            yield from _flow(flowing, on)
            yield sheet
            continue
        drawn, rest = ([sheet.blocks], ()) if sheet.whole else _drawn(sheet, width)
        if drawn or sheet.alone:
            yield from _flow(flowing, on)
        for blocks in drawn:
            yield Page("blocks", sheet.title, sheet.scale, {"sheets": [RoomSheet("", blocks)]})
        if rest:
            flowing.append(RoomSheet(sheet.title, rest))
        if sheet.alone:
            yield from _flow(flowing, on)
    yield from _flow(flowing, on)


def _flow(sheets: list[RoomSheet], on: On) -> Iterator[Page]:
    if sheets:
        title = sheets[0].title if len(sheets) == 1 else ""
        yield Page("blocks", title, "", {"sheets": list(sheets)}, {}, on)
        sheets.clear()


def _drawn(sheet: RoomSheet, width: float) -> tuple[list[tuple[Block, ...]], tuple[Block, ...]]:
    """Part what needs a drawing sheet, each picture with the table behind it, from the rest."""
    drawn: list[tuple[Block, ...]] = []
    rest: list[Block] = []
    blocks = list(sheet.blocks)
    while blocks:
        block = blocks.pop(0)
        if not (isinstance(block, Picture) and block.width > width):
            rest.append(block)
        elif blocks and isinstance(blocks[0], Table) and not any(blocks[0].widths):
            drawn.append((block, blocks.pop(0)))
        else:
            drawn.append((block,))
    return drawn, tuple(rest)


def natural_width(table: Table) -> float:
    """Estimate how wide a table is when no cell is wrapped [mm]."""
    size = TABLE * POINT
    rows = [tuple(table.head), *table.rows]
    each = [
        max(
            min(text_width(str(row[k]), size), 60.0 if table.widths[k : k + 1] > (0.0,) else 400.0)
            for row in rows
        )
        for k in range(len(table.head))
    ]
    return sum(each) + 2.2 * len(each)


def page_of(plan: Plan, on: On) -> dict[str, Any]:
    """Give the measures of a page to the template [mm], lettering [pt]."""
    job = plan.opened.job
    paper = paper_of(job)
    if on != "drawing":
        width, height = office_paper(job.units, on == "wide")
        return {
            "drawing": False,
            "width": width,
            "height": height,
            "margin": OFFICE_MARGIN,
            "strip": FOOT,
            "gap": GAP,
            "text": 9.0,
            "small": 7.5,
            "table": TABLE,
            "across": int((width - 2 * OFFICE_MARGIN) // 20),
        }
    width, height = paper.drawing
    least = LEAST_TEXT / POINT
    return {
        "drawing": True,
        "width": paper.width,
        "height": paper.height,
        "margin": MARGIN,
        "strip": STRIP,
        "gap": GAP,
        "column": paper.column,
        "draw_width": width,
        "draw_height": height,
        "compass": compass_height(paper),
        "bar": BAR,
        "text": least,
        "small": least,
        "table": least,
    }


def compass_height(paper: Paper) -> float:
    """Give the height of the north and downhill arrows: less on a small paper [mm]."""
    return 22.0 if paper.width < 300 else 30.0
