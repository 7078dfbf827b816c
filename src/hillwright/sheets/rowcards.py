"""Row cards: one card a row, to be read at arm's length outdoors."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hillwright import units
from hillwright.arrays import Index
from hillwright.planting.model import WALKING
from hillwright.sheets import figures, tables
from hillwright.sheets.pages import Page
from hillwright.sheets.plantcodes import plant_codes
from hillwright.units import System
from hillwright.wording import in_units, plural

if TYPE_CHECKING:
    from hillwright.plan import Plan

MOST_CELLS = 36  # drawn on one card; a longer row goes on over a second one


def row_cards(plan: Plan) -> tuple[Page, ...]:
    """Give a card for each row: where it goes, and all that is done to it."""
    layout = plan.layout
    cards = []
    for row in np.unique(layout.row).tolist():
        cells = np.flatnonzero(layout.row == row)
        parts = [cells[k : k + MOST_CELLS] for k in range(0, len(cells), MOST_CELLS)]
        cards += [_card(plan, row, part, k, len(parts)) for k, part in enumerate(parts)]
    return (Page("cards", "Row card", "", {"cards": cards}, {}, "wide"),) if cards else ()


def _card(plan: Plan, row: int, cells: Index, part: int, parts: int) -> dict[str, Any]:
    layout, system = plan.layout, plan.opened.job.units
    whole = int((~layout.trimmed[cells]).sum())
    cut = int(layout.trimmed[cells].sum())
    what = figures.plural(whole, "whole cell") + (f" and {cut} to trim" if cut else "")
    name = tables.row_names(plan.setout).get(row, f"R{row}")
    place = f"row {row} of {layout.rows} from the top"
    if parts > 1:
        place += f"; card {part + 1} of {parts}"
    lines = [i for i in range(len(plan.setout.row)) if plan.setout.row[i] == row]
    return {
        "name": name,
        "what": what,
        "place": place,
        "lines": [_line(plan, i, system) for i in lines] if part == 0 else [],
        "string": _string(plan, lines, system) if part == 0 else [],
        "cells": _cells(plan, cells),
        "key": _key(plan, cells),
        "todo": _todo(plan, cells, system),
    }


def _line(plan: Plan, i: int, system: System) -> dict[str, Any]:
    s, unit = plan.setout, figures.unit(system)
    name = tables.line_names(s)[i]
    first, count = int(s.first[i]), int(s.cells[i])
    numbers = f"cell {first}" if count == 1 else f"cells {first} to {first + count - 1}"
    reads = [
        (f"{tape} to {end} [{unit}]", figures.length(float(values[i, k]), system))
        for k, end in enumerate(("start", "end"))
        for tape, values in (("A", s.tape_a), ("B", s.tape_b))
    ]
    reads.append((f"start to end [{unit}]", figures.length(float(tables.taut(s)[i]), system)))
    flag = tables.flag(s, i)
    return {
        "what": f"{numbers}, from stake to stake" + (f" ({flag})" if flag else ""),
        "stakes": f"{name}-S to {name}-E",
        "reads": [list(r) for r in reads],
    }


def _string(plan: Plan, lines: list[int], system: System) -> list[str]:
    if not lines:
        return []
    i, s, unit = lines[0], plan.setout, figures.unit(system)
    down = figures.length(float(s.from_string[i]), system)
    said = [
        "S is the left end, looking uphill. Upper edges on the string; lay from the left.",
        f"Down the slope from the top string to S: {down} {unit}.",
    ]
    if len(s.drop) and np.isfinite(s.drop[i]):
        said.append(
            f"S lies {figures.length(float(s.drop[i]), system)} {unit} below the row above (level)."
        )
    if any(tables.flag(s, k) for k in lines):
        said.append("W: set it by station and offset (row schedule). C: readings do not close.")
    return [" ".join(said)]


def _cells(plan: Plan, cells: Index) -> list[dict[str, Any]]:
    layout, planting, bars = plan.layout, plan.planting, plan.stability.anchoring
    codes = plant_codes(planting)
    there = len(planting.use) > 0
    found = []
    for i in cells.tolist():
        plant = int(planting.plant[i]) if there else -1
        found.append(
            {
                "number": str(int(layout.number[i])),
                "cut": bool(layout.trimmed[i]),
                "bars": int(bars.count[i]) if len(bars.count) else 0,
                "walk": bool(there and planting.use[i] == WALKING),
                "plant": codes[plant] if plant >= 0 else "",
            }
        )
    return found


def _key(plan: Plan, cells: Index) -> str:
    said = ["Each box a cell, as seen looking uphill: number, letters of its plant"]
    if plan.stability.anchoring.count[cells].any():
        said.append("heavy upper edge and n ×: hangs from n bars")
    if len(plan.planting.use) and (plan.planting.use[cells] == WALKING).any():
        said.append("one stroke: walking cell")
    if plan.layout.trimmed[cells].any():
        said.append("crossed: to be cut to fit")
    return "; ".join(said) + "."


def _todo(plan: Plan, cells: Index, system: System) -> list[tuple[str, str]]:
    return [
        t
        for t in (
            _trim(plan, cells),
            _clips(plan, cells),
            _bars(plan, cells, system),
            *_fill(plan, cells, system),
            _plants(plan, cells),
            _drip(plan, cells, system),
        )
        if t[1]
    ]


def _trim(plan: Plan, cells: Index) -> tuple[str, str]:
    layout = plan.layout
    cut = layout.number[cells[layout.trimmed[cells]]].tolist()
    return "Trim", f"{tables.cell_numbers(cut)}: cut to fit in place" if cut else ""


def _clips(plan: Plan, cells: Index) -> tuple[str, str]:
    """Count the clips along the row and up to the rows above."""
    layout = plan.layout
    each = layout.cell.clips_per_edge
    pairs = layout.clips.reshape(-1, 2)
    row = layout.row[pairs]
    mine = np.isin(pairs, cells)
    along = int((mine[:, 0] & mine[:, 1] & (row[:, 0] == row[:, 1])).sum())
    lower = np.where(row[:, 0] > row[:, 1], mine[:, 0], mine[:, 1])
    up = int((lower & (row[:, 0] != row[:, 1])).sum())
    if not along + up:
        return "Clips", ""
    above = f" and {up * each} up to the row above" if up else ""
    return "Clips", f"{along * each} along the row{above} ({each} to an edge)"


def _bars(plan: Plan, cells: Index, system: System) -> tuple[str, str]:
    bars, layout = plan.stability.anchoring, plan.layout
    mine = cells[bars.count[cells] > 0] if len(bars.count) else cells[:0]
    if not len(mine) or not bars.bar:
        return "Bars", ""
    deep = in_units(f"{bars.length:.4f} m", system)
    kind = "anchors" if int(layout.row[mine[0]]) == 1 else "stakes"
    test = " Only after the pull test." if bars.test_load else ""
    return "Bars", (
        f"{int(bars.count[mine].sum())} {kind}, No. {bars.bar}, {deep} deep, at "
        f"{tables.cell_numbers(layout.number[mine].tolist())}.{test}"
    )


def _fill(plan: Plan, cells: Index, system: System) -> list[tuple[str, str]]:
    fill, layout = plan.fill, plan.layout
    found = []
    for k, mix in enumerate(fill.mixes):
        mine = cells[(fill.mix[cells] == k) & (fill.loose[cells] > 0)]
        if not len(mine):
            continue
        loose = float(fill.loose[mine].sum())
        where = (
            "every cell"
            if len(mine) == len(cells)
            else tables.cell_numbers(layout.number[mine].tolist())
        )
        each = units.show(loose / len(mine), "m3.small", system)
        lip = figures.small(float(np.median(fill.lip[mine])), system)
        found.append(
            (
                "Fill",
                f"{mix.name}: {_buckets(plan, mix.name, loose, system)}, about {each} a cell, "
                f"{lip} deep at the lower wall; {where}",
            )
        )
    if float(fill.mulch[cells].sum()) > 0:
        found.append(
            ("Mulch", units.show(float(fill.mulch[cells].sum()), "m3.small", system) + " in all")
        )
    return found


def _buckets(plan: Plan, mix: str, loose: float, system: System) -> str:
    """Say how many buckets a volume fills, to the line that one person may carry."""
    bucket = float(plan.opened.job.carry.bucket)
    mark = next((k for k in plan.carry.marks if k.mix == mix), None)
    if mark is None or mark.carried <= 0:  # nobody carries a bucket of it
        return f"{units.show(loose, 'm3.small', system)} in all"
    n = int(np.ceil(loose / (bucket * mark.carried) - 1e-9))
    line = "level" if mark.carried >= 1 else f"filled to the line ({100 * mark.carried:.0f} %)"
    return f"{plural(n, 'bucket')} {line}"


def _plants(plan: Plan, cells: Index) -> tuple[str, str]:
    planting = plan.planting
    if not len(planting.use):
        return "Plant", ""
    codes = plant_codes(planting)
    mine = set(cells.tolist())
    count: dict[int, int] = {}
    for group in planting.groups:
        if int(group.cells[0]) in mine:  # a plant over several rows is set from its first cell
            count[group.plant] = count.get(group.plant, 0) + group.plants
    return "Plant", ", ".join(
        f"{codes[p]} {planting.plants[p].common}: {n}" for p, n in count.items()
    )


def _drip(plan: Plan, cells: Index, system: System) -> tuple[str, str]:
    said = []
    row = int(plan.layout.row[cells[0]])
    for valve in plan.irrigation.valves:
        p = valve.punches
        there = np.isin(p.cell, cells)
        if there.any():
            kinds = [
                f"{n} × {in_units(kind.name, system)}"
                for k, kind in enumerate(valve.types)
                if (n := int((there & (p.kind == k)).sum()))
            ]
            said.append(f"valve {valve.number}: {', '.join(kinds)}")
        if row in valve.carriers:
            said.append(f"its lateral runs in this row, {int((p.lateral == row).sum())} holes")
    return "Drip", "; ".join(said)
