"""The planting in pictures: what grows in which cell, where thirst is one, and the sun."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.planting.model import OPEN, WALKING
from hillwright.planting.palette import HOUR
from hillwright.sheets.blocks import Picture
from hillwright.sheets.linetypes import CROWN
from hillwright.sheets.marks import Circle, Fill, Hatch, Line, Mark, Pen, Words
from hillwright.sheets.plantview import View, letter
from hillwright.sheets.svg import svg
from hillwright.sheets.thirst import said_by_line, thirst_marks

if TYPE_CHECKING:
    from hillwright.plan import Plan

_FINE, _BLOCK = Pen(0.13), Pen(0.5)
_CROWN = CROWN.pen()
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
            at = quad.mean(axis=0)
            marks.append(
                Words("cell-numbers", (float(at[0]), float(at[1])), codes[planting.plant[i]], size)
            )
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
    notes = (
        "Letters: plants (see the list). Hatched: walking cells. Crossed: open cells. Heavy "
        "frames: one plant over several cells. Dashed rings: crowns grown up. Uphill is at the "
        "top of the paper; not to a scale.",
        f"Lines within the cells hold those of one thirst together: {said_by_line(planting)}.",
    )
    return Picture(
        "What grows in which cell",
        svg(marks, view.width, view.height).encode(),
        view.width,
        view.height,
        "Cells with the letters of their plants, walking cells hatched, crowns as dashed rings, "
        "hydrozones edged",
        notes,
    )


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
