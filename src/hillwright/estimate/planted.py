"""Plants, pegs and what is delivered or hired."""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np

from hillwright.crew.workplan import WorkPlan
from hillwright.estimate.model import Course, TakeoffLine
from hillwright.estimate.trace import by_row, named
from hillwright.fill.model import Fill
from hillwright.layout.model import Layout
from hillwright.planting.model import Planting

_MACHINES = ("rope hoist", "conveyor", "blower truck")  # ways up that are hired


def plant_lines(planting: Planting, layout: Layout) -> list[TakeoffLine]:
    """Give a line for each plant, most first, with the cells that it stands in."""
    at: defaultdict[int, np.ndarray[tuple[int], np.dtype[np.float64]]] = defaultdict(
        lambda: np.zeros(len(layout.row))
    )
    for group in planting.groups:
        # one plant in several cells belongs to all of them
        at[group.plant][group.cells] += group.plants / len(group.cells)
    lines = []
    for k in sorted(at, key=lambda k: (-int(planting.count[k]), planting.plants[k].common)):
        plant = planting.plants[k]
        lines.append(
            TakeoffLine(
                f"plant, {plant.common}",
                int(planting.count[k]),
                "each",
                f"{plant.botanical}, {plant.kind}",
                named(layout, np.flatnonzero(at[k])),
                "" if plant.life == "perennial" or not plant.life else plant.life,
                "plant",
                group="plants",
                works=("plant",),
                rows=by_row(layout, at[k]),
            )
        )
    return lines


def peg_line(pegs: tuple[str, ...]) -> TakeoffLine:
    """Count the pegs of the set-out."""
    return TakeoffLine(
        "peg for the set-out",
        len(pegs),
        "each",
        "wooden, to be marked with its name",
        (),
        "pegs A and B, ends of rows, string, base line and outline",
        group="bars",
        works=("strings",),
        traced=pegs,
    )


def load_lines(fill: Fill) -> list[TakeoffLine]:
    """Count the truck loads of what comes loose."""
    if fill.supply == "bags":
        return []
    loads = {p.name: p.trucks for p in fill.parts if p.trucks}
    goods = {p.name: (p.loose, p.mass) for p in fill.parts if p.trucks}
    if fill.mulch_ordered > 0:
        goods[fill.mulch_kind] = fill.mulch_ordered, fill.mulch_mass
    lots = {k: max(v / fill.truck, m / fill.payload) for k, (v, m) in goods.items()}
    if fill.mulch_ordered > 0:
        loads[fill.mulch_kind] = max(1, math.ceil(lots[fill.mulch_kind] - 1e-9))
    if not loads:
        return []
    note = "; ".join(f"{name} {n}" for name, n in loads.items())
    return [
        TakeoffLine(
            "delivery of loose goods",
            sum(loads.values()),
            "load",
            "a truck load, tipped at the pile",
            (),
            note,
            "delivery",
            works=("fill", "mulch"),
            traced=tuple(loads),
            lots=tuple(lots.values()),
        )
    ]


def hire_lines(work: WorkPlan, course: Course) -> list[TakeoffLine]:
    """Count the days on which a shared tool, or a machine that lifts the soil, is needed."""
    used: defaultdict[str, set[int]] = defaultdict(set)
    tasks: defaultdict[str, list[str]] = defaultdict(list)
    tool_of = {w.id: w.tool for w in work.works if w.tool}
    machine = work_machine(work)
    for k, t in enumerate(course.task.tolist()):
        kind = course.works[t]
        tool = tool_of.get(kind) or (machine if kind == "fill" else "")
        if tool:
            used[tool].add(int(course.day[k]))
            if course.names[t] not in tasks[tool]:
                tasks[tool].append(course.names[t])
    count = dict(work.crew.tools)
    return [
        TakeoffLine(
            tool,
            len(days) * count.get(tool, 1),
            "day",
            "hired, or one's own at what it costs a day",
            (),
            f"{count[tool]} at once" if count.get(tool, 1) > 1 else "",
            "hire",
            works=tuple(dict.fromkeys(k for k, t in tool_of.items() if t == tool)) or ("fill",),
            traced=tuple(tasks[tool]),
        )
        for tool, days in sorted(used.items())
    ]


def work_machine(work: WorkPlan) -> str:
    """Give the machine that the soil goes up by, "" where people carry it."""
    fill = next((w for w in work.works if w.id == "fill"), None)
    if fill is None or not any(t.work == "fill" for t in work.tasks):
        return ""
    return next((m for m in _MACHINES if fill.source.startswith(m)), "")
