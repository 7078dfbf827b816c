"""The sheet of what holds the hill and the cells on it: every check, in the order of the work."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.answers.hold import CAUTION
from hillwright.arrays import Index
from hillwright.sheets.blocks import Block, RoomSheet, Table, Text
from hillwright.sheets.factor_map import factor_map
from hillwright.stability.model import CheckRow, Reason, Stability
from hillwright.units import System
from hillwright.wording import factor_text, in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

_HEAD = ("check", "demand", "capacity", "factor", "required", "", "note", "required by")


def hold_sheet(plan: Plan) -> RoomSheet:
    """Set the verdict, what to do, and the checks of the hill, the grid and the rows."""
    found, system = plan.stability, plan.opened.job.units
    blocks: list[Block] = []
    stops = [*found.hill, *found.grid, *found.site]
    if stops:
        blocks.append(Text("Ask first", tuple(_asked(r, system) for r in stops), True, True))
    blocks += [
        Text("Beware", (CAUTION,), strong=True),
        Text("What must be done", tuple(in_units(m, system) for m in found.measures), listed=True),
        factor_map(plan),
        _checks("The hill", found.slope_checks, system, _soil(found, system)),
        _checks("The cells and what they hang from", found.grid_checks, system, ()),
        _rows(plan, system),
    ]
    return RoomSheet("What holds the hill", tuple(blocks))


def _asked(reason: Reason, system: System) -> str:
    verb = "STOP" if reason.verdict == "stop" else "Mind"
    said = in_units(reason.condition, system)
    return f"{verb}: {said}. Ask {reason.who}. ({reason.source})"


def _checks(
    heading: str, checks: tuple[CheckRow, ...], system: System, notes: tuple[str, ...]
) -> Table:
    rows = tuple(
        (
            in_units(row.what, system),
            _figure(row.demand, row.unit, system),
            _figure(row.capacity, row.unit, system),
            factor_text(row.factor),
            f"{row.required:g}",
            "holds" if row.passed else "FAILS",
            in_units(row.note, system),
            row.source,
        )
        for row in checks
    )
    return Table(heading, _HEAD, rows, (1, 2, 3, 4), (1.5, 0, 0, 0, 0, 0, 1.4, 1.3), notes)


def _figure(value: float, unit: str, system: System) -> str:
    if not math.isfinite(value):
        return "–"
    return units.show(value, "m.small" if unit == "m" else unit, system)


def _soil(found: Stability, system: System) -> tuple[str, ...]:
    soil = found.soil or "Not said: drawn as loose fine sand"
    depth = units.show(found.depth, "m", system)
    return (
        f"Soil: {soil}, {depth} over firm ground{'' if found.depth_known else ' (not measured)'}. "
        f"{found.soil_source}{''.join(f'; {note}' for note in found.soil_notes)}.",
        f"The layer slides parallel to the ground; {_wet(found)}. Slip circles by Bishop's method, "
        "the weakest by Spencer's too: the lower counts. No anchor is counted to hold the hill, no "
        "root, no suction, and no undrained strength.",
    )


def _wet(found: Stability) -> str:
    if found.soaked > 0.999:
        return "soaked, water flows in it up to the ground and in the cells"
    return f"soaked, water flows in {100 * found.soaked:.0f} % of its depth (soil.soaked)"


def _rows(plan: Plan, system: System) -> Table:
    """Give row by row what hangs and how many bars hold it."""
    bars, layout = plan.stability.anchoring, plan.layout
    rows = []
    for row in range(1, layout.rows + 1):
        mine = layout.row == row
        count = bars.count[mine]
        with_bars = int((count > 0).sum())
        most = float(bars.held[mine].max(initial=0.0))
        rows.append(
            (
                f"R{row:02d}",
                f"{int(mine.sum())}",
                f"{int(count.sum())}" if with_bars else "–",
                _spread(count[count > 0]) if with_bars else "hangs by its clips",
                units.show(float(bars.pull[2, mine].max(initial=0.0)), "N", system),
                units.show(most, "N", system) if with_bars else "–",
            )
        )
    head = (
        "row",
        "cells",
        "bars",
        "at each cell that has bars",
        "a soaked cell pulls at most",
        "bars of a cell carry at most",
    )
    heading = "Bars row by row"
    if bars.bar:
        heading += f": No. {bars.bar}, {units.show(bars.length, 'm', system)} in the ground"
    note = (
        "Bars stand evenly along the upper edge of a cell: one at its middle, two a quarter of the "
        "edge from its ends, three a sixth from its ends and at the middle."
    )
    return Table(heading, head, tuple(rows), (1, 2, 4, 5), notes=(note,))


def _spread(count: Index) -> str:
    low, high = int(count.min()), int(count.max())
    return f"{low}" if low == high else f"{low} to {high}"
