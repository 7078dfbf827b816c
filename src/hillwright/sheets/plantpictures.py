"""The planting in pictures: what grows in which cell, where thirst is one, and the sun."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.planting.model import OPEN, WALKING
from hillwright.planting.palette import HOUR
from hillwright.sheets.blocks import Picture
from hillwright.sheets.driplegend import shifted
from hillwright.sheets.furniture import compass_marks, scale_bar
from hillwright.sheets.linetypes import CROWN
from hillwright.sheets.marks import LEAST_TEXT, Circle, Fill, Hatch, Line, Mark, Pen, Words
from hillwright.sheets.plantsigns import legend, sign
from hillwright.sheets.plantview import View, letter
from hillwright.sheets.scale import scale_text
from hillwright.sheets.svg import svg
from hillwright.sheets.thirst import said_by_line, thirst_marks

if TYPE_CHECKING:
    from hillwright.plan import Plan

_FINE, _BLOCK = Pen(0.13), Pen(0.5)
_CROWN = CROWN.pen()
_STRIP = 24.0  # over the cells, for signs, scale bar and north [mm]
_BAR, _COMPASS, _LEAST = 74.0, 60.0, 200.0  # widths of scale bar, of north, and of all [mm]
_BAND = 2.0  # hours of sun between two tones


def plan_picture(plan: Plan, codes: tuple[str, ...]) -> Picture:
    """Draw what grows in which cell, crowns grown up, and the hydrozones."""
    view, planting = View(plan), plan.planting
    marks: list[Mark] = []
    size = letter(view)
    for i, quad in enumerate(view.corners):
        if planting.use[i] == WALKING:
            marks.append(Hatch("cells", quad, 1.1, math.pi / 4, _FINE))
        elif planting.use[i] == OPEN:
            marks.append(Line("cells", quad[[0, 2]], _FINE))
            marks.append(Line("cells", quad[[1, 3]], _FINE))
        marks.append(Line("cells", quad, _FINE, closed=True))
        if planting.plant[i] >= 0:
            p = planting.plant[i]
            marks += _plant(quad, planting.plants[p].kind, codes[p], size)
    for group in planting.groups:
        if len(group.cells) > 1:
            marks += [Line("cells", edge, _BLOCK) for edge in _border(view, group.cells)]
        plant = planting.plants[group.plant]
        if plant.canopy:
            x, y = view.place(group.centre[:2])
            radius = plant.width / 2 * view.factor
            marks.append(Circle("spots", (float(x), float(y)), radius, _CROWN))
    marks += thirst_marks(plan, view)
    marks += _row_names(plan, view)
    used = [planting.plants[p].kind for p in np.unique(planting.plant[planting.plant >= 0])]
    top, right = view.height + _STRIP, max(view.width, _LEAST)
    marks += legend(used, (1.0, top, right - _COMPASS - _BAR), 1.5, LEAST_TEXT)
    marks += _north(plan, view, right)
    notes = (
        "Signs and letters: kind and name of the plant (see the list). Hatched: walking cells. "
        "Crossed: open cells. Heavy frames: one plant over several cells. Dashed rings: crowns "
        f"grown up. Uphill is at the top of the paper; {_scaled(plan, view)}.",
        f"Lines within the cells hold those of one thirst together: {said_by_line(planting)}.",
    )
    return Picture(
        "What grows in which cell",
        svg(marks, right, top).encode(),
        right,
        top,
        "Cells with the signs and letters of their plants, walking cells hatched, crowns as "
        "dashed rings, hydrozones edged",
        notes,
    )


def _scaled(plan: Plan, view: View) -> str:
    if view.scale is None:
        return "not to a scale"
    return f"true to scale, {scale_text(view.scale, plan.opened.job.units)}, printed at 100 %"


def _north(plan: Plan, view: View, right: float) -> list[Mark]:
    """Draw the scale bar, and where north and downhill are, at the right over the cells."""
    north = math.pi / 2 + plan.site.frame.north + view.turn
    down = math.pi / 2 - plan.surface.aspect + view.turn
    marks = compass_marks(north, down, plan.opened.job.north_known, _COMPASS, _STRIP - 2)
    found = [shifted(m, right - _COMPASS, view.height) for m in marks]
    if view.scale is not None:
        bar = scale_bar(view.scale, plan.opened.job.units, _BAR, 9.0)
        found += [shifted(m, right - _COMPASS - _BAR, view.height + 10.0) for m in bar]
    return found


def _plant(quad: Array, kind: str, code: str, size: float) -> list[Mark]:
    """Draw the sign of a plant at the left of its cell, and its letters beside it."""
    right, up = quad[1] - quad[0], quad[0] - quad[3]
    wide, tall = float(np.hypot(*right)), float(np.hypot(*up))
    radius = min(0.11 * wide, 0.2 * tall, 1.8)
    at, beside = quad.mean(axis=0) - 0.24 * right - 0.1 * up, quad.mean(axis=0) + 0.12 * right
    letters = Words("cell-numbers", (float(beside[0]), float(beside[1])), code, size, bold=True)
    return [*sign(kind, (float(at[0]), float(at[1])), radius), letters]


def _border(view: View, cells: Index) -> list[Array]:
    """Give the edges of a block of cells that no two of them share."""
    edges: dict[tuple[int, int], list[Array]] = {}
    for i in cells:
        quad = view.corners[i]
        for k in range(4):
            a, b = quad[k], quad[(k + 1) % 4]
            middle = (a + b) / 2
            edges.setdefault((round(middle[0] * 2), round(middle[1] * 2)), []).append(
                np.array([a, b])
            )
    return [e[0] for e in edges.values() if len(e) == 1]


def _row_names(plan: Plan, view: View) -> list[Mark]:
    layout, found = plan.layout, []
    for row in np.unique(layout.row):
        first = np.flatnonzero(layout.row == row)[0]
        at = view.corners[first, [0, 3]].mean(axis=0)
        name = Words("row-labels", (float(at[0]) - 0.8, float(at[1])), f"R{row}", 2.5, 0.0, "right")
        found.append(name)
    return list(found)


def sun_picture(plan: Plan) -> Picture:
    """Draw the hours of direct sun on each cell, planned trees grown up."""
    view, planting = View(plan, crowns=False), plan.planting
    hours = planting.season / HOUR
    marks: list[Mark] = []
    size = 0.9 * letter(view)
    for i, quad in enumerate(view.corners):
        tone = min(1.0, 0.35 + 0.65 * math.floor(hours[i] / _BAND) * _BAND / 12.0)
        marks.append(Fill("cells", quad, tone))
        marks.append(Line("cells", quad, _FINE, closed=True))
        at = quad.mean(axis=0)
        marks.append(Words("cell-numbers", (float(at[0]), float(at[1])), f"{hours[i]:.0f}", size))
    marks += _row_names(plan, view)
    return Picture(
        "Hours of direct sun in a mean clear day of the growing season",
        svg(marks, view.width, view.height).encode(),
        view.width,
        view.height,
        "Cells in tones of grey with their hours of sun",
        ("Lighter is sunnier. Planned trees are grown up.",),
    )
