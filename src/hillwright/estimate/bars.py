"""Bars for anchors and stakes, each traced to the cell that hangs from it."""

from __future__ import annotations

import numpy as np

from hillwright.estimate.model import TakeoffLine
from hillwright.estimate.trace import by_row, named
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.stability.model import Anchoring

HEAD = 4 * 0.0254  # of a bar above the ground, as data/bars.toml has it [m]


def bar_line(layout: Layout, bars: Anchoring, holding: Holding) -> tuple[TakeoffLine, Working]:
    """Count the bars of row 1 and of the staked rows.

    Parameters
    ----------
    layout, bars, holding
        The cells, what they hang from, and what steel the job asks for.
    """
    heads = np.flatnonzero(bars.count)
    first = int(bars.count[layout.row == 1].sum())
    total = int(bars.count.sum())
    line = TakeoffLine(
        "bar for anchors and stakes",
        total,
        "each",
        f"No. {bars.bar} reinforcing bar, grade {holding.grade}, {holding.steel}, "
        f"{bars.length + HEAD:.4f} m long: {bars.length:.4f} m in the ground",
        named(layout, heads),
        f"row 1: {first:,}, other rows: {total - first:,}"
        + ("; order after the pull test" if bars.test_load else ""),
        group="bars",
        works=("anchors", "stake"),
        rows=by_row(layout, bars.count),
        pieces=((float(bars.length + HEAD), total),),
        figure="takeoff.bars",
    )
    working = Working(
        "takeoff.bars",
        "Bars for anchors and stakes",
        "bars = sum of the bars of each cell that hangs from its own",
        (Number("cells", len(heads), "-"), Number("in row 1", first, "-")),
        Number("count", total, "-"),
        "count of the cells laid (exact)",
    )
    return line, working
