"""The cells on the plan: every one a true quadrilateral, numbered, its row named at the left."""

from __future__ import annotations

import math

import numpy as np
import shapely

from hillwright.arrays import Array, Index
from hillwright.layout.model import Layout, SetOut
from hillwright.sheets import tables
from hillwright.sheets.drawing import FINE, HEAVY, THIN, Drawing, direction
from hillwright.sheets.fonts import text_width
from hillwright.sheets.furniture import cross
from hillwright.sheets.marks import LEAST_TEXT, Anchor
from hillwright.sheets.place import Candidate
from hillwright.stability.model import Anchoring
from hillwright.wording import in_units


def draw_cells(d: Drawing, layout: Layout) -> None:
    """Draw whole, trimmed and left-out cells."""
    # thinner walls where cells are small on the paper, so that numbers stand out
    wall = THIN if 1000 * layout.cell.run / d.scale > 7 else FINE
    for corners in layout.corners[~layout.trimmed]:
        d.line("cells", corners, d.pen(wall), closed=True)
    if layout.count:
        d.notes["cells"] = "Planting cell, lying on the ground, with its number in the row"
    for corners in layout.corners[layout.trimmed]:
        d.line("trimmed", corners, d.pen(FINE), closed=True)
        d.line("trimmed", corners[[0, 2]], d.pen(FINE))
        d.notes["trimmed"] = "Cell to be cut to fit; not counted"
    for left in layout.left_out:
        d.line("left-out", left.corners, d.of("left-out"), closed=True)
        d.notes["left-out"] = "Fits the strings but is left out"


def draw_bars(d: Drawing, layout: Layout, bars: Anchoring) -> None:
    """Draw the edges that hang from bars of their own, and a cross for each bar."""
    for corners in layout.corners[bars.hangs]:
        d.line("anchored", corners[:2], d.pen(HEAVY))
        d.notes["anchored"] = "Upper edge that hangs from bars of its own"
    if not len(bars.place):
        return
    deep = in_units(f"{bars.length:.4f} m", d.system)
    tell = f"Anchor (row 1) or stake: No. {bars.bar} bar, {deep} deep"
    if bars.test_load:
        tell += ", after the pull test"
    d.notes["bars"] = tell
    gap = 1000 * bars.spacing / d.scale
    arm = d.mm(min(0.55, 0.3 * gap))
    for x, y in d.view.place(bars.place).reshape(-1, 2).tolist():
        for stroke in cross(x, y, arm):
            d.line_placed("bars", stroke, d.pen(THIN))


def number_cells(d: Drawing, layout: Layout) -> None:
    """Letter the number of every cell, or of every fifth where that could not be read."""
    if not len(layout.row):
        return
    placed = d.view.place(layout.corners)
    across = np.hypot(*(placed[:, 1] - placed[:, 0]).T)
    down = np.hypot(*((placed[:, 2] + placed[:, 3] - placed[:, 0] - placed[:, 1]) / 2).T)
    digits = text_width("0" * len(str(int(layout.number.max()))), 1.0)
    room = float(min(np.median(across) * 0.8 / digits, np.median(down) * 0.75))
    every = 1
    if room < d.mm(LEAST_TEXT):
        every = 5
        d.notes["cell-numbers"] = "Cells are numbered at every fifth"
        if float(np.median(down)) < d.mm(LEAST_TEXT) * 0.75:
            d.notes["cell-numbers"] = "Cell numbers are too small to print at this scale"
            return
    last = np.append(layout.row[1:] != layout.row[:-1], True)
    chosen = np.flatnonzero((layout.number % every == 0) | (layout.number == 1) | last)
    for i in chosen:
        angle = direction(placed[i, 0], placed[i, 1])
        text = str(int(layout.number[i]))
        aside = (placed[i, 1] - placed[i, 0]) * 0.26
        # a number gives way to the number of a spot; its neighbours tell it then
        places = [Candidate.on(placed[i].mean(axis=0) + k * aside, angle) for k in (0, -1, 1)]
        d.words("cell-numbers", text, LEAST_TEXT, places, worth=1.5)


def name_rows(d: Drawing, layout: Layout, setout: SetOut) -> None:
    """Name every line of the schedule at its left end, looking uphill; if too narrow, some."""
    if not len(setout.row):
        return
    placed = d.view.place(layout.corners)
    pitch = float(np.median(np.hypot(*(placed[:, 3] - placed[:, 0]).T)))
    every = next(n for n in (1, 2, 5, 10, 20, 50, 100, 1000) if n * pitch >= d.mm(3.6))
    names = tables.line_names(setout)
    seen: set[int] = set()
    for i in range(len(setout.row)):
        row, begins = int(setout.row[i]), int(setout.row[i]) not in seen
        seen.add(row)
        if row != 1 and row % every and row != layout.rows:
            continue
        k = np.flatnonzero((layout.row == row) & (layout.number == setout.first[i]))[0]
        edge = (placed[k, 0] + placed[k, 3]) / 2
        outward = placed[k, 0] - placed[k, 1]
        outward = outward / np.hypot(*outward)
        angle = direction(placed[k, 0], placed[k, 1])
        side: Anchor = (
            "left" if math.cos(angle) * outward[0] + math.sin(angle) * outward[1] > 0 else "right"
        )
        # the rest of a row that is cut may find no room beside its tree; its numbers tell it
        gaps = (1.5, 2.6, 3.8, 5, 7, 9, 12, 16, 21, 27, 34, 42) if begins else (1.0, 1.8, 3.0)
        places = [Candidate.on(edge + outward * d.mm(gap), angle, side) for gap in gaps]
        if begins:  # a row that begins beside another's cells is named beside its line
            down = np.array([-outward[1], outward[0]])
            places += [
                Candidate.on(edge + outward * d.mm(gap) + down * d.mm(aside), angle, side)
                for gap in (2, 6, 12, 20, 30)
                for aside in (4.5, -4.5, 8, -8, 12, -12, 17, -17)
            ]
        at = shapely.Point(edge)
        d.words(
            "row-labels",
            names[i],
            LEAST_TEXT,
            places,
            bold=True,
            needed=begins,
            thing=at,
            lead=6.0,
        )
    step = "" if every == 1 else f" (every {every})"
    d.notes["row-labels"] = f"Row{step}, named at its left end looking uphill"


def draw_seams(d: Drawing, layout: Layout) -> None:
    """Draw where the net is cut."""
    for seam in layout.seams:
        ends = np.array(seam.at, dtype=float).reshape(2, 2)
        d.line("seams", ends, d.of("seams"))
        d.notes["seams"] = "Seam between panels"


def name_panels(d: Drawing, layout: Layout) -> None:
    """Name the panels below their last rows, where there is more than one."""
    if int(layout.panel.max(initial=1)) < 2:
        return
    for panel in np.unique(layout.panel):
        inside = layout.panel == panel
        last = np.flatnonzero(inside & (layout.row == layout.row[inside].max()))
        foot = d.view.place(layout.corners[last][:, 2:]).reshape(-1, 2).mean(axis=0)
        head = d.view.place(layout.corners[last][:, :2]).reshape(-1, 2).mean(axis=0)
        away = (foot - head) / np.hypot(*(foot - head))
        angle = direction(*_row_line(d, layout, last))
        places = [Candidate.on(foot + away * d.mm(gap), angle) for gap in (3.5, 5.5, 8, 11, 15)]
        d.words("seams", f"Panel {panel}", LEAST_TEXT, places, bold=True)


def _row_line(d: Drawing, layout: Layout, cells: Index) -> tuple[Array, Array]:
    placed = d.view.place(layout.corners[cells])
    return placed[0, 0], placed[-1, 1]
