"""Question 7, the half about time: how much water each plant wants, and when the valve opens."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.answers.waterwords import (
    against_allowance,
    clock_text,
    dry_cells,
    where_it_goes,
)
from hillwright.rooms import Rooms
from hillwright.units import System
from hillwright.watering.model import Program, Watering
from hillwright.watering.words import month_name, too_short
from hillwright.wording import in_units, plural

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
CAUTION = (
    "Water that runs on a slope soaks the soil that holds it: look for wet places and leaks after "
    "each change, and shut the water off where the ground moves or water comes out below the last "
    "row. Local watering rules come before this program."
)


_MOST_DRY = 3  # plantings that dry out, told here; the sheet has all


class When(NamedTuple):
    """What watering has to say of the question."""

    short: str
    lines: tuple[str, ...]
    figures: tuple[str, ...]
    verdict: Verdict


def water(rooms: Rooms) -> Answer:
    """Say how much water, and when."""
    found = when(rooms)
    return Answer(7, QUESTIONS[6], found.short, found.verdict, found.lines, found.figures, CAUTION)


def when(rooms: Rooms) -> When:
    """Say what the cells want by month, what to set at the controller, and what the budget says."""
    system, found = rooms.job.units, rooms.watering
    demand, program = found.demand, found.program
    if not found.valves.names or not demand.peak.size:
        return When("No cell is planted: nothing is to be watered.", (), (), "clear")
    m = demand.peak_month
    whole, each = (
        units.show(v, tag, system)
        for v, tag in (
            (float(demand.daily[:, m].sum()), "m3.garden"),
            (float(demand.peak.max()), "m3.water"),
        )
    )
    month = month_name(m)
    short = f"In {month} the garden wants {whole} a day; the thirstiest cell {each} in a dry year."
    climate = found.climate
    lines = [in_units(" ".join((f"Climate: {climate.name}.", *climate.notes)), system)]
    if found.planted.note:
        lines.append(found.planted.note)
    lines += [_setting(found, program, v, m) for v in range(len(found.valves.names))]
    lines += _year(found, system)
    dry = dry_cells(found, rooms.layout, system)
    lines += dry[:_MOST_DRY]
    if len(dry) > _MOST_DRY:
        lines.append(f"{len(dry) - _MOST_DRY} more plantings dry out so: see the season sheet.")
    lines += against_allowance(found, system)
    flawed = bool(found.warnings) or not found.complies or not found.tuned
    verdict: Verdict = "with measures" if flawed else "clear"
    if short_of := too_short(found):  # what is printed below would run outside the windows
        verdict, short = "stop", f"{short_of[0]} {short}"
    figures = [w.figure for w in found.workings]
    return When(short, tuple(lines), tuple(figures), verdict)


def days_text(program: Program, valve: int, month: int) -> str:
    """Say on which days a valve runs in a month: "every 3 days", "Mon and Thu"."""
    every = int(program.interval[valve, month])
    if not every:
        return "off"
    if chosen := program.weekdays[valve][month]:
        names = [_DAYS[d] for d in chosen]
        return ", ".join(names)
    text = "every day" if every == 1 else f"every {every} days"
    starts = int(program.starts[valve, month])
    return f"{text}, {starts} starts" if starts > 1 else text


def run_text(program: Program, valve: int, month: int) -> str:
    """Say how long a valve runs: "24 min", "3 x 8 min, 20 min apart"."""
    return length_text(
        int(program.minutes[valve, month]),
        int(program.cycles[valve, month]),
        int(program.soak[valve, month]),
    )


def length_text(minutes: int, cycles: int, soak: int) -> str:
    """Write minutes in their cycles."""
    if not minutes:
        return "off"
    if cycles <= 1:
        return f"{minutes} min"
    return f"{cycles} x {-(-minutes // cycles)} min, {soak} min apart"


def starts_text(program: Program, valve: int, month: int) -> str:
    """Give the times of day at which a valve opens, every cycle: "04:00, 04:28"."""
    return ", ".join(clock_text(at) for start in program.opens[valve][month] for at in start)


def _setting(found: Watering, program: Program, valve: int, month: int) -> str:
    at = " and ".join(clock_text(start[0]) for start in program.opens[valve][month]) or "-"
    runs = f"{days_text(program, valve, month)} from {at}, {run_text(program, valve, month)}"
    name = found.valves.names[valve]
    least = int(np.argmin(program.volume[valve]))
    dry = run_text(found.dry_program, valve, month)
    dry_days = days_text(found.dry_program, valve, month)
    low = f"{month_name(least)} {int(program.percent[valve, least])} % of the busiest month"
    return (
        f"{name[:1].upper()}{name[1:]}: in {month_name(month)} {runs}; {low}; in a dry year "
        f"{dry_days}, {dry}. The sheet for the controller has every month."
    )


def _year(found: Watering, system: System) -> list[str]:
    tuned, same = (float(s.given.sum()) for s in found.season)
    year, plain = (units.show(v, "m3.garden", system) for v in (tuned, same))
    saved = 100 * (1 - tuned / same) if same > 0 else 0.0
    line = (
        f"In a mean year the program takes {year}; the same minutes all year would take {plain} "
        f"({saved:.0f} % is saved)."
    )
    if found.price:
        line += (
            f" At the price given: {found.price * tuned:,.0f} against {found.price * same:,.0f}."
        )
    tuned_on = (
        "the days of its weather file" if found.climate.real else "a smooth year of its table"
    )
    stressed = found.season[0].stressed
    fit = "no cell dries further than its plants like"
    if stressed:
        worst = float(found.season[0].stress_days.max())
        fit = (
            f"{plural(stressed, 'cell')} dry further than their plants like, up to {worst:.0f} "
            "days a year"
        )
    grown = ", ".join(f"{100 * g:.0f} %" for g in found.demand.growth)
    young = f"While the plants grow they use, year by year after planting, {grown} of that."
    kept = f"Under this program {fit}, through {tuned_on}."
    return [line, *where_it_goes(found, system), young, kept]
