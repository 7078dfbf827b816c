"""The planting in tables: letters, list, rows, calendar, sun by month."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.planting.model import WALKING, Planting
from hillwright.planting.palette import HOUR, water_class
from hillwright.planting.season import month_of, said
from hillwright.sheets.blocks import Table
from hillwright.sheets.plantcodes import by_kind
from hillwright.sheets.plantsigns import SAID
from hillwright.sheets.tables import number_ranges
from hillwright.units import System

if TYPE_CHECKING:
    from hillwright.plan import Plan

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def letters_table(planting: Planting, codes: tuple[str, ...]) -> Table:
    """Say which plant each pair of letters stands for."""
    rows = []
    for p in by_kind(planting):
        cells = int((planting.plant == p).sum())
        rows.append(
            (codes[p], planting.plants[p].common, SAID[planting.plants[p].kind],
             f"{planting.count[p]:,}", f"{cells:,}", planting.plants[p].caution)
        )  # fmt: skip
    return Table(
        "Letters",
        ("", "plant", "kind", "plants", "cells", "caution"),
        tuple(rows),
        (3, 4),
        (0, 2, 1, 0, 0, 5),
    )


def plant_list(plan: Plan, codes: tuple[str, ...]) -> Table:
    """List the plants: how many, sizes, water, mix, when to plant, source."""
    planting, system = plan.planting, plan.opened.job.units
    rows = []
    for p in by_kind(planting):
        plant = planting.plants[p]
        rows.append(
            (
                codes[p],
                f"{plant.common} ({plant.botanical})" if plant.botanical else plant.common,
                plant.kind,
                f"{planting.count[p]:,}",
                _pair(plant.spacing, system),
                f"{_pair(plant.height, system)} / {_pair(plant.spread, system)}",
                planting.hydrozones[water_class(plant.factor)],
                plant.mix,
                _window(planting, p),
                f"{plant.source} [{plant.status}]",
            )
        )
    return Table(
        "Plant list",
        ("", "plant", "kind", "plants", "spacing", "height / spread, mature", "water", "mix",
         "sow or set out", "source"),
        tuple(rows),
        (3,),
        (0, 2.4, 0, 0, 0, 1.6, 0, 1, 1, 2.6),
        (
            "Kinds, frost classes, harvest months, mixes and cautions are from memory: confirm "
            "them against a local extension list before anything is sold or planted by them.",
        ),
    )  # fmt: skip


def _pair(pair: tuple[float, float], system: System) -> str:
    low, label, _ = units.shown(pair[0], "m.small", system)
    high = units.shown(pair[1], "m.small", system)[0]
    text = f"{low:,.0f}" if round(low) == round(high) else f"{low:,.0f} to {high:,.0f}"
    return f"{text} {label}"


def _window(planting: Planting, p: int) -> str:
    first, last = planting.windows[p]
    return f"{said(first)} to {said(last)}"


def row_table(plan: Plan, codes: tuple[str, ...]) -> Table:
    """Say row by row what goes in which cell."""
    planting, layout = plan.planting, plan.layout
    rows = []
    for row in np.unique(layout.row):
        mine = np.flatnonzero(layout.row == row)
        held: dict[str, list[int]] = {}
        for i in mine:
            p = planting.plant[i]
            word = codes[p] if p >= 0 else "walk" if planting.use[i] == WALKING else "open"
            held.setdefault(word, []).append(int(layout.number[i]))
        text = "; ".join(f"{word} {number_ranges(cells)}" for word, cells in held.items())
        zones = sorted({int(z) for z in planting.hydrozone[mine] if z >= 0})
        water = ", ".join(planting.hydrozones[z] for z in zones)
        rows.append((f"R{row}", text, water))
    return Table(
        "Row by row: letters and cells, counted from the left looking uphill",
        ("row", "what goes where", "water"),
        tuple(rows),
        (),
        (0, 6, 1),
    )


def calendar(planting: Planting, codes: tuple[str, ...]) -> Table:
    """Say what is planted, in bloom and picked in each month."""
    rows = []
    for p in by_kind(planting):
        plant = planting.plants[p]
        months = [_month(planting, p, m) for m in range(1, 13)]
        rows.append((codes[p], plant.common, *months))
    total = [
        "".join(("B" if planting.bloom[m] else "", "H" if planting.harvest[m] else ""))
        for m in range(12)
    ]
    rows.append(("", "the whole", *total))
    return Table(
        "Month by month",
        ("", "plant", *MONTHS),
        tuple(rows),
        (),
        (0, 3, *([1.0] * 12)),
        ("P: sow or set out. B: in bloom. H: to pick.",),
    )


def _month(planting: Planting, p: int, month: int) -> str:
    first, last = planting.windows[p]
    span = (last - first) % 365
    plants = {month_of(first + d) for d in range(0, span + 1, 5)}
    return "".join(
        letter
        for letter, months in (
            ("P", plants),
            ("B", planting.bloom_months[p]),
            ("H", planting.harvest_months[p]),
        )
        if month in months
    )


def sun_table(planting: Planting) -> Table:
    """Give the hours of sun and the radiation of each month."""
    rows = []
    for m in range(12):
        hours = planting.sun[m] / HOUR
        share = 100 * planting.energy[m].mean() / planting.level[m] if planting.level[m] else 0.0
        rows.append(
            (MONTHS[m], f"{hours.min():.1f}", f"{hours.mean():.1f}", f"{hours.max():.1f}",
             f"{share:.0f}")
        )  # fmt: skip
    return Table(
        "Sun by month",
        ("month", "least [h]", "mean [h]", "most [h]", "radiation, % of level ground"),
        tuple(rows),
        (1, 2, 3, 4),
    )
