"""The sheet of question 4: where the rain goes, for the owner, the crew and the inspector."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.answers.rain import rain
from hillwright.runoff.drainmodel import Drain
from hillwright.runoff.model import HillState
from hillwright.runoff.remarks import COMPARISON, storm_words
from hillwright.runoff.soilloss import in_words
from hillwright.sheets import figures
from hillwright.sheets.blocks import Block, Picture, RoomSheet, Table, Text
from hillwright.sheets.hydrograph import hydrograph
from hillwright.sheets.rainrows import by_row
from hillwright.sheets.scale import CHART
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

TALL = 62.0  # of a hydrograph [mm]


def rain_sheet(plan: Plan) -> RoomSheet:
    """Give the sheet of the runoff room."""
    found, system = plan.runoff, plan.job.units
    answer = rain(plan)
    said = (answer.short,) if found.rain.given else (COMPARISON, answer.short)
    blocks: list[Block] = [Text("", said, strong=True)]
    storm = in_units(storm_words(found.rain), system)
    width = CHART
    if found.storm is not None:
        blocks.append(
            Picture(
                f"Off the cells in a {storm}",
                hydrograph(found.storm, found.rain.rain, system, width, TALL),
                width,
                TALL,
                "Hydrographs with and without the rows, and the rain above them",
                ("The same storm on the same ground with the rows just built, and without them.",),
            )
        )
    if found.event is not None:
        blocks.append(
            Picture(
                "Off the cells in the storm of the event file",
                hydrograph(found.event, found.event_rain, system, width, TALL),
                width,
                TALL,
                "Hydrographs of the recorded storm with and without the rows",
            )
        )
    blocks += [_states(plan, storm), _soil(plan)]
    if found.storm is not None:
        blocks.append(_rows(plan))
    if plan.drainage.drains:
        blocks.append(_drains(plan))
    blocks.append(Text("Taken where the job is silent", _said(found.assumed, system), True))
    blocks.append(Text("Where the methods end", _said(found.doubts, system), True))
    cautions = dict.fromkeys(
        (answer.caution, *(c for d in plan.drainage.drains for c in d.cautions))
    )
    blocks.append(Text("Beware", _said(tuple(cautions), system), True))
    return RoomSheet("Where the rain goes", tuple(blocks))


def _said(lines: tuple[str, ...], system: System) -> tuple[str, ...]:
    return tuple(in_units(line, system) for line in lines)


def _states(plan: Plan, storm: str) -> Table:
    found, system = plan.runoff, plan.job.units
    head = (
        "state",
        "what it is",
        "CN",
        "runoff",
        "dry to wet before",
        "volume",
        "peak, TR-55",
        "peak, rational",
    )
    rows = tuple(_state(s, system) for s in found.states)
    area = units.show(found.area, "m2", system)
    cells = units.show(found.cells, "m2", system)
    return Table(
        f"The whole hill in a {storm}, by its cover",
        head,
        rows,
        numbers=(2, 3, 4, 5, 6, 7),
        notes=(
            f"The hill is {area} in plan, {cells} of it under cells. What the rows hold is not in "
            "these figures: the storm marched down the rows has it. The ground beside the cells "
            "stays as it is today.",
        ),
    )


def _state(s: HillState, system: System) -> tuple[str, ...]:
    low, best, high = (units.show(v, "m.small", system) for v in s.runoff)
    peak = units.show(s.peak, "m3/s", system) if math.isfinite(s.peak) else "–"
    return (
        s.name,
        s.words,
        f"{s.curve_number[1]:.0f}",
        best,
        f"{low} to {high}",
        units.show(s.volume, "m3", system),
        peak,
        units.show(s.rational, "m3/s", system),
    )


def _soil(plan: Plan) -> Table:
    found, system = plan.runoff, plan.job.units
    bare = found.states[0].loss[1]
    weighed = found.weighed
    head = ("state", "a year", "low to high", "in words" if weighed else "", "slope length", "LS",
            "C", "P")  # fmt: skip

    def loss(value: float) -> str:
        if weighed:
            return units.show(value, "kg.big", system)
        return f"{value / bare:.0%} of today's" if bare > 0 else "none"

    rows = tuple(
        (
            s.name,
            loss(s.loss[1]),
            f"{loss(s.loss[0])} to {loss(s.loss[2])}",
            in_words(s.loss[1]) if weighed else "",
            units.show(s.length, "m", system),
            f"{s.ls[1]:.2f}",
            f"{s.cover[1]:.3g}",
            f"{s.practice[1]:.2g}",
        )
        for s in found.states
    )
    note = (
        "RUSLE on plan area, mean of many years; C, P and K of the best guess, ranges from all of "
        "them. Slope length, LS, C and P of the ground under cells where the rows are in; the "
        "ground beside them stays as it is today and is in the sum."
    )
    notes = (note,) if weighed else (note, "R of the place is not given: shares only.")
    return Table("Soil that leaves the hill", head, rows, (1, 2, 4, 5, 6, 7), (), notes)


def _rows(plan: Plan) -> Table:
    """Give the storm row by row; the CSV has the same for a spreadsheet."""
    system = plan.job.units
    head = ("row", "cells", "holds on its soil", "spills", "first spill", "leaves the grid")
    lines = tuple(
        (
            f"{r.row}",
            f"{r.cells}",
            units.show(r.hold, "m3.small", system),
            units.show(r.spilled, "m3.small", system),
            units.show(r.first, "s", system) if math.isfinite(r.first) else "never",
            units.show(r.leaves, "m3.small", system),
        )
        for r in by_row(plan)
    )
    note = "What spills goes to the cells below; water passed on counts in each row that it passes."
    return Table("Row by row", head, lines, (0, 1, 2, 3, 4, 5), (), (note,))


def _drains(plan: Plan) -> Table:
    system = plan.job.units
    head = ("drain", "design flow", "falls", "length", "bottom", "water", "freeboard", "top",
            "lining", "velocity", "it stands", "stones at its end")  # fmt: skip
    rows = tuple(_drain(drain, system) for drain in plan.drainage.drains)
    notes = [
        f"{d.name.capitalize()}: {d.why}; design flow is {d.of}." for d in plan.drainage.drains
    ]
    for d in plan.drainage.drains:
        if d.lead is not None:
            kind = "a ditch"
            if d.lead.kind == "pipe":
                kind = f"a pipe of {figures.small(d.lead.diameter, system)} inside"
            notes.append(
                f"From the end of the {d.name} to the outlet "
                f"{figures.rough(d.lead.length, system)} of {kind}, falling {d.lead.gradient:.0%}."
            )
    if plan.drainage.outlet is None:
        notes.append("Where the water may be let out is not named: find the place first.")
    return Table(
        f"{figures.plural(len(rows), 'drain')}, sides 2:1, dug along the contour",
        head,
        rows,
        tuple(range(1, 8)),
        (),
        tuple(notes),
    )


def _drain(drain: Drain, system: System) -> tuple[str, ...]:
    d = drain.ditch
    fall = f"{drain.gradient:.1%}"
    if drain.steepest > 1.05 * drain.gradient:
        fall += f" to {drain.steepest:.1%}"
    stands = []
    if math.isfinite(d.velocity_limit):
        stands.append(units.show(d.velocity_limit, "m/s", system))
    if math.isfinite(d.shear_limit):
        stands.append(units.show(d.shear_limit, "Pa.small", system))
    small = [figures.small(v, system) for v in (d.bottom_width, d.depth, d.freeboard, d.top_width)]
    stone = figures.small(float(drain.apron.median), system)
    return (
        f"{drain.name}, to the {drain.end}",
        units.show(drain.flow, "m3/s", system),
        fall,
        figures.rough(drain.length, system),
        *small,
        d.lining,
        units.show(d.velocity, "m/s", system),
        ", ".join(stands) or "–",
        f"{units.show(drain.stones, 'm3', system)} over {stone}",
    )
