"""Where the figures of the watering come from: answers to "why?"."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array
from hillwright.method import Number, Working
from hillwright.watering.budget import ORDINANCE, allowance
from hillwright.watering.demand import root_depth
from hillwright.watering.given import DAY
from hillwright.watering.landscape import plant_volume
from hillwright.watering.model import Watering
from hillwright.watering.sloping import light_on_slope, slope_factor
from hillwright.watering.soilstore import available_water, depletion_fraction, interval
from hillwright.watering.tables import DAYS
from hillwright.watering.words import month_name
from hillwright.watering.yearclimate import MIDDLE


def workings_of(found: Watering, wetted: Array) -> tuple[Working, ...]:
    """Give the working of each figure that a person may act on, at the thirstiest cell."""
    peak, slope, aspect = found.demand.peak, found.demand.slope, found.demand.aspect
    if not peak.size or peak.max() <= 0:
        return ()
    m, i = found.demand.peak_month, int(np.argmax(peak))
    month, kind = month_name(m), int(found.planted.kind[i])
    factor = float(found.planted.factor[kind, m])
    raised = float(found.demand.slope_factor[i, m])
    climate = found.climate
    said = []
    year = float((climate.reference * DAYS).sum())
    said.append(
        Working(
            "watering.reference",
            "Reference evapotranspiration of a typical year",
            "sum of the twelve months",
            tuple(
                Number(month_name(k), float(climate.reference[k] * DAYS[k]), "m.water")
                for k in range(12)
            ),
            Number("reference", year, "m.water"),
            climate.name,
            " ".join(climate.notes),
        )
    )
    if raised != 1.0:
        ratio = light_on_slope(
            climate.latitude, MIDDLE[m], slope[i], aspect[i], climate.clearness[m]
        ).ratio
        ways: dict[str, float | int | str] = {
            "ratio": float(ratio),
            "sun_share": float(climate.sun_share[m]),
        }
        note = f"The thirstiest cell in {month}: slope {np.degrees(slope[i]):.1f} deg."
        said.append(Working.of("watering.slope", slope_factor, ways, raised, note=note))
    given: dict[str, float | int | str] = {
        "reference": float(climate.dry_reference[m]),
        "factor": factor * raised,
        "area": float(found.planted.canopy[i]),
        "efficiency": found.rules.efficiency,
    }
    said.append(
        Working.of(
            "watering.peak",
            plant_volume,
            given,
            float(peak[i]),
            output="gross",
            unit="m3.water",
            note=f"The thirstiest cell in {month} of a dry year, no rain: what pipes must bring.",
        )
    )
    said[-1] = said[-1].tagged(reference="m.water")
    said += _interval(found, wetted)
    special = float(found.worksheet_area[found.worksheet_special].sum())
    given = {
        "reference": year,
        "area": float(found.worksheet_area.sum()),
        "special_area": special,
        "etaf": found.allowed_etaf,
    }
    said.append(
        Working.of(
            "watering.allowance", allowance, given, found.allowance, unit="m3.garden"
        ).tagged(reference="m.water")
    )
    rows = zip(found.worksheet_zone, found.worksheet_use, strict=True)
    said.append(
        Working(
            "watering.estimated",
            "Estimated total water use of a year",
            "sum over hydrozones of ET0 0.62 (PF/IE) area; special areas with 1",
            tuple(Number(name, float(use), "m3.garden") for name, use in rows),
            Number("estimated", found.estimated, "m3.garden"),
            ORDINANCE + ", water efficient landscape worksheet",
        )
    )
    return tuple(said)


def _interval(found: Watering, wetted: Array) -> list[Working]:
    """Give store and interval of the cell that decides: the one that lasts least in the month."""
    m, soil, climate = found.demand.peak_month, found.soil, found.climate
    area = np.maximum(found.planted.canopy, 1e-9)
    used = climate.dry_reference[m] * found.demand.coefficient[:, m]
    p = depletion_fraction(found.store.depletion, used / DAY)
    there = (found.valves.valve >= 0) & (used > 0)
    if not there.any():
        return []
    lasts = np.where(there, p * found.store.total / np.where(used > 0, used, 1.0), np.inf)
    i = int(np.argmin(lasts))
    depth = float(root_depth(found.planted, soil, found.demand.area)[i])
    held = float(soil.available[i] * wetted[i] / area[i])
    share, use = float(p[i]), float(used[i])
    ready = float(available_water(held, 0.0, depth, share).ready)
    kind = found.planted.kinds[int(found.planted.kind[i])].lower()
    name = found.valves.names[int(found.valves.valve[i])]
    which = f"Of the cell that lasts least in {month_name(m)} of a dry year ({kind}, {name})"
    given: dict[str, float | int | str] = {
        "capacity": held,
        "wilting": 0.0,
        "depth": depth,
        "depletion": share,
    }
    store = Working.of(
        "watering.store",
        available_water,
        given,
        ready,
        output="ready",
        unit="m.water",
        note=f"{which}. Capacity here is the water between field capacity and wilting, in the "
        "wetted ground, spread over the plants' own area.",
    )
    wait = Working.of(
        "watering.interval",
        interval,
        {"ready": ready, "use": use / DAY},
        float(interval(ready, use / DAY).whole_days),
        output="whole_days",
        note=f"{which}, over the area of its plants. 0: less than a day; the season sheet says "
        "whether the starts of a day carry it.",
    )
    return [
        store.tagged(depth="m.small"),
        wait.tagged(ready="m.water", use="m/s.day"),
    ]
