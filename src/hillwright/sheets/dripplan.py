"""The irrigation plan: one drawing that a crew builds from and an inspector checks."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.model import Irrigation, Valve
from hillwright.sheets import ground
from hillwright.sheets.blocks import Picture
from hillwright.sheets.drawing import FINE, MEDIUM, THIN, Drawing
from hillwright.sheets.driplegend import COLUMN, legend
from hillwright.sheets.driplines import LETTER, along, draw_lines, shift_of, strands, valve_sign
from hillwright.sheets.marks import Anchor, Circle, Pen
from hillwright.sheets.place import Candidate
from hillwright.sheets.scale import largest_scale, paper_of, scale_text
from hillwright.sheets.svg import svg
from hillwright.sheets.view import View
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

RIM = 11.0  # kept free around the drawing for labels [mm]
HEAD = 9.0  # of the page for its heading [mm]
_STEP = 5.0  # from valve to valve beside the tap [mm]
_NUMBERED = 13.0  # width of a cell from which its number is written in it [mm]


def plan_scale(plan: Plan) -> tuple[int, bool]:
    """Give the scale of the irrigation plan, and whether its legend stands below or beside it."""
    paper = paper_of(plan.opened.job)
    low, high = _turned(plan)[1:]
    size = (float(high[0] - low[0]), float(high[1] - low[1]))
    width, height = paper.inner_width, paper.inner_height - HEAD
    more = 2 * max(_STEP * len(plan.irrigation.valves) - 6.0, 0.0)  # for the valves' signs
    beside, below = (
        largest_scale(size, room, plan.opened.job.units, RIM) or 500
        for room in ((width - COLUMN, height - more), (width, height - _below(plan) - more))
    )
    return (below, True) if below < beside else (beside, False)


def scale_said(plan: Plan) -> str:
    """Say the scale as the title block has it."""
    job = plan.opened.job
    return f"{scale_text(plan_scale(plan)[0], job.units)} on {paper_of(job).shown}"


def _below(plan: Plan) -> float:
    """Give the height of a legend that stands below the drawing [mm]."""
    columns = int(paper_of(plan.opened.job).inner_width // COLUMN)
    lines = 36 + 2 * len(plan.irrigation.valves)
    return 5.0 * (lines / columns + 3)


def drip_picture(plan: Plan) -> Picture:
    """Draw the network over the cells, with its legend beside it."""
    job, drip = plan.opened.job, plan.irrigation
    paper, (scale, below) = paper_of(job), plan_scale(plan)
    turn, low, high = _turned(plan)
    width, height = paper.inner_width, paper.inner_height - HEAD
    middle = (low + high) / 2 * 1000 / scale
    foot, side = (_below(plan), width) if below else (0.0, width - COLUMN)
    shift = (side / 2 - float(middle[0]), (height + foot) / 2 - float(middle[1]))
    view = View.paper(scale, turn, (0.0, 0.0), shift, plan.site.frame)
    bounds = (0.0, foot, side, height)
    d = Drawing(view, plan.site.frame, job.units, scale, bounds)
    _hill(d, plan)
    draw_network(d, drip, cell_width(plan, d))
    _letters(d, plan)
    d.settle()
    box = (0.0, 0.0, width, foot - 2.0) if below else (side + 4.0, 0.0, width, height)
    d.marks += legend(plan, d, turn, box)
    return Picture(
        "Irrigation plan: rows level, uphill up",
        svg(d.in_order(), width, height).encode(),
        width,
        height,
        "Plan of the drip network over the cells: tap, valves, header, laterals, small tubing and "
        "stakes, each valve in its own line and sign",
    )


def cell_width(plan: Plan, d: Drawing) -> float:
    """Give the width of a cell in the view's units."""
    return plan.layout.cell.width * d.view.factor


def draw_network(d: Drawing, drip: Irrigation, wide: float, together: bool = False) -> None:
    """Draw all valves; lines that lie in one place side by side, or ``together`` as they lie.

    ``wide`` is the width of a cell in the view's units.
    """
    x, y = (float(v) for v in d.view.place(drip.tap[:2]))
    for valve in drip.valves:
        aside = np.zeros(2) if together else shift_of(valve, len(drip.valves), d.mm(1))
        draw_lines(d, valve, aside, wide)
    last = valve_place(d, drip.valves[-1], drip)
    d.line_placed("valves", np.array([[x, y], last]), d.pen(THIN))
    d.marks.append(Circle("header", (x, y), d.mm(1.6), Pen(MEDIUM), 1.0))
    for valve in drip.valves:
        d.marks += valve_sign(valve_place(d, valve, drip), d.mm(1))


def valve_place(d: Drawing, valve: Valve, drip: Irrigation) -> Array:
    """Give where a valve's sign stands: one after the other beside the tap, off the field."""
    field = np.concatenate([v.at[:, :2] for v in drip.valves])
    placed, tap = d.view.place(field)[:, 1], d.view.place(drip.tap[:2])
    off = -1.0 if tap[1] <= (placed.min() + placed.max()) / 2 else 1.0
    return np.add(tap, (0.0, off * d.mm(_STEP * valve.number)))


def _turned(plan: Plan) -> tuple[float, Array, Array]:
    """Give the turn that lays rows level and uphill up, and the corners of all so turned [m]."""
    layout, drip = plan.layout, plan.irrigation
    across = Rows.of_layout(layout).along
    turn = -math.atan2(across[1], across[0])
    parts = [layout.corners.reshape(-1, 3)[:, :2], drip.tap[None, :2]]
    parts += [v.at[:, :2] for v in drip.valves]
    c, s = math.cos(turn), math.sin(turn)
    points = np.concatenate(parts) @ np.array([[c, s], [-s, c]])
    return turn, points.min(axis=0), points.max(axis=0)


def _hill(d: Drawing, plan: Plan) -> None:
    rings = ground.near_exclusions(plan.site, plan.surface.outline)
    edge = shapely.box(*(d.bounds or (0, 0, 0, 0)))
    # what lies beside the cells is on the set-out plan
    near = [(name, ring) for name, ring in rings if _inside(d, ring, edge)]
    ground.draw_exclusions(d, near)
    for corners in plan.layout.corners:
        d.line("cells", corners[:, :2], d.pen(FINE), closed=True)


def _inside(d: Drawing, ring: Array, edge: shapely.Polygon) -> bool:
    return bool(shapely.covers(edge, shapely.Polygon(d.view.place(ring))))


def _letters(d: Drawing, plan: Plan) -> None:
    drip, layout = plan.irrigation, plan.layout
    x, y = (float(v) for v in d.view.place(drip.tap[:2]))
    d.keep_free(np.array([[x, y]]), d.mm(1.8))
    _put(d, "T", x, y, 2.6)
    for valve in drip.valves:
        at = valve_place(d, valve, drip)
        d.keep_free(at[None], d.mm(1.9))
        _put(d, f"V{valve.number}", float(at[0]), float(at[1]), 3.0)
    for valve in drip.valves:
        _relief(d, valve, len(drip.valves))
        _name_laterals(d, valve, plan)
    for valve in drip.valves:
        _name_header(d, valve, plan)
    _name_rows(d, plan)
    cell = 1000 * layout.cell.width / d.scale
    if cell >= _NUMBERED:
        for corners, number in zip(layout.corners, layout.number, strict=True):
            a, b = d.view.place(corners[[3, 0], :2])
            places = [
                Candidate(float(a[0]) + 1.0, float(a[1]) + 2.2, anchor="left"),
                Candidate(float(b[0]) + 1.0, float(b[1]) - 2.2, anchor="left"),
            ]
            d.words("cell-numbers", str(int(number)), LETTER, places)


def _put(d: Drawing, text: str, x: float, y: float, off: float) -> None:
    wide = 1.0 * len(text)
    places = [
        Candidate(x + dx, y + dy)
        for dx, dy in (
            (-off - wide, 0.0), (off + wide, 0.0), (0.0, -off - 1.2), (0.0, off + 1.2),
            (-off - wide, -off), (off + wide, -off), (-off - wide, off), (off + wide, off),
            (0.0, -2 * off), (-2 * off - wide, 0.0), (2 * off + wide, 0.0), (0.0, 2 * off),
        )
    ]  # fmt: skip
    d.words("row-labels", text, LETTER, places, bold=True, needed=True)


def _relief(d: Drawing, valve: Valve, valves: int) -> None:
    """Mark the air and vacuum relief at the header's highest point."""
    part = np.array(valve.part)
    top = int(max(np.flatnonzero(part == "header"), key=lambda i: valve.at[i, 2]))
    at = d.view.place(valve.at[top, :2]) + shift_of(valve, valves, d.mm(1)) + (0.0, d.mm(1.7))
    x, y = float(at[0]), float(at[1])
    d.marks.append(Circle("valves", (x, y), d.mm(0.9), Pen(THIN), 1.0))
    d.keep_free(at[None], d.mm(0.9))
    _put(d, f"A{valve.number}", x, y, 2.2)


def _name_laterals(d: Drawing, valve: Valve, plan: Plan) -> None:
    """Name each lateral with its valve, its row and its tubing, over it near the header."""
    shift = shift_of(valve, len(plan.irrigation.valves), d.mm(1))
    done: set[int] = set()
    lines = sorted(strands(valve, "lateral"), key=len, reverse=True)
    for nodes in lines:
        row = int(valve.row[nodes[-1]])
        if row in done:
            continue
        done.add(row)
        line = d.view.place(valve.at[nodes, :2]) + shift
        size = in_units(valve.tubes[int(valve.size[nodes[-1]])].name, plan.opened.job.units)
        text = f"V{valve.number}-R{row:02d} {size}"
        sign = 1.0 if line[-1, 0] >= line[0, 0] else -1.0
        long = float(np.hypot(*np.diff(line, axis=0).T).sum())
        places = []
        for share in (0.5, 0.3, 0.7, 0.15, 0.85):
            x, y = along(line, share * long)
            places += [Candidate(float(x), float(y) + dy) for dy in (2.4, -2.4)]
        x, y = (float(v) for v in line[-1])
        end: Anchor = "left" if sign > 0 else "right"
        places += [Candidate(x + sign * 2.5, y + dy, anchor=end) for dy in (0.0, 4.0, -4.0)]
        # beyond its end first: there nothing lies under the letters
        d.words("row-labels", text, LETTER, [*places[-3:], *places], bold=True, needed=True)


def _name_header(d: Drawing, valve: Valve, plan: Plan) -> None:
    """Write the tubing beside the header wherever it changes."""
    shift = shift_of(valve, len(plan.irrigation.valves), d.mm(1))
    said: set[str] = set()
    for nodes in sorted(strands(valve, "header"), key=len, reverse=True):
        for a, b in pairwise(nodes):
            size = in_units(valve.tubes[int(valve.size[b])].name, plan.opened.job.units)
            start, end = d.view.place(valve.at[[a, b], :2]) + shift
            if size in said or math.dist(start, end) < 8:
                continue
            said.add(size)
            x, y = (float(v) for v in (start + end) / 2)
            text = f"V{valve.number} {size}"
            places = [
                Candidate(x + dx, y + dy, anchor="left" if dx > 0 else "right")
                for dx in (-2.0, 2.0, -5.0, 5.0)
                for dy in (0.0, 4.0, -4.0)
            ]
            d.words("row-labels", text, LETTER, places, bold=True, needed=True)


def _name_rows(d: Drawing, plan: Plan) -> None:
    """Name rows at their left end, as many as there is room for."""
    layout = plan.layout
    for row, cells in sorted(Rows.of_layout(layout).of.items()):
        a = d.view.place(layout.corners[cells[0], [0, 3], :2]).mean(axis=0)
        b = d.view.place(layout.corners[cells[-1], [1, 2], :2]).mean(axis=0)
        places = [
            Candidate(float(a[0]) - 1.5, float(a[1]), anchor="right"),
            Candidate(float(b[0]) + 1.5, float(b[1]), anchor="left"),
        ]
        d.words("row-labels", f"R{row:02d}", LETTER, places)
