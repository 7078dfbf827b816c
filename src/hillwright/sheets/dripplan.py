"""The irrigation plan: header, laterals and tubes drawn over the cells, as large as the page."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.model import Irrigation, Valve
from hillwright.sheets.blocks import Picture
from hillwright.sheets.drawing import FINE, HEAVY, MEDIUM, THIN, Drawing
from hillwright.sheets.marks import Circle, Line, Pen
from hillwright.sheets.place import Candidate
from hillwright.sheets.scale import largest_scale, paper_of, scale_text
from hillwright.sheets.svg import svg
from hillwright.sheets.view import View

if TYPE_CHECKING:
    from hillwright.plan import Plan

RIM = 9.0  # kept free around the drawing for labels [mm]
HEAD = 34.0  # of the page for heading and notes [mm]
NOTES = (
    "Heavy line: header, from the tap (T) with the valves beside it. Medium line: lateral through "
    "the cells' holes; a bar at its end is a flush end. Fine line: small tubing from a punched "
    "connector to its stake (dot). Rows are named where their lateral leaves the header.",
    "Air and vacuum relief (A) at the header's highest point; check valve in each take-off.",
)


def drip_picture(plan: Plan) -> Picture:
    """Draw the network over the cells."""
    layout, drip, job = plan.layout, plan.irrigation, plan.opened.job
    along = Rows.of_layout(layout).along
    turn = -math.atan2(along[1], along[0])
    points = _everything(plan)
    c, s = math.cos(turn), math.sin(turn)
    size = np.ptp(points @ np.array([[c, s], [-s, c]]), axis=0)
    paper = paper_of(job)
    room = (paper.inner_width, paper.inner_height - HEAD)
    scale = largest_scale((float(size[0]), float(size[1])), room, job.units, RIM) or 500
    view = View.paper(scale, turn, (0.0, 0.0), (0.0, 0.0), plan.site.frame)
    placed = view.place(points)
    low, high = placed.min(axis=0), placed.max(axis=0)
    width, height = (float(v) for v in high - low + 2 * RIM)
    shift = (RIM - float(low[0]), RIM - float(low[1]))
    view = View.paper(scale, turn, (0.0, 0.0), shift, plan.site.frame)
    drawing = Drawing(view, plan.site.frame, job.units, scale, (0.0, 0.0, width, height))
    for corners in layout.corners:
        drawing.line("cells", corners[:, :2], drawing.pen(FINE), closed=True)
    for valve in drip.valves:
        _draw(drawing, valve)
    _tap(drawing, drip)
    return Picture(
        f"Irrigation plan, {scale_text(scale, job.units)}, rows level, uphill up",
        svg(drawing.in_order(), width, height).encode(),
        width,
        height,
        "Plan of the drip network over the cells: tap, header, laterals, small tubing and stakes",
        NOTES,
    )


def _everything(plan: Plan) -> Array:
    parts = [plan.layout.corners.reshape(-1, 3)[:, :2], plan.irrigation.tap[None, :2]]
    parts += [v.at[:, :2] for v in plan.irrigation.valves]
    return np.concatenate(parts)


def _draw(d: Drawing, valve: Valve) -> None:
    parent, part = valve.network.parent, np.array(valve.part)
    weight = {"header": HEAVY, "lateral": MEDIUM, "small": FINE}
    leaf = np.ones(len(parent), bool)
    leaf[parent[1:][part[1:] == "lateral"]] = False
    for k in range(1, len(parent)):
        ends = valve.at[[parent[k], k], :2]
        kind = str(part[k])
        layer = {"header": "header", "lateral": "laterals", "small": "small-tubing"}[kind]
        d.line(layer, ends, d.pen(weight[kind]))
        if kind == "small":
            x, y = d.view.place(ends[1])
            d.marks.append(Circle("emitters", (float(x), float(y)), 0.35, Pen(FINE), 0.0))
        elif kind == "lateral" and leaf[k]:
            _bar(d, ends)
    for i in np.flatnonzero(part == "header"):
        _name_laterals(d, valve, int(i))
    top = int(max(np.flatnonzero(part == "header"), key=lambda i: valve.at[i, 2]))
    _letter(d, valve.at[top, :2], f"A{valve.number}" if valve.number > 1 else "A")


def _bar(d: Drawing, ends: Array) -> None:
    """Close a lateral with a bar across it."""
    a, b = d.view.place(ends)
    way = b - a
    size = float(np.hypot(*way))
    if size < 1e-9:
        return
    across = np.array([-way[1], way[0]]) / size * 1.1
    d.marks.append(Line("laterals", np.array([b - across, b + across]), Pen(MEDIUM)))


def _name_laterals(d: Drawing, valve: Valve, node: int) -> None:
    parent = valve.network.parent
    hung = [i for i in np.flatnonzero(parent == node) if valve.part[i] == "lateral"]
    if not hung:
        return
    p = valve.punches
    # the lateral's row is the one of the first connector beyond
    behind = {int(i) for i in hung}
    row = 0
    for i, up in enumerate(parent.tolist()):
        if up in behind:
            behind.add(i)
    for k, end in enumerate(p.node.tolist()):
        if end in behind:
            row = int(p.lateral[k])
            break
    x, y = d.view.place(valve.at[node, :2])
    text = f"R{row:02d}"
    places = [
        Candidate(float(x) + dx, float(y) + dy)
        for dx, dy in ((-4.5, 1.6), (-4.5, -1.6), (4.5, 1.6), (4.5, -1.6), (-7, 0), (7, 0))
    ]
    d.words("row-labels", text, 2.2, places, bold=True, needed=True)


def _tap(d: Drawing, drip: Irrigation) -> None:
    x, y = d.view.place(drip.tap[:2])
    d.marks.append(Circle("header", (float(x), float(y)), 1.2, Pen(THIN), 1.0))
    _letter(d, drip.tap[:2], "T")
    for k, valve in enumerate(drip.valves):
        below = [Candidate(float(x), float(y) - 3.2 - 2.6 * k)]
        d.words("row-labels", f"V{valve.number}", 2.0, below, needed=True)


def _letter(d: Drawing, at: Array, text: str) -> None:
    x, y = (float(v) for v in d.view.place(at))
    places = [
        Candidate(x + dx, y + dy)
        for dx, dy in ((-2.6, 0.0), (2.6, 0.0), (0.0, 2.6), (0.0, -2.6), (-3.5, 2.5), (3.5, 2.5))
    ]
    d.words("row-labels", text, 2.6, places, bold=True, needed=True)
