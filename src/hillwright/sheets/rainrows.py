"""The storm row by row: for the sheet, and as a table for a spreadsheet."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from hillwright import units
from hillwright.sheets.rows import csv_text, number

if TYPE_CHECKING:
    from hillwright.plan import Plan


class RowLine(NamedTuple):
    """One row in the storm."""

    row: int
    cells: int
    hold: float  # stands on its soil before it spills [m3]
    spilled: float  # [m3]
    first: float  # when it first spills, infinite if never [s]
    leaves: float  # the grid, from this row [m3]


def by_row(plan: Plan) -> list[RowLine]:
    """Add the storm up row by row: volumes [m3], and when each first spills [s]."""
    found, row = plan.runoff, plan.layout.row
    storm = found.storm
    if storm is None:
        return []
    leaves = found.leaves.sum(axis=0)
    lines = []
    for r in np.unique(row).tolist():
        of = row == r
        lines.append(
            RowLine(
                int(r),
                int(of.sum()),
                float(storm.hold[of].sum()),
                float(storm.spilled[of].sum()),
                float(storm.first_spill[of].min()),
                float(leaves[of].sum()),
            )
        )
    return lines


def rain_csv(plan: Plan) -> str:
    """Give the storm row by row in the job's units; an empty first spill is never."""
    system = plan.job.units
    factor, unit, _ = units.shown(1.0, "m3.small", system)
    u = unit.replace("³", "3")
    head = ["row", "cells", f"hold_{u}", f"spilled_{u}", "first_spill_h", f"leaves_{u}"]
    rows = (
        [
            r.row,
            r.cells,
            *(number(v * factor) for v in (r.hold, r.spilled)),
            number(r.first / 3600),
            number(r.leaves * factor),
        ]
        for r in by_row(plan)
    )
    return csv_text(head, rows)
