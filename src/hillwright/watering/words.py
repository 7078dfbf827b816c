"""What a reader must know before the water is turned on, and what would be enough."""

from __future__ import annotations

import calendar

import numpy as np

from hillwright.watering.model import Watering
from hillwright.watering.timetable import Pattern


def month_name(month: int) -> str:
    """Give the name of a month, 0 = January."""
    return calendar.month_name[month + 1]


def warnings_of(found: Watering, pattern: Pattern, north_known: bool) -> tuple[str, ...]:
    """Tell what stands in for what is not known, and what the rules do not allow."""
    said = [n for n in found.climate.notes if n.startswith("No climate") or " is far: " in n]
    if found.planted.note and not found.planted.note.startswith("What grows"):
        said.append(found.planted.note)
    said += [*too_short(found), *_weekdays(found, pattern), *_stress(found)]
    if not north_known and found.demand.slope_factor.size:
        said.append(
            "Watering: north is not known, so that demand is reckoned as on level ground; a slope "
            "to the south-west wants more. Give base_line.bearing."
        )
    return tuple(said)


def too_short(found: Watering) -> list[str]:
    """Say where the windows are too short for the busiest month, and what would be enough."""
    busiest = np.maximum(found.program.busiest, 0.0)
    m = int(np.argmax(busiest))
    if busiest[m] <= found.window + 1:
        return []
    need, have = busiest[m] / 3600, found.window / 3600
    ratio = busiest[m] / max(found.window, 1.0)
    return [
        f"Watering windows are too short: {month_name(m)} needs {need:.1f} h of water in a day and "
        f"watering.windows allow {have:.1f} h; windows of {np.ceil(need * 10) / 10:.1f} h would be "
        f"enough, or emitters of {ratio:.1f} times the flow."
    ]


def _weekdays(found: Watering, pattern: Pattern) -> list[str]:
    if not pattern.too_few:
        return []
    valve, month, lasts = min(pattern.too_few, key=lambda each: each[2])
    wait = int(pattern.interval[valve, month])
    return [
        f"Watering days are too few: in {month_name(month)} the soil on "
        f"{found.valves.names[valve]} lasts {lasts} {'day' if lasts == 1 else 'days'} and "
        f"watering.weekdays make it wait {wait}; allow a wait of no more than {max(lasts, 1)}, or "
        "fill the cells deeper."
    ]


def _stress(found: Watering) -> list[str]:
    if found.tuned or not len(found.valves.names):
        return []
    return [
        "Watering: no program of whole minutes keeps every cell from drying further than its "
        "plants like; the season sheet says which and how often. Deeper soil, a mix that holds "
        "more water, or more waterings a day would help."
    ]
