"""The sheets of the drip network: plan, valves and pressures, punching list; and their tables."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.answers.drip import WHY_TWO, about_all, measured_lines, percent, proven
from hillwright.answers.landing import lands
from hillwright.answers.model import Answer
from hillwright.data import table
from hillwright.irrigation.fittings import elbows
from hillwright.irrigation.model import Irrigation, Valve
from hillwright.sheets.blocks import Block, RoomSheet, Table, Text
from hillwright.sheets.dripfittings import elbow_notes, fittings_table
from hillwright.sheets.dripplan import drip_picture, scale_said
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

ACROSS = 3  # columns of holes or laterals side by side
BEFORE = (
    "Relieve the pressure before a line is opened. Have buried lines located before you trench.",
    "Backflow assembly, its permit and its test: as the local code asks. No cross-connection.",
    "Punch with the tool for the tubing, square to it; a hole in the wrong place is plugged.",
    "Flush: open all ends, run each valve until the water is clear, then close the far ends first.",
    "Read a gauge at each lateral's far end and compare it with the table; write the reading down.",
)

PUNCH = (
    "One connector, one tube and one stake for each hole. Distances along the tubing from the "
    "header's tee: lay it slack and measure along it. Read down a column, then go to the next; "
    "right and left are looking uphill.",
)


def drip_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets of the network; none where nothing is watered, and why where none can be."""
    drip, system = plan.irrigation, plan.opened.job.units
    if not drip.valves and not drip.refused:
        return ()
    answer = next(a for a in plan.answers if a.number == 7)
    if drip.refused:
        return (_none(answer, drip, system),)
    tables: list[Block] = [
        Text("The network in short", _short(plan), listed=True),
        _valves(plan),
        _laterals(plan),
        fittings_table(plan),
        _losses(plan),
        _landings(plan),
        _codes(),
        Text("Before water is turned on", BEFORE, listed=True),
        Text("Caution", (answer.caution,), strong=True),
    ]
    return (
        RoomSheet("Irrigation plan", (drip_picture(plan),), scale_said(plan)),
        RoomSheet("Valves and pressures", tuple(tables)),
        RoomSheet(
            "Punching list",
            (
                Text("How to read it", PUNCH),
                *(t for v in drip.valves for t in _punching(plan, v, system)),
            ),
        ),
    )


def _short(plan: Plan) -> tuple[str, ...]:
    """Say what the tables do not: needs, supply, proof, what is not right, what was measured."""
    drip, system = plan.irrigation, plan.opened.job.units
    return (
        f"Needs: {in_units(drip.said, system)}.",
        *about_all(drip, system),
        *(f"V{v.number}, proven: {proven(v)}." for v in drip.valves),
        *(line.strip() for m in drip.measured for line in measured_lines(m, system)),
    )


def _none(answer: Answer, drip: Irrigation, system: System) -> RoomSheet:
    """Say in the place of the network why there is none, and what would do."""
    why = tuple(in_units(f"{what}: {right}.", system) for _, what, right in drip.refused)
    return RoomSheet(
        "Irrigation: no network",
        (
            Text("Buy, punch and dig nothing for the drip network yet", why, listed=True),
            Text("Caution", (answer.caution,), strong=True),
        ),
    )


def _show(value: float, tag: str, system: System) -> str:
    return units.show(value, tag, system)


def _valves(plan: Plan) -> Table:
    system = plan.opened.job.units
    rows = [
        (
            f"V{v.number}",
            v.zone,
            f"{v.rows[0]}-{v.rows[1]}",
            str(len(v.plants)),
            _show(float(v.low.flow[0]), "m3/s.pipe", system),
            _show(v.run, "s.min", system),
            _show(v.regulator, "m.head", system),
            _show(float(v.low.outlet_pressure.min()), "m.head", system),
            _show(float(v.high.outlet_pressure.max()), "m.head", system),
            _show(max(float(s.velocity.max()) for s in (v.low, v.high)), "m/s", system),
            f"{100 * v.uniformity:.0f}, {100 * v.at_high[0]:.0f} %",
            f"{percent(v.low_quarter)[:-2]}, {percent(v.at_high[1])}",
            f"{100 * v.statistical:.0f}, {100 * v.at_high[2]:.0f} %",
            _show(v.drained, "m3.water", system),
        )
        for v in plan.irrigation.valves
    ]
    return Table(
        "Valves",
        (
            "valve", "hydrozone", "rows", "plants", "flow", "sized for", "regulator", "least",
            "most", "fastest", "EU", "worst quarter", "Us", "in the tubes",
        ),
        tuple(rows),
        numbers=tuple(range(3, 14)),
        notes=(
            "Least pressure at an emitter at low supply, most at high supply. EU, worst quarter "
            "and Us: at low supply, then at high. EU: design emission uniformity. Worst quarter: "
            "what the worst-watered quarter of its plants get of the mean. Us: statistical "
            "uniformity with making and plugging. In the tubes: water that runs out at the lowest "
            "emitter where no check valve holds it.",
            WHY_TWO,
            "Steady flow, clean water, new tubing. Uniformity is of water out of the emitters, not "
            "in the soil. Neglected systems are found at 65 to 80 % in the field.",
        ),
    )  # fmt: skip


def lateral_ends(v: Valve) -> list[tuple[int, str, int, float, float, float]]:
    """Give each lateral's ends: row, side, connectors, length, gauge at low and high supply."""
    p, part = v.punches, np.array(v.part)
    found = []
    for row in v.carriers:
        for side in ("left", "right"):
            mine = [k for k in range(len(p.side)) if p.lateral[k] == row and p.side[k] == side]
            if not mine:
                continue
            far = max(mine, key=lambda k: p.distance[k])
            node = int(p.node[far])
            while part[node] != "lateral":
                node = int(v.network.parent[node])
            found.append(
                (row, side, len(mine), float(p.distance[far]), float(v.low.pressure[node]),
                 float(v.high.pressure[node]))
            )  # fmt: skip
    return found


def _laterals(plan: Plan) -> Table:
    system = plan.opened.job.units
    rows = []
    for v in plan.irrigation.valves:
        first = {int(p): v.tubes[int(v.size[i])].name for i, p in _lateral_rows(v)}
        for row, side, many, long, low, high in lateral_ends(v):
            rows.append(
                (
                    f"V{v.number}",
                    f"R{row:02d}",
                    side,
                    in_units(first.get(row, ""), system),
                    _show(long, "m", system),
                    str(many),
                    _show(low, "m.head", system),
                    _show(high, "m.head", system),
                )
            )
    head = (
        "valve", "row", "side", "tubing", "length", "connectors", "low supply", "high supply",
    )  # fmt: skip
    across = min(ACROSS, -(-len(rows) // 6))
    return Table(
        "Laterals, and what a gauge at the far end should read",
        head * across,
        side_by_side(rows, across),
        numbers=tuple(8 * j + i for j in range(across) for i in (4, 5, 6, 7)),
        notes=(
            "Side: of the header, looking uphill. Length: from the header to the last hole. Read "
            "down a column, then go to the next.",
        ),
    )


def _lateral_rows(v: Valve) -> list[tuple[int, int]]:
    """Give (node, row) of the lateral nodes that connectors hang on."""
    found = []
    for k, node in enumerate(v.punches.node.tolist()):
        found.append((int(v.network.parent[node]), int(v.punches.lateral[k])))
    return found


def _losses(plan: Plan) -> Table:
    drip, system = plan.irrigation, plan.opened.job.units
    found = [(loss.part, loss.head) for loss in drip.losses]
    found += [("left, low supply", drip.available[0]), ("left, high supply", drip.available[1])]
    return Table(
        "From the service to the tubing: pressure that each part takes, and what is left",
        tuple(name for name, _ in found),
        (tuple(_show(head, "m.head", system) for _, head in found),),
        numbers=tuple(range(len(found))),
        notes=("At the largest valve's flow. Read your own parts' charts.",),
    )


def _landings(plan: Plan) -> Table:
    """Give how fast water lands, against the rule for the slope and the soil's intake."""
    system, layout = plan.opened.job.units, plan.layout
    rows = []
    for found in plan.irrigation.landings:
        free, none = math.isinf(found.longest), not found.texture
        rows.append(
            (
                f"V{found.valve}",
                f"{100 * found.slope:.0f} %",
                _show(found.rate, "m/s.small", system),
                f"R{layout.row[found.cell]:02d}-{layout.number[found.cell]}",
                "none" if math.isinf(found.limit) else _show(found.limit, "m/s.small", system),
                "OVER" if found.over else "kept",
                "" if none else _show(found.spot, "m/s.small", system),
                "" if none else f"{found.texture}, {_show(found.intake, 'm/s.small', system)}",
                "" if none else "any" if free else f"{math.floor(found.longest / 60)} min",
                "" if none or free else f"{math.ceil(found.soak / 60)} min",
            )
        )
    told = [
        line.strip()
        for v, found in zip(plan.irrigation.valves, plan.irrigation.landings, strict=True)
        for line in lands(v, found, layout, system)
        if line.startswith("  What would do")
    ]
    return Table(
        "How fast water lands",
        (
            "valve", "steepest ground", "on a plant's ground", "at", "rule for slopes", "rule is",
            "under emitters", "soil takes", "longest run", "soak",
        ),
        tuple(rows),
        numbers=(1, 2, 4, 6, 8, 9),
        notes=(
            "Rule for slopes: the strictest of the printed rules below; ask which is yours. "
            "Longest run and soak: before water runs off the soil's top; the program is cut by "
            "them.",
            *dict.fromkeys(told),
        ),
    )  # fmt: skip


def side_by_side(rows: Sequence[tuple[str, ...]], across: int) -> tuple[tuple[str, ...], ...]:
    """Lay a long table in columns: read down one, then go to the next."""
    long = -(-len(rows) // across)
    blank = ("",) * len(rows[0])
    filled = [*rows] + [blank] * (long * across - len(rows))
    return tuple(sum((filled[i + j * long] for j in range(across)), ()) for i in range(long))


def _codes() -> Table:
    """Give what some codes ask of watering on slopes."""
    found = table("irrigation_supply")["slope_rule"]
    return Table(
        "What some codes ask of watering on slopes: ask yours",
        ("where", "rule"),
        tuple(tuple(str(c) for c in row) for row in found["rows"]),
        widths=(0.0, 1.0),
    )


def _punching(plan: Plan, v: Valve, system: System) -> list[Table]:
    """Give a table for each lateral's side: holes from the header out, column after column."""
    p, layout = v.punches, plan.layout
    factor, label, decimals = units.shown(1.0, "m", system)
    head = (f"hole at [{label}]", "stake in", "emitter", f"tube [{label}]", "gives")
    holes: dict[tuple[int, str], list[int]] = {}
    for k, place in enumerate(zip(p.lateral.tolist(), p.side, strict=True)):
        holes.setdefault(place, []).append(k)
    bends, found = elbows(v), []
    for row in v.carriers:
        for side in ("left", "right"):
            mine = holes.get((row, side), [])
            if not mine:
                continue
            cells: list[tuple[str, ...]] = [
                (
                    f"{p.distance[k] * factor:.{min(decimals, 2)}f}",
                    f"R{layout.row[p.cell[k]]:02d}-{layout.number[p.cell[k]]}",
                    in_units(v.types[int(p.kind[k])].name, system),
                    f"{p.tube[k] * factor:.{min(decimals, 2)}f}",
                    _show(float(v.low.outlet_flow[k]), "m3/s.drip", system),
                )
                for k in mine
            ]
            found.append(
                Table(
                    f"Valve {v.number}, lateral in row {row}, {side} of the header: "
                    f"{len(mine)} holes from the header out",
                    head * ACROSS,
                    side_by_side(cells, ACROSS),
                    numbers=tuple(5 * j + i for j in range(ACROSS) for i in (0, 3, 4)),
                    notes=elbow_notes(bends.get((row, side), []), system),
                )
            )
    return found


def punching_csv(plan: Plan) -> str:
    """Give every hole of every lateral, in the job's units."""
    system, layout = plan.opened.job.units, plan.layout
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    tags = (("hole_at", "m"), ("tube", "m"), ("pressure", "m.head"), ("gives", "m3/s.drip"))
    named = [f"{n}_{units.shown(0.0, t, system)[1].replace('/', '_')}" for n, t in tags]
    writer.writerow(
        ["valve", "lateral_row", "side", named[0], "row", "cell", "emitter", *named[1:]]
    )
    for v in plan.irrigation.valves:
        p = v.punches
        for k in range(len(p.node)):
            cell = int(p.cell[k])
            values = (p.distance[k], p.tube[k], v.low.outlet_pressure[k], v.low.outlet_flow[k])
            shown = [
                f"{units.shown(float(a), t, system)[0]:.3f}"
                for a, (_, t) in zip(values, tags, strict=True)
            ]
            writer.writerow(
                [
                    v.number,
                    int(p.lateral[k]),
                    p.side[k],
                    shown[0],
                    int(layout.row[cell]),
                    int(layout.number[cell]),
                    in_units(v.types[int(p.kind[k])].name, system),
                    *shown[1:],
                ]
            )
    return text.getvalue()
