"""The planting as tables for other programs: every cell, and every plant."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.planting.model import USE_WORDS
from hillwright.planting.palette import HOUR, Plant, water_class
from hillwright.planting.season import said
from hillwright.sheets.plantcodes import by_kind, plant_codes
from hillwright.sheets.planttables import MONTHS

if TYPE_CHECKING:
    from hillwright.plan import Plan


def planting_csv(plan: Plan) -> str:
    """Give every cell: use, plant, water, mix, and its sun by month in hours a day."""
    planting, layout = plan.planting, plan.layout
    head = ["row", "number", "use", "plant", "common", "water", "mix", "sun_season_h"]
    head += [f"sun_{m.lower()}_h" for m in MONTHS]
    rows = []
    for i in range(len(planting.use)):
        p = planting.plant[i]
        plant: Plant | None = planting.plants[p] if p >= 0 else None
        rows.append(
            [
                int(layout.row[i]),
                int(layout.number[i]),
                USE_WORDS[planting.use[i]],
                plant.id if plant else "",
                plant.common if plant else "",
                planting.hydrozones[planting.hydrozone[i]] if plant else "",
                planting.mixes[planting.mix[i]] if plant else "",
                f"{planting.season[i] / HOUR:.2f}",
                *(f"{planting.sun[m, i] / HOUR:.2f}" for m in range(12)),
            ]
        )
    return _csv(head, rows)


def plants_csv(plan: Plan) -> str:
    """Give the plant list: how many of each, sizes in the job's units, months, source."""
    planting, system = plan.planting, plan.opened.job.units
    factor, label, _ = units.shown(1.0, "m.small", system)
    head = ["plant", "common", "botanical", "kind", "plants", "cells"]
    sized = ("spacing", "height", "spread")
    head += [f"{what}_{end}_{label}" for what in sized for end in ("least", "most")]
    head += ["water", "mix", "plant_from", "plant_to", "bloom", "harvest"]
    head += ["caution", "source", "status", "letters"]
    codes = plant_codes(planting)
    rows = []
    for p in by_kind(planting):
        plant = planting.plants[p]
        first, last = planting.windows[p]
        pairs = (plant.spacing, plant.height, plant.spread)
        sizes = [f"{v * factor:.1f}" for pair in pairs for v in pair]
        rows.append(
            [
                plant.id,
                plant.common,
                plant.botanical,
                plant.kind,
                int(planting.count[p]),
                int((planting.plant == p).sum()),
                *sizes,
                planting.hydrozones[water_class(plant.factor)],
                plant.mix,
                said(first),
                said(last),
                " ".join(map(str, planting.bloom_months[p])),
                " ".join(map(str, planting.harvest_months[p])),
                plant.caution,
                plant.source,
                plant.status,
                codes[p],
            ]
        )
    return _csv(head, rows)


def _csv(head: list[str], rows: list[list[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()
