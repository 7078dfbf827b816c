"""Question 7, its first half: how every plant gets its own share of water."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from hillwright import units
from hillwright.answers.landing import lands
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.irrigation.emitterrules import uniformity_class
from hillwright.irrigation.model import AsBuilt, Irrigation, Valve
from hillwright.layout.model import Layout
from hillwright.rooms import Rooms
from hillwright.units import System
from hillwright.wording import in_units, plural

CAUTION = (
    "Water under pressure: relieve it before a line is opened, and flush every line before its end "
    "is closed. Drinking water is protected by the backflow assembly that the local code asks for, "
    "with its permit and its test; never connect this network to two sources at once. A line that "
    "leaks unseen soaks a slope: look along all of it at every start of the season."
)
WHY_TWO = (
    "Sized for: the open minutes, in steps of 5, by which emitters are chosen. The controller is "
    "set by its program, whose minutes are tuned day by day and whole for each start."
)


def shares(rooms: Rooms) -> Answer:
    """Say how the water is led to every plant, and how even the shares are.

    The other half of question 7, when the valve opens, is joined to this one: short answers,
    lines and figures are added, and the worse verdict counts.
    """
    drip, system = rooms.irrigation, rooms.job.units
    if drip.refused:
        why = tuple(in_units(f"{w}: {what}: {right}.", system) for w, what, right in drip.refused)
        if drip.losses:
            why += (in_units(_before(drip), system),)
        short = "No drip network can be laid out with what the job says."
        return Answer(7, QUESTIONS[6], short, "stop", why, (), CAUTION)
    if not drip.valves or not len(rooms.layout.row):
        return Answer(7, QUESTIONS[6], "Nothing is planted: nothing to water.", "clear")
    emitters = sum(len(v.punches.node) for v in drip.valves)
    laterals = sum(len(v.carriers) for v in drip.valves)
    short = (
        f"{plural(emitters, 'emitter')} on {plural(laterals, 'lateral')} behind "
        f"{plural(len(drip.valves), 'valve')}; the worst-watered quarter gets "
        f"{units.show(min(v.low_quarter for v in drip.valves), '%', system)} of the mean."
    )
    lines: list[str] = [f"Needs: {in_units(drip.said, system)}."]
    for v, landing in zip(drip.valves, drip.landings, strict=True):
        lines += _valve(v, rooms.layout, system)
        lines += lands(v, landing, rooms.layout, system)
    lines += [WHY_TWO, *about_all(drip, system)]
    lines.append("The drip sheets say where each hole is punched and what each gauge should read.")
    lines += [line for m in drip.measured for line in measured_lines(m, system)]
    figures = ["irrigation.available", "irrigation.backflow"]
    for v in drip.valves[:3]:
        figures += [
            f"irrigation.valve{v.number}.{k}" for k in ("flow", "uniformity", "run", "rate")
        ]
    return Answer(7, QUESTIONS[6], short, "with measures", tuple(lines), tuple(figures), CAUTION)


def about_all(drip: Irrigation, system: System) -> tuple[str, ...]:
    """Say what holds for all valves: rules, supply, backflow, and what is not right."""
    lines = []
    if rules := "; ".join(dict.fromkeys(found.places for found in drip.landings if found.places)):
        lines.append(
            f"Rules for slopes, as printed by: {rules}. Ask which is yours; a sheet has them all."
        )
    lines += _supply(drip, system)
    for v in drip.valves:
        lines += [
            in_units(f"Valve {v.number}: {what}: {right}.", system) for _, what, right in v.trouble
        ]
    return tuple(lines)


def _before(drip: Irrigation) -> str:
    """Say what stands before the tubing and takes of the pressure."""
    taken = sum(part.head for part in drip.losses)
    parts = ", ".join(part.part for part in drip.losses if part.part not in ("valve", "regulator"))
    return (
        f"Before the tubing {parts}, valve and regulator take {taken:.1f} m of water together: "
        "read the charts of your own parts."
    )


_WORSE: tuple[Verdict, ...] = ("clear", "not yet", "with measures", "stop")


def with_shares(when: Answer, rooms: Rooms) -> Answer:
    """Join how the water gets to every plant to the half of the answer that says when it runs."""
    how = shares(rooms)
    if not rooms.irrigation.valves and not rooms.irrigation.refused:
        return when
    if rooms.irrigation.refused:
        # no valve is laid, so no program can be set: what the garden wants still holds
        when = replace(when, lines=tuple(x for x in when.lines if not x.startswith("Valve ")))
    return Answer(
        7,
        QUESTIONS[6],
        f"{how.short} {when.short}",
        max(how.verdict, when.verdict, key=_WORSE.index),
        (*how.lines, *when.lines),
        (*how.figures, *when.figures),
        f"{how.caution} {when.caution}",
    )


def _valve(v: Valve, layout: Layout, system: System) -> tuple[str, ...]:
    rows = f"row {v.rows[0]}" if v.rows[0] == v.rows[1] else f"rows {v.rows[0]} to {v.rows[1]}"
    flow, run = (
        units.show(float(v.low.flow[0]), "m3/s.pipe", system),
        units.show(v.run, "s.min", system),
    )
    regulator = units.show(v.regulator, "m.head", system)
    on = ", ".join(str(c) for c in v.carriers)
    low, high = (
        units.show(float(p), "m.head", system)
        for p in (v.low.outlet_pressure.min(), v.high.outlet_pressure.max())
    )
    k = int(np.argmin(v.low.outlet_pressure))
    cell = int(v.punches.cell[k])
    measure = uniformity_class(min(v.low_quarter, 1.0))
    return (
        f"Valve {v.number} ({v.zone}, {rows}): {flow}, sized for {run} on the peak day, regulator "
        f"{regulator}; laterals on row{'s' if len(v.carriers) > 1 else ''} {on}.",
        f"  Emitters stand at {low} to {high} (lowest: row {layout.row[cell]} cell "
        f"{layout.number[cell]}); design emission uniformity {100 * v.uniformity:.0f} %; the "
        f"worst-watered quarter of its plants get {percent(v.low_quarter)} of the mean "
        f"({measure}); statistical uniformity {100 * v.statistical:.0f} %.",
        f"  Proven: {proven(v)}.",
    )


def percent(share: float) -> str:
    """Write a share cut, not rounded: what is not all is never told as 100 %."""
    return f"{math.floor(1000 * min(share, 1.0) + 1e-9) / 10:.1f} %"


def proven(v: Valve) -> str:
    """Say how far from the cheapest the routes and sizes of a valve can be at most."""
    route, pipe = v.bound / v.cost, v.pipe_bound / max(v.pipe_cost, 1e-12)
    sizes = "no sizes that keep pressure and velocity cost less than these"
    if pipe < 0.9995:
        sizes = f"no sizes that keep pressure and velocity cost less than {percent(pipe)} of these"
    return (
        f"no header and laterals to these plants cost less than {percent(route)} of these; {sizes}"
    )


def measured_lines(m: AsBuilt, system: System) -> tuple[str, ...]:
    """Say what readings tell of a valve as it was built."""
    counted = f"{plural(m.catches, 'catch', 'catches')} and {plural(m.gauges, 'gauge')}"
    even = ""
    if not math.isnan(m.low_quarter):
        even = (
            f"; measured low quarter {100 * m.low_quarter:.0f} % "
            f"({uniformity_class(min(m.low_quarter, 1.0))}), statistical "
            f"{100 * m.statistical:.0f} %"
        )
    found = [f"Valve {m.valve} as built, by {counted}{even}."]
    for fault in m.faults:
        if fault.kind == "leaks":
            lost = units.show(fault.size, "m3/s.drip", system)
            found.append(f"  The lateral in row {fault.row} leaks about {lost}: look along it.")
        elif fault.kind == "clogs":
            found.append(
                f"  The lateral in row {fault.row} gives about {100 * fault.size:.0f} % of its "
                "flow: flush it and look at its emitters."
            )
        else:
            head = units.show(fault.size, "m.head", system)
            found.append(
                f"  The regulator seems to give {head}, or the header leaks: read a gauge there."
            )
    found += [
        f"  Row {o.row} cell {o.cell} gets {100 * o.share:.0f} % of its share: look at it."
        for o in m.odd
    ]
    if not m.faults and not m.odd:
        found.append("  Nothing is off by more than cans and gauges err.")
    return tuple(found)


def _supply(drip: Irrigation, system: System) -> tuple[str, ...]:
    left = units.show(drip.available[0], "m.head", system)
    hand = units.show(drip.at_hand, "m3/s.pipe", system)
    found = [
        f"At hand: {hand} ({drip.at_hand_why}); {left} behind meter, backflow assembly, filter, "
        "valve and regulator on a bad day.",
        f"Backflow: {drip.assembly}, as the outlets' height asks; the local code decides.",
    ]
    if drip.assumed:
        found.append(f"Nobody has measured {'; nor '.join(drip.assumed)}.")
    return tuple(found)
