"""What the sheets say in plain words: how to set out, how to check it, what to beware of."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array
from hillwright.layout.model import Layout, SetOut
from hillwright.sheets import figures
from hillwright.units import System

if TYPE_CHECKING:
    from hillwright.plan import Plan

# common practice, no source; local rules and licensed people come first
CAUTIONS = (
    "Call before you dig: have the local utility locating service mark buried lines before any "
    "stake or anchor is driven.",
    "Not a boundary survey. Only a licensed surveyor can say where a property ends.",
    "Hill, anchors and stakes: the checks stand on the sheet of what holds the hill. A licensed "
    "geotechnical engineer decides before anything is ordered or loaded.",
    "Steep ground: sure footing for everyone, nobody straight below the work, stop when it is wet.",
)

# on every sheet of a plan that says stop
STOPPED = (
    "STOP: not to be built or ordered before those whom the list of this set names have cleared it."
)

INCHES = (
    "On a tape in feet and inches: 0.01 ft is 1/8 in, 0.02 is 1/4, 0.04 is 1/2, 0.06 is 3/4, "
    "0.08 is 1 in, 0.17 is 2, 0.25 is 3, 0.33 is 4, 0.42 is 5, 0.50 is 6, 0.58 is 7, 0.67 is 8, "
    "0.75 is 9, 0.83 is 10, 0.92 is 11."
)


MARKS = (
    "BM: pegs A and B. BL: ends of the base line. TS: top string, from its left end. OL: corners "
    "of the outline, as on the plan."
)


def stops(plan: Plan) -> list[str]:
    """Give what says stop, in the order of the questions."""
    return [a.short for a in plan.answers if a.verdict == "stop"]


def stop_text(plan: Plan) -> str:
    """Write what says stop as a text of its own, with whom to ask."""
    stopped = (a for a in plan.answers if a.verdict == "stop")
    said = [f"STOP. {a.question}\n{a.short}\n{a.caution}\n" for a in stopped]
    first = "Nothing is to be built or ordered before those named here have cleared it.\n"
    return "\n".join([first, *said])


def _asked(layout: Layout) -> list[str]:
    if not layout.all_rows:
        return []
    return [f"Only so many rows are asked for; with all that fit, {layout.all_rows:,} cells:"]


def plan_facts(plan: Plan) -> list[str]:
    """Say what was laid, how many more could fit, and on what ground."""
    layout, surface, system = plan.layout, plan.surface, plan.opened.job.units
    cell = layout.cell
    gap = layout.bound - layout.fitted
    bound = (
        "No placing of this grid with its rows in this direction holds more."
        if gap <= 0
        else f"Proven bound with the rows in this direction: {layout.bound:,}, so at most "
        f"{figures.plural(gap, 'cell')} more."
    )
    bond = "each row half a cell aside" if cell.half_offset else "stacked straight down the slope"
    return [
        f"{figures.plural(layout.count, 'whole cell')} in {figures.plural(layout.rows, 'row')}.",
        *_asked(layout),
        f"{bound} By area alone, in any direction: {layout.area_bound:,}.",
        f"Cell {figures.size(cell.width, system)} along the row, "
        f"{figures.size(cell.run, system)} down the slope, "
        f"{figures.size(cell.depth, system)} deep; {bond}.",
        f"Row 1 hangs on {layout.top}.",
        f"Mean slope {figures.slope(surface.slope_mean)}; steepest cell-sized place "
        f"{figures.slope(surface.slope_steepest)}.",
    ]


def steps(setout: SetOut, system: System) -> list[str]:
    """Tell two people with two tapes how to set the rows out."""
    ab = float(np.linalg.norm(setout.benchmark_b - setout.benchmark_a))
    unit, tolerance = figures.unit(system), figures.small(setout.tolerance, system)
    return [
        "Have buried lines marked first (local utility locating service). Walk the slope "
        "together; agree where nobody stands while someone works above.",
        "Find pegs A and B. To drive one, hook a tape on each of two outline corners far apart: "
        'it stands where both read their "from A" (or "from B") in the table of pegs; check from '
        "a third corner. Tape from A to B along the "
        f"slope, taut and off the ground: {figures.length(ab, system)} {unit}. More than "
        f"{tolerance} off: stop, a peg has moved or is not the right one.",
        "Hook one tape on A and the other on B. Both are read at the ground, straight through "
        "the air, not along the bumps.",
        f'Start of a row (its left end, looking uphill): pull tape A to "A to start" and tape B '
        f'to "B to start". Where both readings meet, {_side(setout)}, drive a stake and write '
        "the row on it.",
        'End of the row (its right end): the same with "A to end" and "B to end".',
        f'Check before the next row: a taut tape must read "start to end". More than '
        f"{tolerance} off: pull both ends again; do not share the difference out.",
        "A point marked W: the two tapes meet too sharply for a good point. Set it by station "
        "and offset from the base line instead.",
        "String start to end. Lay the cells from the left, upper edge on the string. Read every "
        "cell off one tape lying along the row (table of cumulative distances), never from cell "
        "to cell: small errors add up.",
        'Check each row against the one above: "below row above" is the level difference to it '
        '(none where no cell lies above the start), "down from string" the slope distance from '
        "the top string to the start.",
    ]


def square_text(setout: SetOut, system: System) -> list[str]:
    """State the diagonals of the first block of cells, which tell whether it is square."""
    if len(setout.diagonals) < 2:
        return []
    one, other = (figures.length(float(v), system) for v in setout.diagonals)
    return [
        f"Square: {setout.square_note}: upper left to lower right {one}, upper right to lower left "
        f"{other} {figures.unit(system)}."
    ]


def _side(setout: SetOut) -> str:
    """Say on which side of the line from A to B the points lie; two circles meet twice."""
    sides = _sides(setout, setout.start) | _sides(setout, setout.end)
    if sides == {"left"}:
        return "on your left as you stand at A and look at B"
    if sides == {"right"}:
        return "on your right as you stand at A and look at B"
    return "on the side of the line A to B that the plan shows"


def _sides(setout: SetOut, points: Array) -> set[str]:
    a, b = setout.benchmark_a[:2], setout.benchmark_b[:2]
    way = b - a
    cross = way[0] * (points[:, 1] - a[1]) - way[1] * (points[:, 0] - a[0])
    return {"left" if c > 0 else "right" for c in cross.tolist()}


def closure_text(setout: SetOut, system: System) -> str:
    """State the closure check of the printed tape readings."""
    worst = float(np.abs(setout.closure).max()) if len(setout.closure) else 0.0
    verdict = "within" if worst <= setout.tolerance else "OUTSIDE"
    return (
        f"Closure: start to end worked out from the printed readings differs from the true length "
        f"by at most {figures.small(worst, system)}, {verdict} the "
        f"{figures.small(setout.tolerance, system)} that a stake is set to."
    )
