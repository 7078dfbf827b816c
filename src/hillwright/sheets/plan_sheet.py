"""The set-out plan: turned and scaled to fit the paper, everything in it true to scale."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import JobError
from hillwright.job.model import Job
from hillwright.sheets import cells, furniture, ground, lines, water
from hillwright.sheets.drawing import Drawing
from hillwright.sheets.scale import Paper, does_not_fit, fits, largest_scale, paper_of
from hillwright.sheets.view import View

if TYPE_CHECKING:
    from hillwright.plan import Plan

STEP = 1.5  # one step of the scale: 1:32 to 1:48
RIM = 12.0  # kept free around the drawing for labels [mm]


@dataclass(frozen=True, slots=True, eq=False)
class PlanSheet:
    """A finished set-out plan."""

    drawing: Drawing
    paper: Paper
    scale: int
    turn: float  # of the ground against the paper, anticlockwise [rad]
    north: float  # on the paper, anticlockwise from its right [rad]
    north_known: bool
    downhill: float  # [rad]


def plan_sheet(
    plan: Plan,
    draw: Callable[[Drawing, Plan], None] | None = None,
    shown: Array | None = None,
    aside: Array | None = None,
    rim: float = RIM,
) -> PlanSheet:
    """Draw the set-out plan, or another one, at the job's scale or the largest one that fits.

    Parameters
    ----------
    plan : Plan
        What to draw.
    draw : callable, optional
        Puts on the drawing what another plan than that of the set-out shows.
    shown : (k, 2) array, optional
        Ground points that must be on the paper; left out, `everything` [m].
    aside : (k, 2) array, optional
        Ground points that are shown too, if that costs no more than one step of the scale [m].

    rim : float, optional
        Kept free for labels where the scale is not told, if that is to be had [mm].

    Raises
    ------
    JobError
        The scale asked for does not fit the paper, or no standard scale does.
    """
    job, site = plan.opened.job, plan.site
    paper = paper_of(job)
    points = everything(plan) if shown is None else shown
    turn, scale = _turn_and_scale(plan, paper, points, rim)
    if aside is not None:
        more = np.concatenate([points, aside])
        with suppress(JobError):  # there is no scale for so much
            found = _turn_and_scale(plan, paper, more, rim)
            if found[1] <= STEP * scale:
                points, (turn, scale) = more, found
    turned = View.paper(scale, turn, (0.0, 0.0), (0.0, 0.0), site.frame).place(points)
    width, height = paper.drawing
    middle = (turned.min(axis=0) + turned.max(axis=0)) / 2
    shift = (width / 2 - middle[0], height / 2 - middle[1])
    view = View.paper(scale, turn, (0.0, 0.0), (float(shift[0]), float(shift[1])), site.frame)
    drawing = Drawing(view, site.frame, job.units, scale, (0.0, 0.0, width, height))
    (draw or fill)(drawing, plan)
    drawing.settle()
    aspect = plan.surface.aspect
    return PlanSheet(
        drawing,
        paper,
        scale,
        turn,
        math.pi / 2 + site.frame.north + turn,
        job.north_known,
        math.pi / 2 - aspect + turn,
    )


def plan_scale(plan: Plan) -> int:
    """Give the scale of the set-out plan."""
    return _turn_and_scale(plan, paper_of(plan.opened.job), everything(plan))[1]


def fill(d: Drawing, plan: Plan) -> None:
    """Put everything on a plan; lettering that matters most takes its place first."""
    surface, layout, setout = plan.surface, plan.layout, plan.setout
    rings = ground.near_exclusions(plan.site, surface.outline)
    interval, contours = ground.contour_lines(surface, plan.site.frame.z_unit)
    ground.draw_unsurveyed(d, surface)
    ground.draw_exclusions(d, rings)
    lines.draw_outline(d, surface)
    cells.draw_cells(d, layout)
    cells.draw_bars(d, layout, plan.stability.anchoring)
    cells.draw_seams(d, layout)
    lines.draw_top_string(d, layout)
    water.draw_drains(d, plan.drainage)
    d.keep_free(d.view.place(setout.stake), d.mm(0.5))
    d.keep_clear(setout.base_line)
    d.keep_clear(layout.top_string)
    d.keep_clear(np.concatenate([surface.outline, surface.outline[:1]]))
    ground.ring_spots(d, surface)
    cells.number_cells(d, layout)
    lines.draw_benchmarks(d, setout)
    ground.name_exclusions(d, rings)
    cells.name_rows(d, layout, setout)
    cells.name_panels(d, layout)
    water.draw_spills(d, layout, plan.runoff)
    water.name_drains(d, plan.drainage)
    lines.draw_fall_line(d, surface)
    ground.measure_spots(d, surface)
    lines.draw_base_line(d, setout)
    lines.name_marks(d, setout)
    lines.draw_stakes(d, setout)
    furniture.draw_grid(d, axis_names(plan.opened.job), layout.corners)
    ground.draw_contours(d, contours, interval)


def everything(plan: Plan) -> Array:
    """Give the ground points (k, 2) that the plan must show [m]."""
    surface, layout, setout = plan.surface, plan.layout, plan.setout
    parts = [
        surface.outline,
        layout.corners.reshape(-1, 3)[:, :2],
        layout.top_string[:, :2],
        setout.base_line[:, :2],
        setout.benchmark_a[None, :2],
        setout.benchmark_b[None, :2],
        surface.fall_line[:, :2],
        *(drain.line for drain in plan.drainage.drains),
        *(drain.lead_line for drain in plan.drainage.drains),
        *(ring for _, ring in ground.near_exclusions(plan.site, surface.outline)),
    ]
    points = np.concatenate([np.asarray(p, dtype=float).reshape(-1, 2) for p in parts])
    return np.asarray(points[np.isfinite(points).all(axis=1)])


def axis_names(job: Job) -> tuple[str, str]:
    """Name the two coordinates of the survey."""
    return ("X", "Y") if job.survey.kind == "sections" else ("E", "N")


def _turn_and_scale(plan: Plan, paper: Paper, points: Array, rim: float = RIM) -> tuple[float, int]:
    """Keep north up; turn the sheet only where that makes a larger scale."""
    job, room = plan.opened.job, paper.drawing
    north_up = -plan.site.frame.north if job.north_known else 0.0
    turns = [north_up, _uphill_up(plan), north_up + math.pi / 2]
    sizes = [_size(points, turn) for turn in turns]
    if job.sheets.scale is not None:
        for turn, size in zip(turns, sizes, strict=True):
            if fits(size, room, job.sheets.scale, RIM):
                return turn, job.sheets.scale
    else:
        found = [
            (scale, k)
            for k, size in enumerate(sizes)
            if (scale := largest_scale(size, room, job.units, rim)) is not None
        ]
        if found:
            scale, k = min(found)
            return turns[k], scale
        if rim > RIM:
            return _turn_and_scale(plan, paper, points)
    least = min(sizes, key=lambda s: max(n / r for n, r in zip(s, room, strict=True)))
    raise _refusal(plan, job, least, room)


def _refusal(
    plan: Plan, job: Job, needs: tuple[float, float], room: tuple[float, float]
) -> JobError:
    return does_not_fit(job, plan.opened.path.name, needs, room, RIM)


def _uphill_up(plan: Plan) -> float:
    """Give the turn that lays the rows level on the paper, uphill at its top."""
    layout = plan.layout
    if len(layout.top_string) > 1:
        run = layout.top_string[-1, :2] - layout.top_string[0, :2]
        return -math.atan2(run[1], run[0])
    return plan.surface.aspect - math.pi


def _size(points: Array, turn: float) -> tuple[float, float]:
    c, s = math.cos(turn), math.sin(turn)
    turned = points @ np.array([[c, s], [-s, c]])
    width, height = np.ptp(turned, axis=0)
    return float(width), float(height)
