"""Plan to CSV: stakes for a total station, rows, cells and takeoff for a spreadsheet."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.estimate.model import TakeoffLine
from hillwright.layout.model import Layout
from hillwright.sheets import figures, tables
from hillwright.sheets.view import survey_xy
from hillwright.stability.model import Anchoring
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

DECIMALS = 3  # a millimetre, or a third of one in feet: finer than any stake


def stakes_csv(plan: Plan) -> str:
    """Give the stakes in the survey's own numbers, in the order that instruments read."""
    setout, frame = plan.setout, plan.site.frame
    xy = survey_xy(frame, setout.stake)
    z = setout.stake[:, 2] / frame.z_unit
    return _csv(
        ("point", "northing", "easting", "elevation", "description"),
        (
            (name, _n(n), _n(e), _n(h), note)
            for name, (e, n), h, note in zip(
                setout.stake_name, xy.tolist(), z.tolist(), setout.stake_note, strict=True
            )
        ),
    )


def bars_csv(plan: Plan) -> str:
    """Give every anchor and stake that holds cells, in the survey's own numbers."""
    bars, layout, frame = plan.stability.anchoring, plan.layout, plan.site.frame
    xy = survey_xy(frame, bars.place)
    z = bars.place[:, 2] / frame.z_unit
    names = bar_names(bars, layout)
    deep = in_units(f"No. {bars.bar} bar, {bars.length:.4f} m in the ground", plan.opened.job.units)
    small = units.shown(0.0, "m.small", plan.opened.job.units)[1]
    factor = units.shown(1.0, "m.small", plan.opened.job.units)[0]
    corner = layout.corners[bars.place_cell, 0] if len(bars.place) else bars.place
    along = np.linalg.norm(bars.place - corner, axis=1) * factor
    head = ("point", "northing", "easting", "elevation", "row", "number")
    return _csv(
        (*head, f"from_left_corner_{small}", "description"),
        (
            (name, _n(n), _n(e), _n(h), int(layout.row[i]), int(layout.number[i]), f"{a:.1f}", deep)
            for name, (e, n), h, i, a in zip(
                names,
                xy.tolist(),
                z.tolist(),
                bars.place_cell.tolist(),
                along.tolist(),
                strict=True,
            )
        ),
    )


def bar_names(bars: Anchoring, layout: Layout) -> list[str]:
    """Name each bar by its row, its cell and its place from the left: "R03-7-2"."""
    cell = bars.place_cell
    first = np.searchsorted(cell, cell)  # bars stand cell by cell
    place = np.arange(len(cell)) - first + 1
    return [
        f"R{row:02d}-{number}-{k}"
        for row, number, k in zip(
            layout.row[cell].tolist(), layout.number[cell].tolist(), place.tolist(), strict=True
        )
    ]


def rows_csv(plan: Plan) -> str:
    """Give the row schedule in the job's units; offsets right of the base line are positive."""
    s, system = plan.setout, plan.opened.job.units
    u = figures.unit(system)
    head = ["line", "row", "cells", "first", "last", f"from_string_{u}"]
    for end in ("start", "end"):
        head += [f"{what}_{end}_{u}" for what in ("station", "offset", "tape_a", "tape_b")]
        head += [f"meet_{end}_deg", f"sigma_{end}_{u}"]
    head += [f"start_to_end_{u}", f"along_{u}", f"closure_{u}", "mark"]

    def length(value: float) -> str:
        return _n(units.shown(float(value), "m", system)[0])

    rows = []
    names, taut = tables.line_names(s), tables.taut(s)
    for i in range(len(s.row)):
        first = int(s.first[i])
        row = [int(s.row[i]), int(s.cells[i]), first, first + int(s.cells[i]) - 1]
        line = [names[i], *map(str, row), length(s.from_string[i])]
        for k in (0, 1):
            line += [length(a[i, k]) for a in (s.station, s.offset, s.tape_a, s.tape_b)]
            line += [f"{np.degrees(s.angle[i, k]):.2f}", length(s.sigma[i, k])]
        rows.append(
            [*line, length(taut[i]), length(s.along[i]), length(s.closure[i]), tables.flag(s, i)]
        )
    return _csv(head, rows)


def takeoff_csv(plan: Plan) -> str:
    """Give the takeoff, each count with the cells that it came from ("R3: 1 to 8, 10").

    What is to be ordered has waste and spares in it; of hours and of work nothing is ordered.
    """
    system = plan.opened.job.units
    return _csv(
        ("item", "count", "to order", "unit", "each", "note", "cells"),
        (
            (
                in_units(line.item, system),
                # a spreadsheet adds no text: no commas
                *(text.replace(",", "") for text in _amounts(line, system)),
                in_units(line.each, system),
                in_units(line.note, system),
                _cells(line.cells),
            )
            for line in plan.takeoff.lines
        ),
    )


def _amounts(line: TakeoffLine, system: System) -> tuple[str, str, str]:
    used, unit = tables.amount(line, system)
    bought = line.kind not in ("labour", "work")
    return used, tables.amount(tables.to_order(line), system)[0] if bought else "", unit


def cells_csv(plan: Plan) -> str:
    """Give every cell: where its corners lie (survey's numbers) and how it lies on the ground."""
    layout, frame, system = plan.layout, plan.site.frame, plan.opened.job.units
    small = units.shown(0.0, "m.small", system)[1]
    head = ["row", "number", "panel", "anchored", "trimmed"]
    for corner in ("upper_left", "upper_right", "lower_right", "lower_left"):
        head += [f"{corner}_{axis}" for axis in ("easting", "northing", "elevation")]
    head += ["off_square_deg", f"corner_off_{small}", f"void_{small}", f"hump_{small}"]
    head += ["bend_deg", "run_slope_deg", "cross_slope_deg"]
    xy = survey_xy(frame, layout.corners)
    corners = np.concatenate([xy, layout.corners[..., 2:] / frame.z_unit], axis=-1)
    factor = units.shown(1.0, "m.small", system)[0]
    figures_ = np.column_stack(
        [
            np.degrees(layout.shear),
            layout.twist * factor,
            layout.gap * factor,
            layout.hump * factor,
            np.degrees(layout.bend),
            np.degrees(layout.run_slope),
            np.degrees(layout.cross_slope),
        ]
    )
    names = np.column_stack([layout.row, layout.number, layout.panel]).tolist()
    flags = np.column_stack([layout.anchored, layout.trimmed]).astype(int).tolist()
    rows = (
        [*name, *flag, *(_n(v) for v in corner), *(f"{v:.2f}" for v in figure)]
        for name, flag, corner, figure in zip(
            names, flags, corners.reshape(-1, 12).tolist(), figures_.tolist(), strict=True
        )
    )
    return _csv(head, rows)


def number(value: float) -> str:
    """Write a number as the tables do; nothing for one that nobody knows."""
    return _n(value)


def csv_text(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a table as the others are written."""
    return _csv(head, rows)


def _cells(cells: tuple[tuple[int, int], ...]) -> str:
    rows: dict[int, list[int]] = {}
    for row, number in sorted(set(cells)):
        rows.setdefault(row, []).append(number)
    return "; ".join(f"R{row}: {tables.number_ranges(numbers)}" for row, numbers in rows.items())


def _n(value: float) -> str:
    if not math.isfinite(value):
        return ""  # a height that nobody measured
    text = f"{value:.{DECIMALS}f}"
    return text[1:] if float(text) == 0 and text.startswith("-") else text


def _csv(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()
