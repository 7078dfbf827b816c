"""The form for what was really built: on paper for the hill, as a table for the job."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.after.built import name, planned_places
from hillwright.job.built import COLUMNS
from hillwright.sheets.blocks import Block, RoomSheet, Table, Text
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

_TAGS = {"each": "-", "m3": "m3", "s": "s"}
_HOW = (
    "Fill this in on the hill, row by row, as the work goes on. Strike through what was not set.",
    "Bars: write the load at which each tested bar still stood without moving. A bar that moves "
    "below the load asked for: stop, nobody below, ask.",
    "Soil: loose, by the bucket or barrow. Hours: of all people at that work together.",
    "Then copy it into files/as-built.csv (what is blank counts as not recorded yet), put that "
    'beside the job, write [built] record = "as-built.csv" into the job, and plan again.',
)


def _planned(plan: Plan) -> dict[str, dict[tuple[str, ...], float]]:
    held, drip = plan.stability.anchoring, plan.irrigation
    return planned_places(plan.layout, plan.fill, held, drip, plan.work)


def _shown(kind: str, value: float, system: units.System) -> str:
    if kind in ("cell", "bar"):
        return "yes"
    if kind == "emitter":
        return f"{value:.0f}"
    return units.show(value, "m3" if kind == "soil" else "s", system)


def built_csv(plan: Plan) -> str:
    """Give the form as a table: what is planned, and room for what is built."""
    system, out = plan.opened.job.units, io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for kind, places in _planned(plan).items():
        for place, value in places.items():
            shown = _shown(kind, value, system).replace("³", "3")
            writer.writerow((kind, name(kind, place), shown, "", "", ""))
    return out.getvalue()


def built_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the form for the hill and, once there is a record, planned beside built."""
    if not len(plan.layout.row):
        return ()
    form = RoomSheet("What was really built", (_how(plan), *_forms(plan)))
    return (*_beside(plan), form)


def _how(plan: Plan) -> Text:
    load = plan.stability.anchoring.test_load
    asked = in_units(f"Load that a tested bar must stand: {load:.0f} N.", plan.opened.job.units)
    return Text("How to fill it in", (*_HOW, *((asked,) if load else ())), listed=True)


def _forms(plan: Plan) -> tuple[Block, ...]:
    """Give a line for each row with its bars, and one for each kind of work."""
    system, planned = plan.opened.job.units, _planned(plan)
    rows = []
    for row in range(1, plan.layout.rows + 1):
        key = str(row)
        numbers = [int(n) for r, n in planned["cell"] if r == key]
        emitters = sum(v for (r, _), v in planned["emitter"].items() if r == key)
        soil = planned["soil"].get((key,), 0.0)
        bars = sum(p[0] == key for p in planned["bar"])
        rows.append(
            (
                f"R{row:02d}",
                f"1 to {max(numbers)}" if numbers else "",
                "",
                str(bars) if bars else "",
                "",
                "",
                _shown("soil", soil, system),
                "",
                f"{emitters:.0f}" if emitters else "",
                "",
            )
        )
    head = ("row", "cells planned", "not laid (numbers)", "bars planned", "not set (names)",
            "pull tests: bar, load", "soil planned", "soil put in", "emitters planned",
            "emitters other (cell, count)")  # fmt: skip
    widths = (0, 0, 1.2, 0, 1.2, 2.0, 0, 1.0, 0, 1.4)
    table = Table("Row by row", head, tuple(rows), (3, 8), widths)
    works = tuple(
        (place[0], next(w.name for w in plan.work.works if w.id == place[0]),
         _shown("hours", value, system), "", "")
        for place, value in planned["hours"].items()
    )  # fmt: skip
    hours = Table("Hours at work", ("kind", "work", "planned", "hours", "note"), works, (2,),
                  (0, 1.5, 0, 0.7, 2.0))  # fmt: skip
    return (table, *((hours,) if works else ()))


def _beside(plan: Plan) -> tuple[RoomSheet, ...]:
    built, system = plan.built, plan.opened.job.units
    if not built.file:
        return ()

    def said(value: float, unit: str) -> str:
        return f"{value:,.0f}" if unit == "each" else units.show(value, _TAGS[unit], system)

    rows = tuple(
        (c.name, said(c.planned, c.unit), said(c.recorded, c.unit), said(c.built, c.unit))
        for c in built.counts
    )
    head = ("what", "planned, all", "planned, of what is recorded", "built")
    counts = Table("Planned beside built", head, rows, (1, 2, 3), (1, 0, 0, 0),
                   (f"From {built.file}.",))  # fmt: skip
    differences = tuple(
        (str(d.question), d.gravity, in_units(d.what, system), in_units(d.right, system))
        for d in built.differences
    )
    table = Table("What follows", ("question", "weight", "difference", "what to do"),
                  differences or (("", "", "Nothing that matters.", ""),), (0,),
                  (0, 0, 1.2, 1.5))  # fmt: skip
    return (RoomSheet("Planned beside built", (counts, table)),)
