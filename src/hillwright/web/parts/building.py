"""What is built: bars, drains, pipes, the days of work, what to order."""

from __future__ import annotations

from typing import Any

import numpy as np

from hillwright.arrays import Array
from hillwright.irrigation.model import Valve
from hillwright.units import System, show
from hillwright.web.packed import Column, Made, as_json, pack
from hillwright.web.parts.ground import xy
from hillwright.web.standing import Standing

PIPES = ("tap", "header", "lateral", "small")


def bars(s: Standing) -> Made:
    """Give where bars are driven, and the slip circles of the hill."""
    a = s.stability.anchoring
    arrays = {"place": Column("f4", a.place, "m"), "cell": Column("i4", a.place_cell)}
    circles = [
        {
            "name": c.name,
            "state": c.state,
            "loaded": c.loaded,
            "factor": c.factor,
            "line": c.line.round(3),
            "arc": c.arc.round(3),
            "depth": c.depth,
        }
        for c in s.stability.circles
    ]
    meta = {
        "bar": a.bar,
        "length": a.length,
        "spacing": a.spacing,
        "test_load": a.test_load,
        "adequate": a.adequate,
        "staked_rows": a.staked_rows,
        "circles": circles,
    }
    return pack(arrays, meta)


def drains(s: Standing) -> Made:
    """Give the ditches."""
    found = [
        {
            "key": d.key,
            "name": d.name,
            "why": d.why,
            "line": xy(d.line),
            "lead_line": xy(d.lead_line) if len(d.lead_line) else [],
            "flow": d.flow,
            "length": d.length,
            "cautions": d.cautions,
        }
        for d in s.drainage.drains
    ]
    return as_json({"drains": found})


def drip(s: Standing) -> Made:
    """Give the network: a line to each node from the one before it, and the emitters."""
    found = s.irrigation
    valves = found.valves

    def joined(pieces: list[Any], *shape: int) -> Array:
        return np.concatenate(pieces) if pieces else np.empty((0, *shape))

    def each(of: Any) -> list[Any]:
        return [of(v) for v in valves]

    lines = each(lambda v: np.stack([v.at[v.network.parent[1:]], v.at[1:]], axis=1))
    parts = each(lambda v: np.array([PIPES.index(p) for p in v.part[1:]]))
    arrays = {
        "line": Column("f4", joined(lines, 2, 3), "m"),
        "part": Column("u1", joined(parts)),
        "valve": Column("i4", joined(each(lambda v: np.full(len(v.at) - 1, v.number)))),
        "flow": Column("f4", joined(each(lambda v: v.low.flow[1:])), "m3/s"),
        "pressure": Column("f4", joined(each(lambda v: v.low.pressure[1:])), "m"),
        "emitter": Column("f4", joined(each(lambda v: v.at[v.punches.node]), 3), "m"),
        "emitter_cell": Column("i4", joined(each(lambda v: v.punches.cell))),
        "emitter_flow": Column("f4", joined(each(lambda v: v.low.outlet_flow)), "m3/s"),
        "emitter_pressure": Column("f4", joined(each(lambda v: v.low.outlet_pressure)), "m"),
        "emitter_valve": Column(
            "i4", joined(each(lambda v: np.full(len(v.punches.cell), v.number)))
        ),
        "emitter_lateral": Column("i4", joined(each(lambda v: v.punches.lateral))),
        "emitter_distance": Column("f4", joined(each(lambda v: v.punches.distance)), "m"),
    }
    trouble = [{"where": a, "what": b, "right": c} for a, b, c in found.trouble]
    meta = {"tap": found.tap, "valves": [_valve(v) for v in valves], "trouble": trouble}
    return pack(arrays, meta)


def _valve(v: Valve) -> dict[str, Any]:
    return {
        "number": v.number,
        "zone": v.zone,
        "rows": v.rows,
        "flow": v.flow,
        "regulator": v.regulator,
        "run": v.run,
        "uniformity": v.uniformity,
        "types": [t.name for t in v.types],
        "sides": v.punches.side,
    }


def schedule(s: Standing) -> Made:
    """Give the tasks with the days on which they are done."""
    w = s.work
    days, last = w.calendar.day, len(w.calendar.day) - 1
    tasks = [
        {
            "id": i,
            "name": task.name,
            "work": task.work,
            "rows": task.rows,
            "day": int(days[min(start, last)]) + 1 if last >= 0 else 0,
            "until": int(days[max(finish - 1, 0)]) + 1 if last >= 0 else 0,
            "start": int(start),
            "finish": int(finish),
            "people": sum(count for _, count in team),
        }
        for i, (task, start, finish, team) in enumerate(
            zip(w.tasks, w.start, w.finish, w.teams, strict=True)
        )
    ]
    dates = w.calendar.dates if w.calendar.dated else ()
    return as_json({"days": w.days, "hours": w.hours, "tasks": tasks, "dates": dates})


def takeoff(s: Standing) -> Made:
    """Give what to order."""
    lines = [
        {"item": k.item, "count": k.count, "unit": k.unit, "each": k.each, "note": k.note}
        for k in s.takeoff.lines
    ]
    return as_json({"lines": lines})


def cost(s: Standing) -> Made:
    """Give the ladder from goods to price, its range, and what has no price; money as text."""
    e = s.estimate
    ladder = [
        {"name": k.name, "amount": str(k.amount), "how": k.how, "total": k.total}
        for k in e.main.ladder
    ]
    told: dict[str, Any] = {
        "currency": e.currency,
        "priced": e.priced,
        "complete": e.complete,
        "cost": str(e.cost),
        "price": str(e.price),
        "ladder": ladder,
        "missing": [{"item": item, "why": why} for item, why in e.missing],
        "by_row": [{"row": row, "amount": str(amount)} for row, amount in e.by_row],
        "builds": [{"key": b.key, "name": b.name, "price": str(b.price)} for b in e.builds],
        "payments": [{"when": p.when, "amount": str(p.amount), "why": p.why} for p in e.payments],
        "valid_until": e.valid_until,
        "remarks": e.remarks,
        "risk": None,
    }
    if e.risk is not None:
        names = ("p10", "p50", "p80", "p90")
        told["risk"] = dict(zip(names, e.risk.quantile.tolist(), strict=True))
        told["risk"] |= {"over": e.risk.over, "samples": e.risk.samples}
    return as_json(told)


def _said(value: float | int | str, unit: str, system: System) -> str:
    """Write a figure as one reads it; its working has the rest of the decimals."""
    if isinstance(value, float) and unit in ("", "-", "any") and abs(value) < 100:
        return f"{value:.3g}"
    return show(value, unit, system)


def figures(s: Standing) -> Made:
    """Give every figure that can be asked "why?", in the person's units."""
    system = s.opened.job.units
    found = []
    for name, working in s.workings().items():
        w = working.with_units()
        said = _said(w.result.value, w.result.unit, system)
        found.append({"id": name, "title": w.title, "result": said})
    return as_json({"figures": found})
