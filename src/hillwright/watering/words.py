"""What a reader must know before the water is turned on, and what would be enough."""

from __future__ import annotations

import calendar

import numpy as np

from hillwright.arrays import Array
from hillwright.watering.bridge import short_cells
from hillwright.watering.model import Watering
from hillwright.watering.timetable import Pattern, window_length
from hillwright.wording import plural


def month_name(month: int) -> str:
    """Give the name of a month, 0 = January."""
    return calendar.month_name[month + 1]


def warnings_of(found: Watering, pattern: Pattern, north_known: bool) -> tuple[str, ...]:
    """Tell what stands in for what is not known, and what the rules do not allow."""
    said = [n for n in found.climate.notes if n.startswith("No climate") or " is far: " in n]
    if found.planted.note and not found.planted.note.startswith("What grows"):
        said.append(found.planted.note)
    said += [*too_short(found), *too_short_dry(found), *_weekdays(found, pattern)]
    said += [*_short(found), *_stress(found)]
    if not north_known and found.demand.slope_factor.size:
        said.append(
            "Watering: north is not known, so that demand is reckoned as on level ground; a slope "
            "to the south-west wants more. Give base_line.bearing."
        )
    return tuple(said)


def too_short(found: Watering) -> list[str]:
    """Say where the windows are too short, and what would be enough: a stop."""
    over = found.program.over
    enough = max(float(over.max(initial=0)), float(found.dry_program.over.max(initial=0)))
    return _windows(found, found.program.busiest, over, enough, "")


def too_short_dry(found: Watering) -> list[str]:
    """Say where only the dry year's setting is too long for the windows."""
    if too_short(found):
        return []
    dry = found.dry_program
    enough = float(dry.over.max(initial=0))
    return _windows(found, dry.busiest, dry.over, enough, " in a dry year")


def _windows(found: Watering, busiest: Array, over: Array, enough: float, when: str) -> list[str]:
    m = int(np.argmax(over))
    if over[m] <= 0:
        return []
    need, late = busiest[m] / 3600, np.ceil(over[m] / 360) / 10
    have = " and ".join(f"{window_length((w,)) / 3600:.1f} h" for w in found.rules.windows)
    longer = np.ceil(enough / 360) / 10
    return [
        f"Watering windows are too short: the waterings of {month_name(m)}{when} take {need:.1f} h "
        f"in a day, soaks included, watering.windows allow {have}, and {late:.1f} h fall outside "
        f"however they are shared out; a window {longer:.1f} h longer would be enough."
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


def _short(found: Watering) -> list[str]:
    short = short_cells(found)
    if not short:
        return []
    cells = sum(len(s.cells) for s in short)
    names = ", ".join(found.planted.kinds[s.kind].lower() for s in short[:4])
    more = " and others" if len(short) > 4 else ""
    return [
        f"Watering: the soil of {plural(cells, 'cell')} ({names}{more}) does not last between "
        "waterings on the hottest days; the season sheet names each cell and what would help."
    ]


def _stress(found: Watering) -> list[str]:
    if found.tuned or not len(found.valves.names):
        return []
    return [
        "Watering: no program of whole minutes keeps every cell from drying further than its "
        "plants like; the season sheet says which and how often. Deeper soil, a mix that holds "
        "more water, or more waterings a day would help."
    ]
