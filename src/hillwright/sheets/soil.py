"""The sheet of the soil: what goes in each row, what to order, what it weighs."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.answers.soil import soil_lines
from hillwright.sheets.blocks import Block, RoomSheet, Table, Text
from hillwright.sheets.carry import carry_blocks
from hillwright.sheets.pages import Sheet
from hillwright.sheets.soilplan import amounts, mix_letters, soil_notes, soil_plan
from hillwright.units import System

if TYPE_CHECKING:
    from hillwright.plan import Plan


def soil_sheets(plan: Plan) -> tuple[Sheet, ...]:
    """Give the lifts and soil plan and its tables; none where no cell is filled."""
    if not plan.fill.totals:
        return ()
    answer = next(a for a in plan.answers if a.number == 5)
    blocks: list[Block] = [
        Text("Soil in short", (answer.short, *soil_lines(plan)), listed=True),
        _orders(plan),
        _mixes(plan),
        _rows(plan),
        *carry_blocks(plan),
        Text("Notes to the plan", soil_notes(plan), listed=True),
        Text("Before a truck comes", (answer.caution,), strong=True),
    ]
    return (
        soil_plan(plan),
        RoomSheet("Soil and how it gets up", tuple(blocks)),
    )


def soil_csv(plan: Plan) -> str:
    """Give the soil of every cell in the job's units."""
    fill, layout, system = plan.fill, plan.layout, plan.opened.job.units
    columns = (
        ("soil_downhill", "m.small", fill.lip),
        ("soil_uphill", "m.small", fill.uphill),
        ("in_place", "m3.small", fill.settled),
        ("loose", "m3.small", fill.loose),
        ("mulch", "m3.small", fill.mulch),
        ("moist", "kg", fill.moist),
        ("soaked", "kg", fill.saturated),
    )
    head = ["row", "number", "mix", "full_%", "top_slope_deg"]
    head += [f"{name}_{_plain(units.shown(0.0, tag, system)[1])}" for name, tag, _ in columns]
    scaled = [values * units.shown(1.0, tag, system)[0] for _, tag, values in columns]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    for k in range(len(layout.row)):
        mix = fill.mixes[int(fill.mix[k])].name if fill.settled[k] > 0 else ""
        writer.writerow(
            [
                int(layout.row[k]),
                int(layout.number[k]),
                mix,
                f"{100 * fill.fullness[k]:.0f}",
                f"{np.degrees(fill.top_slope[k]):.1f}",
                *(f"{values[k]:.3f}" for values in scaled),
            ]
        )
    return text.getvalue()


def _plain(label: str) -> str:
    return label.replace("²", "2").replace("³", "3")


def _n(value: float, tag: str, system: System) -> str:
    number, _, decimals = units.shown(value, tag, system)
    return f"{number:,.{decimals}f}"


def _unit(tag: str, system: System) -> str:
    return units.shown(0.0, tag, system)[1]


def _orders(plan: Plan) -> Table:
    fill, system = plan.fill, plan.opened.job.units
    v, m = _unit("m3", system), _unit("kg", system)
    bag = units.show(fill.bag, "m3.small", system)
    rows = []
    for p in fill.parts:
        dug = bool(p.bank)
        loads = "" if dug else f"{p.trucks} ({p.full_by})"
        note = f"dig {units.show(p.bank, 'm3', system)} in the ground" if dug else ""
        rows.append(
            (
                p.name,
                ", ".join(p.mixes),
                _n(p.loose, "m3", system),
                _n(p.mass, "kg", system),
                "" if dug else f"{p.bags:,}",
                loads,
                note,
            )
        )
    if fill.mulch_ordered > 0:
        rows.append(
            (
                fill.mulch_kind,
                "mulch",
                _n(fill.mulch_ordered, "m3", system),
                _n(fill.mulch_mass, "kg", system),
                f"{fill.mulch_bags:,}",
                "",
                "",
            )
        )
    truck = units.show(fill.truck, "m3", system)
    payload = units.show(fill.payload, "kg", system)
    return Table(
        "To order",
        ("what", "for", f"loose [{v}]", f"mass [{m}]", f"or bags of {bag}", "or loads", "note"),
        tuple(rows),
        numbers=(2, 3, 4, 5),
        widths=(0, 1, 0, 0, 0, 0, 1),
        notes=(
            f"Waste of {100 * fill.waste:.0f} % is in it. Loads of {truck} and at most {payload}; "
            "in brackets what fills the truck first. Components are measured apart, before they "
            "are mixed; mixed they take less room.",
        ),
    )


def _mixes(plan: Plan) -> Table:
    fill, system = plan.fill, plan.opened.job.units
    v, d = _unit("m3", system), _unit("kg/m3", system)
    rows, letters = [], mix_letters(fill)
    for t in fill.totals:
        m = t.mix
        parts = ", ".join(f"{100 * share:.4g} % {name}" for name, share in m.parts)
        rows.append(
            (
                f"{letters[m.name]} {m.name}",
                parts,
                f"{t.cells:,}",
                _n(t.settled, "m3", system),
                _n(t.loose, "m3", system),
                _n(t.ordered, "m3", system),
                f"{100 * m.settlement:.0f} %",
                _n(m.loose_moist, "kg/m3", system),
                _n(m.settled_moist, "kg/m3", system),
                _n(m.saturated, "kg/m3", system),
            )
        )
    return Table(
        "Mixes",
        (
            "mix",
            "parts by loose volume",
            "cells",
            f"in place [{v}]",
            f"loose [{v}]",
            f"to order [{v}]",
            "settles",
            f"in the bucket [{d}]",
            f"in the cell [{d}]",
            f"soaked [{d}]",
        ),
        tuple(rows),
        numbers=tuple(range(2, 10)),
        widths=(0, 1, 0, 0, 0, 0, 0, 0, 0, 0),
        notes=(
            "In place: once it has settled. Loose: what is carried up, topping up included. What "
            "a mix weighs differs with every delivery: weigh a level bucket.",
        ),
    )


def _rows(plan: Plan) -> Table:
    fill, layout, system = plan.fill, plan.layout, plan.opened.job.units
    v, small, m = (_unit(tag, system) for tag in ("m3", "m.small", "kg"))
    rows, letters, by_mix = [], mix_letters(fill), amounts(plan)
    for i, row in enumerate(fill.row.tolist()):
        mine = layout.row == row
        some = mine & (fill.settled > 0)
        parts = by_mix.get(row, {})
        rows.append(
            (
                str(row),
                f"{int(some.sum())} of {int(mine.sum())}",
                ", ".join(f"{letters[k]} {_n(x, 'm3', system)}" for k, x in parts.items()),
                _n(float(fill.lip[some].mean()) if some.any() else 0.0, "m.small", system),
                _n(float(fill.uphill[some].mean()) if some.any() else 0.0, "m.small", system),
                _n(float(fill.row_settled[i]), "m3", system),
                _n(float(fill.row_loose[i]), "m3", system),
                _n(float(fill.row_mulch[i]), "m3", system),
                _n(float(fill.row_saturated[i]), "kg", system),
            )
        )
    return Table(
        "Row by row",
        (
            "row",
            "cells filled",
            f"loose by mix [{v}]",
            f"at the downhill wall [{small}]",
            f"at the uphill wall [{small}]",
            f"in place [{v}]",
            f"to carry, loose [{v}]",
            f"mulch [{v}]",
            f"soaked, with mulch [{m}]",
        ),
        tuple(rows),
        numbers=tuple(range(3, 9)),
        widths=(0, 0, 1, 0, 0, 0, 0, 0, 0),
        notes=(
            "Depths are square to the base, from the base to the soil; mulch lies on it. Fill "
            "from the top row down once every row hangs and is staked, so that nobody walks over "
            "filled cells; nobody stands straight below.",
        ),
    )
