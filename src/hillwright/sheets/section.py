"""The section down the steepest fall line: ground and cells, heights not exaggerated."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.layout.model import Layout
from hillwright.sheets import figures, tables
from hillwright.sheets.drawing import FINE, MEDIUM, THIN, Drawing
from hillwright.sheets.linetypes import SURVEYED
from hillwright.sheets.marks import LEAST_TEXT, Anchor, Fill, upright
from hillwright.sheets.place import Candidate
from hillwright.sheets.scale import Paper, fits, largest_scale
from hillwright.sheets.view import View, height_label
from hillwright.stability.model import SlipCircle, Stability
from hillwright.wording import factor_text

if TYPE_CHECKING:
    from hillwright.plan import Plan

RIM = 22.0  # kept free for axes and labels [mm]
HEAD = 12.0  # kept free above for the heading [mm]


@dataclass(frozen=True, slots=True, eq=False)
class CutCell:
    """A cell where the section line crosses its base."""

    row: int
    number: int
    base: Array  # (2, 2) along the line and height, uphill end first [m]


@dataclass(frozen=True, slots=True, eq=False)
class SectionSheet:
    """A finished section."""

    drawing: Drawing
    scale: int
    width: float  # [mm]
    height: float  # [mm]


def section_sheet(plan: Plan, paper: Paper) -> SectionSheet:
    """Draw the section at the job's scale if it fits, or the largest standard one that does.

    Raises
    ------
    ValueError
        The fall line has fewer than two points.
    """
    surface, job = plan.surface, plan.opened.job
    fall = surface.fall_line
    along = distance(fall)
    natural = np.asarray(surface.ground.at(fall[:, 0], fall[:, 1])[0])
    graded = np.asarray(surface.graded.at(fall[:, 0], fall[:, 1])[0])
    natural, graded = np.where(np.isfinite(natural), natural, fall[:, 2]), graded
    graded = np.where(np.isfinite(graded), graded, natural)
    cut = cut_cells(plan.layout, fall, along)
    low = float(min(natural.min(), graded.min()))
    high = float(max(natural.max(), graded.max())) + 1.5 * plan.layout.cell.depth
    slip = slip_line(plan.stability)
    first = min(0.0, float(slip[:, 0].min())) if len(slip) else 0.0
    last = max(float(along[-1]), float(slip[:, 0].max())) if len(slip) else float(along[-1])
    low = min(low, float(slip[:, 1].min())) if len(slip) else low
    needs = (last - first, high - low)
    room = (paper.inner_width, paper.inner_height - HEAD)
    scale = job.sheets.scale
    if scale is None or not fits(needs, room, scale, RIM):
        scale = largest_scale(needs, room, job.units, RIM) or _whole_scale(needs, room)
    width, height = paper.inner_width, 1000 * needs[1] / scale + 2 * RIM
    left = (width - 1000 * needs[0] / scale) / 2
    view = View((first, low), (left, RIM), 0.0, 1000 / scale, 1.0, 1 / plan.site.frame.z_unit)
    d = Drawing(view, plan.site.frame, job.units, scale, (0.0, 0.0, width, height))
    _axes(d, first, last, low, high)
    d.line("ground", np.column_stack([along, natural]), d.of(SURVEYED))
    d.line("ground", np.column_stack([along, graded]), d.of("ground"))
    _cells(d, cut, plan.layout.cell.depth, tables.row_names(plan.setout))
    if len(slip):
        _slip(d, plan, slip)
    _slopes(d, along, graded)
    d.settle()
    return SectionSheet(d, scale, width, height)


def slip_line(found: Stability) -> Array:
    """Give the arc (m, 2) of the slip circle that the section shows, or none."""
    circle = shown_circle(found)
    return np.empty((0, 2)) if circle is None else circle.arc


def shown_circle(found: Stability) -> SlipCircle | None:
    """Give the soaked slip circle with the least factor on the section of the sheet."""
    mine = (c for c in found.circles if c.name == "S" and c.loaded)
    return next(mine, None)


def _slip(d: Drawing, plan: Plan, arc: Array) -> None:
    circle = shown_circle(plan.stability)
    assert circle is not None
    d.line("slip", arc, d.of("slip"))
    d.keep_clear(arc)
    head = d.view.place(arc)[int(np.argmax(arc[:, 1]))]
    text = f"Slip circle, {circle.state}: factor {factor_text(circle.factor)}"
    middle = d.view.place(arc[len(arc) // 2])
    sides: tuple[tuple[float, Anchor], ...] = ((-4, "right"), (-12, "right"), (0, "middle"))
    places = [  # in the ground under the arc, where nothing is drawn; else over its head
        Candidate(float(middle[0] + d.mm(aside)), float(middle[1] - d.mm(down)), 0.0, anchor)
        for down in (6, 9, 13, 18)
        for aside, anchor in sides
    ]
    places += [
        Candidate(float(head[0] + d.mm(right)), float(head[1] + d.mm(up)), 0.0, "left")
        for up in (3, 6, 9)
        for right in (3, 8, 16)
    ]
    d.words("slip", text, LEAST_TEXT, places, bold=True, needed=True)


def distance(line: Array) -> Array:
    """Give the level distance (k,) of each point of a line (k, 2 or 3) from its start [m]."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line[:, :2], axis=0).T))])


def cut_cells(layout: Layout, fall: Array, along: Array) -> list[CutCell]:
    """Find the cells that the section line crosses, top to bottom, and where it cuts their bases.

    Parameters
    ----------
    fall : (k, 3) array
        The section line. [m]
    along : (k,) array
        Level distance of its points. [m]
    """
    if not len(layout.corners) or len(fall) < 2:
        return []
    line = shapely.LineString(fall[:, :2])
    quads = shapely.polygons(layout.corners[:, :, :2])
    found = []
    for i in np.flatnonzero(shapely.intersects(quads, line)):
        inside = shapely.intersection(quads[i], line)
        if inside.length < 0.25 * layout.cell.run:
            continue
        points = shapely.get_coordinates(inside)
        s = np.sort(shapely.line_locate_point(line, shapely.points(points)))[[0, -1]]
        xy = shapely.get_coordinates(shapely.line_interpolate_point(line, s))
        z = _plane_height(layout.corners[i], xy)
        found.append(CutCell(int(layout.row[i]), int(layout.number[i]), np.column_stack([s, z])))
    return sorted(found, key=lambda c: float(c.base[0, 0]))


def _plane_height(corners: Array, xy: Array) -> Array:
    middle = corners.mean(axis=0)
    _, _, axes = np.linalg.svd(corners - middle)
    n = axes[2]
    return np.asarray(middle[2] - ((xy - middle[:2]) @ n[:2]) / n[2])


def _cells(d: Drawing, cut: list[CutCell], depth: float, names: dict[int, str]) -> None:
    pitch = 1000 / d.scale * float(np.mean([np.ptp(c.base[:, 0]) for c in cut])) if cut else 0.0
    every = next((n for n in (1, 2, 5, 10, 20) if n * pitch >= 9), 50)
    for c in cut:
        run = c.base[1] - c.base[0]
        normal = np.array([-run[1], run[0]]) / np.hypot(*run)
        box = np.array(
            [c.base[0], c.base[1], c.base[1] + normal * depth, c.base[0] + normal * depth]
        )
        d.marks.append(Fill("cells", d.view.place(box), 1.0))
        d.line("cells", box, d.pen(MEDIUM), closed=True)
        d.keep_clear(np.concatenate([box, box[:1]]))
        if c.row % every == 0 or c.row == 1:
            lid = d.view.place(box[2:]).mean(axis=0)
            places = [Candidate.on(lid + normal * d.mm(gap)) for gap in (3.2, 5, 7.5)]
            d.words("row-labels", names.get(c.row, f"R{c.row}"), LEAST_TEXT, places, bold=True)


def _slopes(d: Drawing, along: Array, z: Array) -> None:
    total = float(along[-1])
    parts = max(1, min(6, round(1000 * total / d.scale / 60)))
    stops = np.linspace(0, total, parts + 1)
    heights = np.interp(stops, along, z)
    for k in range(parts):
        ends = d.view.place(np.column_stack([stops[k : k + 2], heights[k : k + 2]]))
        run = ends[1] - ends[0]
        u = run / np.hypot(*run)
        below = np.array([u[1], -u[0]])
        fall = math.atan2(heights[k] - heights[k + 1], stops[k + 1] - stops[k])
        for end in ends if k == parts - 1 else ends[:1]:
            d.line_placed(
                "ground", np.array([end + below * d.mm(1), end + below * d.mm(4)]), d.pen(FINE)
            )
        places = [
            Candidate.on(ends.mean(axis=0) + below * d.mm(g), upright(math.atan2(u[1], u[0])))
            for g in (5, 7.5, 10, 13)
        ]
        d.words("ground", figures.slope(fall), LEAST_TEXT, places, needed=True)


def _axes(d: Drawing, first: float, total: float, low: float, high: float) -> None:
    unit = 0.3048 if d.system == "us" else 1.0
    step = figures.nice_step(14 * d.scale / 1000 / unit)
    corner = d.view.place([first, low]) - np.array([d.mm(5), d.mm(5)])
    right = float(d.view.place([total, low])[0]) + d.mm(5)
    top = float(d.view.place([first, high])[1]) + d.mm(3)
    d.line_placed("frame", np.array([[right, corner[1]], corner, [corner[0], top]]), d.pen(THIN))
    for k in range(math.floor(total / unit / step + 1e-9) + 1):
        x = float(d.view.place([k * step * unit, low])[0])
        d.line_placed("frame", np.array([[x, corner[1]], [x, corner[1] - d.mm(1.3)]]), d.pen(THIN))
        d.words("frame", f"{k * step:g}", LEAST_TEXT, [Candidate(x, float(corner[1]) - d.mm(3.6))])
    z_unit = d.frame.z_unit
    step = figures.nice_step(10 * d.scale / 1000 / z_unit)
    for k in range(math.ceil(low / z_unit / step), math.floor(high / z_unit / step) + 1):
        y = float(d.view.place([first, k * step * z_unit])[1])
        d.line_placed("frame", np.array([[corner[0], y], [corner[0] - d.mm(1.3), y]]), d.pen(THIN))
        d.line_placed("grid", np.array([[corner[0], y], [right, y]]), d.of("grid"))
        label = f"{k * step:,.{max(0, math.ceil(-math.log10(step) - 1e-9))}f}"
        d.words("frame", label, LEAST_TEXT, [Candidate(corner[0] - d.mm(2), y, 0.0, "right")])
    label = f"level distance from the top of the fall line [{figures.unit(d.system)}]"
    d.words("frame", label, LEAST_TEXT, [Candidate((corner[0] + right) / 2, corner[1] - d.mm(8.5))])
    label = f"height [{height_label(d.frame)}]"
    d.words("frame", label, LEAST_TEXT, [Candidate(corner[0], top + d.mm(3.2))])


def _whole_scale(needs: tuple[float, float], room: tuple[float, float]) -> int:
    """Give a round scale beyond the standard ones; no section is refused for its length."""
    least = max(1000 * n / (r - 2 * RIM) for n, r in zip(needs, room, strict=True))
    return round(figures.nice_step(least))
