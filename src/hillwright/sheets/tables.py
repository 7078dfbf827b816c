"""The tables of the sheets, as words ready to print."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from hillwright import units
from hillwright.arrays import Array, Index
from hillwright.estimate.model import Takeoff, TakeoffLine
from hillwright.layout.model import SetOut
from hillwright.sheets import figures
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

# two tapes that meet more sharply or more flatly than this make a poor point
MEET = (math.radians(30), math.radians(150))  # common practice, no source


# stakes that are no end of a row: pegs, base line, top string, outline
MARKS = ("BM-", "BL-", "TS-", "OL-")


def schedule(setout: SetOut, system: System) -> dict[str, Any]:
    """Give the row schedule: a two-storey head and one line per run of cells."""
    unit = figures.unit(system)
    third = len(setout.check) > 0
    per_end = 5 if third else 4
    groups: list[list[Any]] = [
        ["", 5],
        ["start: left end, looking uphill", per_end],
        ["end: right end", per_end],
        ["check", 3],
    ]
    head = ["line", "cells", "numbers", f"down from string [{unit}]", f"below row above [{unit}]"]
    for end in ("start", "end"):
        head += [f"{text} [{unit}]" for text in ("station", "offset", f"A to {end}", f"B to {end}")]
        head += [f"string to {end} [{unit}]"] if third else []
    head += [f"start to end, taut [{unit}]", f"along the row [{unit}]", "mark"]
    names = line_names(setout)
    rows = [[names[i], *_line(setout, i, system)] for i in range(len(setout.row))]
    return {"groups": groups, "head": head, "rows": rows}


def line_names(setout: SetOut) -> tuple[str, ...]:
    """Give the name of each line of the schedule, as stakes and plan have it."""
    return setout.line_name or tuple(f"R{row}" for row in setout.row.tolist())


def row_names(setout: SetOut) -> dict[int, str]:
    """Give the name of each row, that of its first line."""
    names: dict[int, str] = {}
    for row, name in zip(setout.row.tolist(), line_names(setout), strict=True):
        names.setdefault(row, name)
    return names


def lines_of_cells(plan: Plan) -> Index:
    """Give the line (n,) of the row schedule that each cell is of; -1 for none."""
    layout, setout = plan.layout, plan.setout
    found = np.full(len(layout.row), -1)
    for k, (row, first, count) in enumerate(
        zip(setout.row, setout.first, setout.cells, strict=True)
    ):
        number = layout.number
        found[(layout.row == row) & (number >= first) & (number < first + count)] = k
    return found


def taut(setout: SetOut) -> Array:
    """Give the straight distance (r,) from start to end of each line [m]."""
    return np.asarray(np.linalg.norm(setout.end - setout.start, axis=1))


def _line(setout: SetOut, i: int, system: System) -> list[str]:
    def ends(k: int) -> list[str]:
        third = [figures.length(float(setout.check[i, k]), system)] if len(setout.check) else []
        return [
            figures.length(float(setout.station[i, k]), system),
            offset_text(float(setout.offset[i, k]), system),
            figures.length(float(setout.tape_a[i, k]), system),
            figures.length(float(setout.tape_b[i, k]), system),
            *third,
        ]

    first, cells = int(setout.first[i]), int(setout.cells[i])
    drop = float(setout.drop[i]) if len(setout.drop) else math.nan
    return [
        str(cells),
        f"{first} to {first + cells - 1}" if cells > 1 else str(first),
        figures.length(float(setout.from_string[i]), system),
        figures.length(drop, system),
        *ends(0),
        *ends(1),
        figures.length(float(taut(setout)[i]), system),
        figures.length(float(setout.along[i]), system),
        flag(setout, i),
    ]


def offset_text(offset: float, system: System) -> str:
    """Write an offset from the base line with its side in words."""
    text = figures.length(abs(offset), system)
    if float(text.replace(",", "")) == 0:
        return "on it"
    return f"{text} {'right' if offset > 0 else 'left'}"


def flag(setout: SetOut, i: int) -> str:
    """Mark a line whose tapes make a poor start or end (W), or whose readings do not close (C)."""
    weak = (
        (setout.sigma[i] > setout.tolerance)
        | (setout.angle[i] < MEET[0])
        | (setout.angle[i] > MEET[1])
        | ~np.isfinite(setout.sigma[i])
    )
    marks = [f"W {end}" for end, poor in zip(("start", "end"), weak.tolist(), strict=True) if poor]
    if abs(float(setout.closure[i])) > setout.tolerance:
        marks.append("C")
    return ", ".join(marks)


def cumulative(width: float, most: int, system: System) -> list[list[str]]:
    """Give where each cell of a row ends, on one tape: number of cells and distance."""
    return [[str(n), figures.length(n * width, system)] for n in range(1, most + 1)]


def amount(line: TakeoffLine, system: System) -> tuple[str, str]:
    """Give how much of a line, and its unit, as the job's units show them."""
    if isinstance(line.count, int):
        return f"{line.count:,}", line.unit
    number, label, decimals = units.shown(line.count, line.unit, system)
    return f"{number:,.{decimals}f}", label


def order_rows(takeoff: Takeoff, system: System) -> list[list[str]]:
    """Give what is to be ordered or hired, and for which rows: neither hours nor work."""
    return [
        [
            in_units(line.item, system),
            amount(line, system)[0],
            *amount(to_order(line), system),
            in_units(line.each, system),
            number_ranges(sorted({row for row, _ in line.cells})),
            in_units(line.note, system),
        ]
        for line in takeoff.lines
        if line.kind not in ("labour", "work")
    ]


def to_order(line: TakeoffLine) -> TakeoffLine:
    """Give the line with what is ordered for its count; whole things stay whole."""
    most = max(line.ordered, line.count)
    return replace(line, count=math.ceil(most - 1e-9) if isinstance(line.count, int) else most)


MOST_MARKS = 60  # lines of the table of marks; an outline digitised on a screen may have hundreds


def marks(setout: SetOut, system: System) -> dict[str, Any]:
    """Give where pegs, string and outline corners stand: one line per stake that is no row's."""
    unit = figures.unit(system)
    head = ["stake", *(f"{t} [{unit}]" for t in ("station", "offset", "from A", "from B"))]
    shown = [k for k, name in enumerate(setout.stake_name) if name.startswith(MARKS)]
    rows = []
    for k in shown[:MOST_MARKS]:
        at = setout.stake[k]
        station, offset = station_offset(setout.base_line, at)
        tapes = (float(np.linalg.norm(at - p)) for p in (setout.benchmark_a, setout.benchmark_b))
        rows.append(
            [
                setout.stake_name[k],
                figures.length(station, system),
                offset_text(offset, system),
                *(figures.length(t, system) for t in tapes),
            ]
        )
    more = len(shown) - len(rows)
    return {"head": head, "rows": rows, "more": f"{more} more in stakes.csv." if more > 0 else ""}


def number_ranges(numbers: list[int]) -> str:
    """Write numbers as ranges, as in "1 to 4, 6"."""
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(f"{p[0]} to {p[-1]}" if len(p) > 1 else str(p[0]) for p in parts)


def cell_numbers(numbers: list[int]) -> str:
    """Write which cells of a row, as in "cells 1 to 4, 6" or "cell 12"."""
    return f"{'cell' if len(numbers) == 1 else 'cells'} {number_ranges(numbers)}"


def spot_rows(plan: Plan) -> list[list[str]]:
    """Give the places to smooth, with what a tape finds them by."""
    system, setout = plan.opened.job.units, plan.setout
    rows = []
    for spot in plan.surface.spots:
        z = float(plan.surface.ground.at(np.array([spot.x]), np.array([spot.y]))[0][0])
        at = np.array([spot.x, spot.y, z])
        station, offset = station_offset(setout.base_line, at)
        rows.append(
            [
                str(spot.number),
                "dip" if spot.fill > spot.trim else "hump",
                figures.small(spot.depth, system),
                figures.length(float(np.linalg.norm(at - setout.benchmark_a)), system),
                figures.length(float(np.linalg.norm(at - setout.benchmark_b)), system),
                figures.length(station, system),
                offset_text(offset, system),
                units.show(spot.area, "m2", system),
                _volume(spot.trim, system),
                _volume(spot.fill, system),
            ]
        )
    return rows


def _volume(value: float, system: System) -> str:
    if value <= 0:
        return "–"
    # a spot is a few buckets: cubic feet or litres are what a person can picture
    return f"{value / 0.3048**3:.1f} ft³" if system == "us" else f"{1000 * value:.0f} L"


def station_offset(base_line: Array, at: Array) -> tuple[float, float]:
    """Give the level station along the base line and the offset right of it (left negative) [m]."""
    start, end = base_line[0, :2], base_line[1, :2]
    u = (end - start) / np.hypot(*(end - start))
    d = np.asarray(at)[:2] - start
    return float(d @ u), float(d[0] * u[1] - d[1] * u[0])
