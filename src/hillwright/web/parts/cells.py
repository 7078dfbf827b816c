"""The cells, what grows in them, and what is laid over them."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from hillwright.sheets.plantcodes import plant_codes
from hillwright.web.packed import Column, Made, as_json, pack
from hillwright.web.standing import Standing

Arrays = dict[str, Column]


def cells(s: Standing) -> Made:
    """Give where every cell lies."""
    layout = s.layout
    arrays = {
        "corners": Column("f4", layout.corners, "m"),
        "row": Column("i4", layout.row),
        "number": Column("i4", layout.number),
        "panel": Column("i4", layout.panel),
        "trimmed": Column("u1", layout.trimmed),
        "anchored": Column("u1", layout.anchored),
        "clips": Column("i4", layout.clips),
        "top_string": Column("f8", layout.top_string, "m"),
    }
    cell = layout.cell
    meta = {
        "count": layout.count,
        "bound": layout.bound,
        "rows": layout.rows,
        "top": layout.top,
        "cell": {"width": cell.width, "run": cell.run, "depth": cell.depth},
        "seams": [{"at": seam.at, "why": seam.why} for seam in layout.seams],
        "left_out": [{"corners": c.corners.round(4), "why": c.why} for c in layout.left_out],
    }
    return pack(arrays, meta)


def setout(s: Standing) -> Made:
    """Give the schedule that two people with a tape build from."""
    t = s.setout
    names = t.line_name or tuple(str(row) for row in t.row)
    lines = [
        {
            "name": names[i],
            "row": int(t.row[i]),
            "cells": int(t.cells[i]),
            "first": int(t.first[i]),
            "from_string": t.from_string[i],
            "along": t.along[i],
            "start": t.start[i],
            "end": t.end[i],
            "tape_a": t.tape_a[i],
            "tape_b": t.tape_b[i],
        }
        for i in range(len(t.row))
    ]
    pegs = {"a": t.benchmark_a, "b": t.benchmark_b, "base_line": t.base_line}
    stakes = [
        {"name": name, "at": at, "note": note}
        for name, at, note in zip(t.stake_name, t.stake, t.stake_note, strict=True)
    ]
    told = {"lines": lines, "tolerance": t.tolerance, "pegs": pegs, "stakes": stakes}
    return as_json({**told, "note": t.note})


def plants(s: Standing) -> Made:
    """Give what grows in which cell."""
    p = s.planting
    groups = p.groups
    taken = [g.cells for g in groups]
    arrays = {
        "use": Column("u1", p.use),
        "cell_plant": Column("i4", p.plant),
        "group_plant": Column("i4", [g.plant for g in groups]),
        "group_centre": Column("f4", np.reshape([g.centre for g in groups], (-1, 3)), "m"),
        "group_cells": Column("i4", np.concatenate(taken) if taken else []),
        "group_start": Column("u4", np.concatenate([[0], np.cumsum([len(c) for c in taken])])),
    }
    kinds = [
        {
            "id": plant.id,
            "code": code,
            "common": plant.common,
            "botanical": plant.botanical,
            "kind": plant.kind,
            "spread": plant.width,
            "height": plant.tall,
            "count": int(count),
            "bloom": bloom,
            "harvest": harvest,
            "evergreen": plant.evergreen,
            "mix": plant.mix,
            "caution": plant.caution,
        }
        for plant, code, count, bloom, harvest in zip(
            p.plants, plant_codes(p), p.count, p.bloom_months, p.harvest_months, strict=True
        )
    ]
    unmet = [{"what": u.what, "why": u.why, "must": u.must} for u in p.unmet]
    proof = {"worth": p.proof.worth, "path_gap": p.proof.path_gap, "gap": p.proof.gap}
    latitude = {"latitude": p.latitude, "stale": p.stale, "optimised": p.proof.optimised}
    return pack(arrays, {"plants": kinds, "unmet": unmet, "proof": proof, **latitude})


def fit(s: Standing) -> Made:
    """Lay over the cells how they lie."""
    n = s.layout
    return pack(
        {
            "gap": Column("f4", n.gap, "m"),
            "hump": Column("f4", n.hump, "m"),
            "twist": Column("f4", n.twist, "m"),
            "run_slope": Column("f4", n.run_slope, "rad"),
            "cross_slope": Column("f4", n.cross_slope, "rad"),
        }
    )


def hold(s: Standing) -> Made:
    """Lay over the cells the factor of safety of the soaked hill, and what each pulls."""
    places, middle = s.stability.map, s.layout.corners.mean(axis=1)[:, :2]
    nearest = shapely.STRtree(shapely.points(places.xy)).nearest(shapely.points(middle))
    anchoring = s.stability.anchoring
    arrays = {
        "safety": Column("f4", places.filled[1][nearest]),
        "pull": Column("f4", anchoring.pull[2], "N"),
        "on_bars": Column("f4", anchoring.held, "N"),
    }
    return pack(arrays)


def sun(s: Standing) -> Made:
    """Lay over the cells the sun by month, and how thirsty what grows there is."""
    p = s.planting
    arrays = {"sun": Column("f4", p.sun, "s"), "hydrozone": Column("i4", p.hydrozone)}
    return pack(arrays, {"hydrozones": p.hydrozones})


def soil(s: Standing) -> Made:
    """Lay over the cells what is filled in."""
    f = s.fill
    arrays = {
        "settled": Column("f4", f.settled, "m3"),
        "saturated": Column("f4", f.saturated, "kg"),
        "fullness": Column("f4", f.fullness),
        "mix": Column("i4", f.mix),
    }
    return pack(arrays, {"mixes": [m.name for m in f.mixes]})


def storm(s: Standing) -> Made:
    """Lay over the cells the water that stands on them through the storm."""
    found = s.runoff.storm
    if found is None:
        return pack({}, {"held_times": []})
    arrays = {
        "held": Column("f4", found.held, "m3"),
        "hold": Column("f4", found.hold, "m3"),
        "spilled": Column("f4", found.spilled, "m3"),
    }
    return pack(arrays, {"held_times": found.frame_time, "first_row": found.first_row})


def water(s: Standing) -> Made:
    """Lay over the cells what each wants in a day, by month."""
    demand = s.wants.demand
    arrays = {
        "litres": Column("f4", demand.daily.T, "m3"),
        "peak": Column("f4", demand.peak, "m3"),
    }
    return pack(arrays, {"peak_month": demand.peak_month + 1})


def emitters(s: Standing) -> Made:
    """Lay over the cells what the emitters of each give, and the pressure there."""
    n = len(s.layout.row)
    flow, pressure = np.full(n, np.nan), np.full(n, np.nan)
    for valve in s.irrigation.valves:
        cell, given = valve.punches.cell, valve.low
        total = np.bincount(cell, given.outlet_flow, n)
        flow = np.where(total > 0, np.nan_to_num(flow) + total, flow)
        pressure[cell] = given.outlet_pressure
    return pack(
        {"emitter_flow": Column("f4", flow, "m3/s"), "pressure": Column("f4", pressure, "m")}
    )


def work_day(s: Standing) -> Made:
    """Lay over the cells the day on which the last work on each is done, from 1."""
    plan, row = s.work, s.layout.row
    day = np.zeros(len(row), int)
    for task, finish in zip(plan.tasks, plan.finish, strict=True):
        if task.rows != (0, 0) and finish > 0:
            on = (row >= task.rows[0]) & (row <= task.rows[1])
            day[on] = np.maximum(day[on], int(plan.calendar.day[finish - 1]) + 1)
    return pack({"day": Column("i4", day)})


def answers(s: Standing) -> Made:
    """Give the answers that stand so far, in the person's units."""
    from hillwright.document.front import answer_parts

    told: list[Any] = [a.model_dump() for a in answer_parts(s.answered())]
    return as_json({"answers": told, "warnings": s.said()})
