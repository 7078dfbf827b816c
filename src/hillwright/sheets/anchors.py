"""The anchor and stake plan: every bar that cells hang from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright.sheets import cells, figures, ground, lines, tables
from hillwright.sheets.blocks import RoomSheet, Table, Text
from hillwright.sheets.drawing import Drawing
from hillwright.sheets.pages import Sheet
from hillwright.sheets.plan_sheet import plan_sheet
from hillwright.sheets.setout import plan_page
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

CAUTION = (
    "Have buried lines marked before a bar is driven; dig by hand beside the marks.",
    "Bars are driven only where the plan shows them and as deep as it says. One that stops short, "
    "turns or draws out is told to whoever cleared the plan, not cut off.",
    "Nobody stands below a row that is being hung. A licensed engineer decides what holds.",
)


def anchor_sheets(plan: Plan) -> tuple[Sheet, ...]:
    """Give the plan of the bars and the table of them by row; none where nothing hangs."""
    bars, system = plan.stability.anchoring, plan.opened.job.units
    if not len(bars.place):
        return ()
    deep = in_units(f"{bars.length:.4f} m", system)
    notes = (
        f"{len(bars.place)} No. {bars.bar} bars, {deep} in the ground, square to the slope or "
        "leaning uphill; centre to centre along a row at least "
        f"{figures.small(bars.spacing, system)}.",
        *(in_units(m, system) for m in plan.stability.measures),
    )
    drawn = plan_sheet(plan, _draw)
    page = plan_page(
        plan, drawn, "Anchor and stake plan", "Plan of the bars that the cells hang from", notes
    )
    table = RoomSheet(
        "Bars row by row",
        (
            _by_row(plan),
            Text("What holds", notes, listed=True),
            Text("Before a bar is driven", CAUTION, listed=True),
        ),
    )
    return (page, table)


def _draw(d: Drawing, plan: Plan) -> None:
    layout, surface = plan.layout, plan.surface
    rings = ground.near_exclusions(plan.site, surface.outline)
    ground.draw_exclusions(d, rings)
    lines.draw_outline(d, surface)
    cells.draw_cells(d, layout)
    cells.draw_bars(d, layout, plan.stability.anchoring)
    cells.draw_seams(d, layout)
    lines.draw_top_string(d, layout)
    d.keep_clear(layout.top_string)
    d.keep_clear(np.concatenate([surface.outline, surface.outline[:1]]))
    cells.name_rows(d, layout, plan.setout)
    cells.number_cells(d, layout)
    ground.name_exclusions(d, rings)
    lines.draw_benchmarks(d, plan.setout)


def _by_row(plan: Plan) -> Table:
    bars, layout, system = plan.stability.anchoring, plan.layout, plan.opened.job.units
    names = tables.row_names(plan.setout)
    deep = in_units(f"{bars.length:.4f} m", system)
    rows = []
    for row in np.unique(layout.row[bars.count > 0]).tolist():
        mine = np.flatnonzero((layout.row == row) & (bars.count > 0))
        each = sorted({int(n) for n in bars.count[mine]})
        rows.append(
            (
                names.get(row, f"R{row}"),
                "anchors" if row == 1 else "stakes",
                str(int(bars.count[mine].sum())),
                tables.number_ranges(layout.number[mine].tolist()),
                " or ".join(str(n) for n in each),
                f"No. {bars.bar}, {deep}",
                "",
            )
        )
    notes = ("Each bar by its name and place stands in files/bars.csv, for a total station.",)
    head = ("row", "what", "bars", "at cells", "to a cell", "bar, depth", "driven on, by whom")
    return Table("Bars row by row", head, tuple(rows), (2,), (0, 0, 0, 1, 0, 0, 1), notes)
