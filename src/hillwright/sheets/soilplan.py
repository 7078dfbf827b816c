"""The lifts and soil plan: which mix lies where, what goes up together, the pile and the way."""

from __future__ import annotations

import math
from string import ascii_uppercase
from typing import TYPE_CHECKING

import numpy as np
import shapely

from hillwright import units
from hillwright.arrays import Array, Index
from hillwright.fill.model import Fill
from hillwright.sheets import cells, ground, lines, tables
from hillwright.sheets.drawing import FINE, MEDIUM, THIN, Drawing, direction
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import LEAST_TEXT, Anchor, Circle, Hatch, Line, Mark, Pen, Words
from hillwright.sheets.marks import Fill as Area
from hillwright.sheets.pages import Page
from hillwright.sheets.place import Candidate, around
from hillwright.sheets.plan_sheet import plan_sheet
from hillwright.sheets.setout import plan_page
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

# by mix, in the order of its letter: distance of the lines [mm] and their directions [deg]; none
# is like the hatch of what cells keep off
_HATCHES: tuple[tuple[float, tuple[float, ...]], ...] = (
    (2.4, (-45.0,)), (2.0, (45.0, -45.0)), (1.2, (90.0,)), (1.2, (0.0,)), (1.8, (0.0, 90.0)),
    (0.9, (-45.0,)),
)  # fmt: skip
_INSIDE = 0.45  # how far within its cells the line round a lift runs [mm]
_CLOSE = 0.3  # cells of a lift with no more between them are held together [m]
_EDGE = 5.0  # a pile farther off than the paper reaches is told so far from its edge [mm]


def mix_letters(fill: Fill) -> dict[str, str]:
    """Give each mix that some cell takes its letter, in the order of the list of mixes."""
    return {t.mix.name: ascii_uppercase[k % 26] for k, t in enumerate(fill.totals)}


def soil_plan(plan: Plan) -> Page:
    """Give the page of the lifts and soil plan."""
    carry, surface, setout = plan.carry, plan.surface, plan.setout
    rings = ground.near_exclusions(plan.site, surface.outline)
    shown = [
        surface.outline,
        plan.layout.corners.reshape(-1, 3),
        plan.layout.top_string,
        np.stack([setout.benchmark_a, setout.benchmark_b]),
        *(ring for _, ring in rings),
    ]
    points = np.concatenate([np.asarray(p, float)[:, :2] for p in shown])
    points = points[np.isfinite(points).all(axis=1)]
    drawn = plan_sheet(plan, _draw, points, carry.pile[None, :2], _widest(plan) + 4.0)
    return plan_page(
        plan,
        drawn,
        "Lifts and soil plan",
        "Plan of the mixes by hatch and letter, the lifts of rows, the pile and the way up",
        soil_notes(plan),
    )


def soil_notes(plan: Plan) -> tuple[str, ...]:
    """Say in which order rows and soil go up, and who keeps off."""
    return (
        "Up first: the rows, lift 1 before lift 2, hung and staked from the top row down. Then "
        "the soil: row by row from the top, R01 first, so that nobody walks over filled cells.",
        f"The pile: {in_units(plan.carry.pile_note, plan.opened.job.units)}.",
        "Nobody stands below a lift or straight below who pours. Fill buckets to the line only.",
    )


def _draw(d: Drawing, plan: Plan) -> None:
    layout, surface = plan.layout, plan.surface
    rings = ground.near_exclusions(plan.site, surface.outline)
    ground.draw_exclusions(d, rings)
    lines.draw_outline(d, surface)
    lines.draw_top_string(d, layout)
    runs = _runs(plan)
    _hatch(d, plan, runs)
    cells.draw_cells(d, layout)
    d.notes.pop("cells", None)  # the samples of the mixes show one
    d.keep_clear(layout.top_string)
    d.keep_clear(np.concatenate([surface.outline, surface.outline[:1]]))
    _pile(d, plan, [ring for _, ring in rings])
    _lifts(d, plan)
    _letter(d, plan, runs)
    cells.name_rows(d, layout, plan.setout)
    _amounts(d, plan)
    ground.name_exclusions(d, rings)
    lines.draw_benchmarks(d, plan.setout)


def _runs(plan: Plan) -> list[Index]:
    """List the cells of one mix that lie beside each other in a row."""
    layout, fill = plan.layout, plan.fill
    mix = np.where(fill.settled > 0, fill.mix, -1)
    line = tables.lines_of_cells(plan)
    order = np.lexsort((layout.number, layout.row))
    key = np.stack([layout.row, line, mix])[:, order]
    parts = np.split(order, np.flatnonzero((np.diff(key, axis=1) != 0).any(axis=0)) + 1)
    return [part for part in parts if len(part) and mix[part[0]] >= 0]


def _hatch(d: Drawing, plan: Plan, runs: list[Index]) -> None:
    fill, layout = plan.fill, plan.layout
    names = list(mix_letters(fill))
    placed = d.view.place(layout.corners)
    for run in runs:
        k = names.index(fill.mixes[int(fill.mix[run[0]])].name)
        top, foot = placed[run][:, :2].reshape(-1, 2), placed[run][:, 3:1:-1].reshape(-1, 2)
        d.marks += _hatched(k, np.concatenate([top, foot[::-1]]), d.mm(1.0))
    for k, total in enumerate(fill.totals):
        amount = units.show(total.loose, "m3", d.system)
        d.keys.append((_sample(k), f"{total.mix.name}: {amount} loose, to carry up"))


def _hatched(k: int, ring: Array, mm: float) -> list[Hatch]:
    gap, turns = _HATCHES[k % len(_HATCHES)]
    return [Hatch("soil", ring, gap * mm, math.radians(turn), Pen(FINE)) for turn in turns]


def _sample(k: int) -> list[Mark]:
    box = np.array([[1.5, 0.6], [9.5, 0.6], [9.5, 4.4], [1.5, 4.4]])
    return [
        *_hatched(k, box, 1.0),
        Line("soil", box, Pen(THIN), True),
        Words("soil", (5.5, 2.5), ascii_uppercase[k % 26], LEAST_TEXT),
    ]


def _letter(d: Drawing, plan: Plan, runs: list[Index]) -> None:
    """Letter each run of one mix once, in one of its cells."""
    letters, placed = mix_letters(plan.fill), d.view.place(plan.layout.corners)
    for run in runs:
        letter = letters[plan.fill.mixes[int(plan.fill.mix[run[0]])].name]
        angle = direction(placed[run[0], 0], placed[run[0], 1])
        each = placed[run].mean(axis=1)
        d.words("soil", letter, LEAST_TEXT, [Candidate.on(p, angle) for p in each], worth=2.2)


def _lifts(d: Drawing, plan: Plan) -> None:
    """Edge the rows that go up together, and name the lift on each of its lines."""
    carry, layout = plan.carry, plan.layout
    names, line = tables.line_names(plan.setout), tables.lines_of_cells(plan)
    placed = d.view.place(layout.corners)
    close = _CLOSE * d.view.factor / 2
    for lift in carry.lifts:
        mine = [names.index(name) for name in lift.rows]
        quads = shapely.polygons(placed[np.isin(line, mine)])
        held = shapely.union_all(shapely.buffer(quads, close, join_style="mitre"))
        inside = shapely.buffer(held, -close - d.mm(_INSIDE), join_style="mitre")
        for part in shapely.get_parts(inside):
            ring = shapely.get_coordinates(part.exterior)[:-1]
            d.line_placed("lifts", ring, d.pen(MEDIUM), True)
        for k in mine:
            _name(d, f"L{lift.number}", placed[line == k])
    if carry.lifts:
        number = len(carry.lifts)
        tell = f"L1 to L{number}: rows that go up in one lift" if number > 1 else "L1: the lift"
        d.notes["lifts"] = f"{tell}, clipped together at the foot"
    for name in carry.singles:
        _name(d, "S", placed[line == names.index(name)])
    if carry.singles:
        d.keys.append(
            ([Words("lifts", (5.5, 2.5), "S", LEAST_TEXT, bold=True)], "Set cell by cell: no lift")
        )


def _name(d: Drawing, text: str, quads: Array) -> None:
    if not len(quads):
        return
    middle = (len(quads) - 1) / 2
    order = sorted(range(len(quads)), key=lambda k: abs(k - middle))
    angle = direction(quads[0, 0], quads[0, 1])
    places = [Candidate.on(quads[k].mean(axis=0), angle) for k in order]
    d.words("lifts", text, LEAST_TEXT, places, bold=True, worth=3.0)


def _amounts(d: Drawing, plan: Plan) -> None:
    """Write beside the right end of each row what soil goes into it."""
    layout = plan.layout
    placed = d.view.place(layout.corners)
    pitch = float(np.median(np.hypot(*(placed[:, 3] - placed[:, 0]).T)))
    every = next(n for n in (1, 2, 5, 10, 20, 50, 100, 1000) if n * pitch >= d.mm(3.6))
    for row, said in _said(plan).items():
        if row != 1 and row % every and row != layout.rows:
            continue
        k = np.flatnonzero(layout.row == row)[-1]
        edge, outward = (placed[k, 1] + placed[k, 2]) / 2, placed[k, 1] - placed[k, 0]
        outward = outward / np.hypot(*outward)
        down = np.array([outward[1], -outward[0]])
        angle = direction(placed[k, 0], placed[k, 1])
        side: Anchor = (
            "left" if math.cos(angle) * outward[0] + math.sin(angle) * outward[1] > 0 else "right"
        )
        places = [
            Candidate.on(edge + outward * d.mm(gap) + down * d.mm(aside), angle, side)
            for aside in (0, 4.5, -4.5)
            for gap in (1.5, 3, 5, 8, 12, 18, 25)
        ]
        places += [Candidate.on(edge + outward * d.mm(gap), angle, side) for gap in (34, 44, 54)]
        at = shapely.Point(edge)
        d.words(
            "soil",
            said,
            LEAST_TEXT,
            places,
            worth=2.6,
            thing=at,
            lead=6.0,
            called=f"soil of row {row}",
        )
    step = "" if every == 1 else f" (every {every})"
    d.keys.append(
        ([Words("soil", (5.5, 2.5), "A 0.5", LEAST_TEXT)], f"Loose soil of a row{step}, by mix")
    )


def _said(plan: Plan) -> dict[int, str]:
    letters = mix_letters(plan.fill)
    factor, unit, _ = units.shown(1.0, "m3", plan.opened.job.units)
    return {
        row: " + ".join(f"{letters[name]} {v * factor:.2f}" for name, v in parts.items())
        + f" {unit}"
        for row, parts in amounts(plan).items()
    }


def _widest(plan: Plan) -> float:
    """Give the room that the longest of what stands beside the rows takes [mm]."""
    return max(text_width(said, LEAST_TEXT) for said in _said(plan).values())


def amounts(plan: Plan) -> dict[int, dict[str, float]]:
    """Give the loose soil of each row that takes some, by mix [m3]."""
    fill, layout = plan.fill, plan.layout
    found: dict[int, dict[str, float]] = {}
    for row in fill.row.tolist():
        mine = (layout.row == row) & (fill.settled > 0)
        parts = {
            t.mix.name: float(fill.loose[mine & (fill.mix == fill.mixes.index(t.mix))].sum())
            for t in fill.totals
        }
        if some := {name: v for name, v in parts.items() if v > 0}:
            found[row] = some
    return found


def _pile(d: Drawing, plan: Plan, keep_off: list[Array]) -> None:
    """Draw the pile and the way from it to the farthest soil; off the paper it is pointed to."""
    carry, fill, layout = plan.carry, plan.fill, plan.layout
    filled = np.flatnonzero(fill.settled > 0)
    middles = layout.corners[filled].mean(axis=1)
    ends = middles[layout.row[filled] == layout.row[filled].min()]
    barred = shapely.union_all([shapely.Polygon(r[:, :2]) for r in keep_off]) if keep_off else None
    ways = shapely.linestrings(
        np.stack([np.broadcast_to(carry.pile[:2], (len(ends), 2)), ends[:, :2]], axis=1)
    )
    free = np.zeros(len(ends)) if barred is None else shapely.intersects(ways, barred)
    end = ends[np.lexsort((shapely.length(ways), free))[0]]
    at, top = d.view.place(carry.pile), d.view.place(end)
    u = (top - at) / max(float(np.hypot(*(top - at))), 1e-9)
    r = d.mm(2.6)
    start = at
    said = "Pile"
    if d.bounds is not None:
        x0, y0, x1, y1 = d.bounds
        gap = d.mm(_EDGE)
        inner = shapely.box(x0 + gap, y0 + gap, x1 - gap, y1 - gap)
        if not inner.covers(shapely.Point(at)):
            inside = shapely.intersection(shapely.LineString([at, top]), inner)
            start = shapely.get_coordinates(inside)[0]
            on = units.show(float(np.hypot(*(at - start))) / d.view.factor, "m", d.system)
            said = f"Pile, {on} from here"
    if start is at:
        d.marks.append(Circle("pile", (float(at[0]), float(at[1])), r, d.pen(MEDIUM)))
        t = np.linspace(0, math.tau, 17)[:-1]
        ring = at + r * np.column_stack([np.cos(t), np.sin(t)])
        for turn in (45.0, -45.0):
            d.marks.append(Hatch("pile", ring, d.mm(0.9), math.radians(turn), d.pen(FINE)))
        start = at + u * r
        d.keep_free(at[None], r)
    d.line_placed("pile", np.array([start, top - u * d.mm(2.8)]), d.of("pile"))
    side = np.array([-u[1], u[0]])
    tip = np.array([top, top - u * d.mm(3) + side * d.mm(1), top - u * d.mm(3) - side * d.mm(1)])
    d.marks.append(Area("pile", tip, 0.0))
    half = text_width(said, d.mm(LEAST_TEXT), bold=True) / 2
    places = around(float(start[0]), float(start[1]), [d.mm(v) for v in (3.4, 5, 8, 12)], half)
    d.words("pile", said, LEAST_TEXT, places, bold=True, needed=True)
    way = plan.carry.ways[carry.best].name if carry.best >= 0 else "none of the ways named"
    mean, rise = (units.show(v, "m", d.system) for v in (carry.distance, carry.rise))
    d.notes["pile"] = f"Pile and way up ({way}): mean way {mean}, rise {rise}"
    d.keep_clear(np.array([carry.pile, end]))
