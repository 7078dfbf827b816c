"""The part of the soil's sheet that hands go by: ways, fill lines, lifts of rows, cautions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.answers.carry import lifting_lines, mass
from hillwright.sheets import tables
from hillwright.sheets.blocks import Block, Table, Text
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan


def carry_blocks(plan: Plan) -> list[Block]:
    """Give the ways side by side, the marks on the buckets, the lifts, and what to mind."""
    return [
        _ways(plan),
        _marks(plan),
        *([_lifts(plan)] if plan.carry.lifts else []),
        Text("What nobody is asked to lift or drag", lifting_lines(plan), listed=True),
        Text("Safety on this hill", plan.carry.cautions, listed=True, strong=True),
    ]


def _ways(plan: Plan) -> Table:
    carry, system = plan.carry, plan.opened.job.units
    v, m = (units.shown(0.0, tag, system)[1] for tag in ("m3", "kg"))
    rows = []
    for i, w in enumerate(carry.ways):
        why = in_units(w.why, system)
        if not w.possible:
            rows.append((w.name, "no", "", "", "", "", "", why))
            continue
        chosen = "least work" if i == carry.best else "yes"
        rows.append(
            (
                w.name,
                chosen if w.name in plan.opened.job.carry.ways else "not at hand",
                str(w.people),
                mass(w.load, system).split(" ")[0] if w.load > 0 else "",
                units.show(w.rate * 3600, "m3", system).split(" ")[0],
                f"{w.time / 3600:,.1f}",
                f"{w.person_time / 3600:,.1f}",
                why,
            )
        )
    distance, rise, farthest = (
        units.show(x, "m", system) for x in (carry.distance, carry.rise, carry.farthest)
    )
    return Table(
        "Ways to bring it up",
        (
            "way",
            "can be had",
            "people",
            f"soil at a time [{m}]",
            f"{v} an hour",
            "hours",
            "person-hours",
            "mind",
        ),
        tuple(rows),
        numbers=(2, 3, 4, 5, 6),
        widths=(0, 0, 0, 0, 0, 0, 0, 1),
        notes=(
            f"Mean way from the pile {distance}, farthest {farthest}, mean rise {rise}. The pile: "
            f"{in_units(carry.pile_note, system)}. Common practice, no source, with published "
            "limits of lifting and climbing: time the first hour.",
        ),
    )


def _marks(plan: Plan) -> Table:
    carry, system = plan.carry, plan.opened.job.units
    m = units.shown(0.0, "kg", system)[1]
    rows = [
        (
            k.mix,
            mass(k.full, system).split(" ")[0],
            f"{k.index:.1f}" if math.isfinite(k.index) else "–",
            f"{k.level_buckets:,}",
            f"{100 * k.carried:.0f} %",
            mass(k.carried_mass, system).split(" ")[0],
            f"{k.carried_buckets:,}",
            f"{100 * k.brigade:.0f} %",
            mass(k.brigade_mass, system).split(" ")[0],
        )
        for k in carry.marks
    ]
    bucket = units.show(plan.opened.job.carry.bucket, "m3.small", system)
    return Table(
        "Fill lines on the bucket",
        (
            "mix",
            f"level bucket [{m}]",
            "its lifting index",
            "level buckets",
            "line, carried",
            f"with the bucket [{m}]",
            "buckets to the line",
            "line, handed up",
            f"with the bucket [{m}]",
        ),
        tuple(rows),
        numbers=tuple(range(1, 9)),
        widths=(1, 0, 0, 0, 0, 0, 0, 0, 0),
        notes=(
            f"Share of a level bucket of {bucket}, by the NIOSH lifting equation. Draw the line "
            "inside before the first load. It is the most, not a safe load: on a slope and in "
            "heat take less.",
        ),
    )


def _lifts(plan: Plan) -> Table:
    carry, system = plan.carry, plan.opened.job.units
    v, m, n = (units.shown(0.0, tag, system)[1] for tag in ("m3", "kg", "N"))
    names, line = tables.line_names(plan.setout), tables.lines_of_cells(plan)
    loose = [
        float(plan.fill.loose[np.isin(line, [names.index(name) for name in lift.rows])].sum())
        for lift in carry.lifts
    ]
    rows = [
        (
            str(lift.number),
            ", ".join(lift.rows),
            str(lift.cells),
            mass(lift.mass, system).split(" ")[0],
            units.show(lift.pull, "N", system).split(" ")[0],
            str(lift.people),
            units.show(soil, "m3", system).split(" ")[0],
        )
        for lift, soil in zip(carry.lifts, loose, strict=True)
    ]
    single = f" Cell by cell on the hill: {', '.join(carry.singles)}." if carry.singles else ""
    return Table(
        "Lifts of assembled rows",
        (
            "lift",
            "rows",
            "cells",
            f"mass [{m}]",
            f"pull [{n}]",
            "people",
            f"soil once it hangs [{v}]",
        ),
        tuple(rows),
        numbers=(2, 3, 4, 5, 6),
        widths=(0, 1, 0, 0, 0, 0, 0),
        notes=(
            "Clipped together at the foot, dragged up empty, hung and staked from the top row "
            f"down; friction {carry.friction:g} on the ground. The soil is loose, to be carried "
            f"up.{single}",
        ),
    )
