"""Sheets of the watering room: the controller's door, the season, the budget."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.answers.water import CAUTION, clock_text, days_text, run_text, starts_text
from hillwright.sheets.blocks import Block, Picture, RoomSheet, Table, Text
from hillwright.sheets.waterchart import HEIGHT, WIDTH, water_chart
from hillwright.units import System
from hillwright.watering.season import SeasonUnder, compare
from hillwright.watering.tables import DAYS
from hillwright.watering.words import month_name

if TYPE_CHECKING:
    from hillwright.plan import Plan

_SHORT = [month_name(m)[:3] for m in range(12)]


def water_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets: for the controller's door, of the season, for the plan checker."""
    if not plan.watering.valves.names:
        return ()
    return (door(plan), season(plan), budget(plan))


def door(plan: Plan) -> RoomSheet:
    """Give the table that is stuck in the controller's door."""
    found, program, dry = plan.watering, plan.watering.program, plan.watering.dry_program
    blocks: list[Block] = []
    for v, name in enumerate(found.valves.names):
        rows = tuple(
            (
                _SHORT[m],
                days_text(program, v, m),
                starts_text(program, found.window, v, m),
                run_text(program, v, m),
                f"{int(program.percent[v, m])} %",
                f"{days_text(dry, v, m)}, {run_text(dry, v, m)}" if dry.minutes[v, m] else "off",
            )
            for m in range(12)
        )
        head = ("month", "days", "starts", "run", "share of busiest", "dry year")
        cells = int((found.valves.valve == v).sum())
        flow = units.show(
            float(found.valves.flow[found.valves.valve == v].sum()),
            "m3/s.drip",
            plan.opened.job.units,
        )
        notes = (f"{cells} cells, {flow} in all.",)
        blocks.append(Table(name[:1].upper() + name[1:], head, rows, (4,), (), notes))
    windows = ", ".join(f"{clock_text(a)} to {clock_text(b)}" for a, b in found.rules.windows)
    how = (
        f"Water may run {windows}. Valves follow one another; a run that is written 3 x 8 min, "
        "20 min apart is three starts of 8 minutes, 20 minutes of rest between: nothing is shed.",
        "Every few days: counted from the first of the month. Change the setting on the first.",
        "A controller with a seasonal percentage may keep the busiest month's minutes and days, "
        "and be set to the share of that month.",
        "After a soaking rain leave the water off until the soil is dry a finger deep.",
    )
    blocks.append(Text("How to set it", how, listed=True))
    if found.establishment:
        new = [
            (e.valve, e.weeks, "every day" if e.interval == 1 else f"every {e.interval} days",
             f"{e.minutes} min")
            for e in found.establishment
        ]  # fmt: skip
        note = "In the busiest month; take its share in the others. Common practice, no source."
        blocks.append(
            Table("New plants: weeks after planting", ("valve", "weeks", "days", "run"),
                  tuple(new), (), (), (note,))
        )  # fmt: skip
    blocks.append(Text("Caution", (CAUTION,), strong=True))
    return RoomSheet("Watering: for the controller's door", tuple(blocks))


def season(plan: Plan) -> RoomSheet:
    """Give demand by month, and the season simulated against the same minutes all year."""
    found, system = plan.watering, plan.opened.job.units
    demand, climate = found.demand, found.climate
    tuned, same = compare(found)
    watered = demand.daily[found.planted.kind >= 0]

    def month(m: int) -> tuple[str, ...]:
        shown = (
            (float(climate.reference[m] * DAYS[m]), "m.water"),
            (float(climate.rain[m]), "m.water"),
            (float(demand.daily[:, m].sum()), "m3.garden"),
            (float(watered[:, m].min(initial=np.inf)), "m3.water"),
            (float(watered[:, m].max(initial=0.0)), "m3.water"),
            (float(tuned.given[m]), "m3.garden"),
            (float(tuned.deep[m]), "m3.garden"),
            (float(same.given[m]), "m3.garden"),
            (float(same.deep[m]), "m3.garden"),
        )
        return (_SHORT[m], *(units.show(value, tag, system) for value, tag in shown))

    head = (
        "month", "reference ET", "rain", "garden a day", "least cell", "thirstiest cell",
        "given", "lost below", "same minutes: given", "lost below",
    )  # fmt: skip
    known = f"{tuned.years:.0f} years" if tuned.years > 1.5 else "one year"
    part = f"{100 * found.rules.efficiency:.0f} %"
    kind = "real days" if climate.real else "smooth days"
    notes = (
        f"Volumes leave the emitters; {part} of them reach the roots. Given and lost (rain too): a "
        f"daily balance of every cell through {known} of {kind}, {climate.name}.",
    )
    peak = units.show(float(demand.peak.sum()), "m3.garden", system)
    cell = units.show(float(demand.peak.max()), "m3.water", system)
    facts = (
        f"Climate: {climate.name}.",
        *climate.notes,
        f"For the pipes: a day of {month_name(demand.peak_month)} in a dry year, without rain, "
        f"takes {peak} in all and {cell} at the thirstiest cell.",
    )
    compared = Table(
        "A year under each setting",
        ("setting", "given", "used by plants", "lost below roots", "lost on the way",
         "cells stressed", "worst cell", "cost"),
        tuple(_year_row(s, system, found.price) for s in (tuned, same)),
        tuple(range(1, 8)),
        notes=(
            "Worst cell: days of stress in a mean year; a day counts when it ends with more than "
            "the readily available water gone.",
        ),
    )  # fmt: skip
    months = tuple(month(m) for m in range(12))
    table = Table("Demand, and the season simulated", head, months, tuple(range(1, 10)), (), notes)
    factor, unit, _ = units.shown(1.0, "m3.garden", system)
    series = (demand.net.sum(axis=0) * DAYS, tuned.given, same.given)
    chart = Picture(
        "The year's water",
        water_chart([[factor * float(v) for v in s] for s in series], f"{unit} a month"),
        WIDTH,
        HEIGHT,
        "Bars by month: what plants use, what is given month by month, what the same minutes give",
        ("Light: what the plants use beyond the rain. Dark: given, tuned month by month. Open: "
         "given by the same minutes all year.",),
    )  # fmt: skip
    climate_text = Text("Climate", facts, listed=True)
    return RoomSheet("Water: demand and season", (climate_text, table, compared, chart))


def _year_row(s: SeasonUnder, system: System, price: float) -> tuple[str, ...]:
    given, used, deep, missed = (
        units.show(float(v), "m3.garden", system)
        for v in (s.given.sum(), s.used.sum(), s.deep.sum(), s.missed)
    )
    worst = f"{float(s.stress_days.max(initial=0.0)):.1f} days"
    cost = f"{s.cost:,.0f}" if price else "no price"
    return s.name, given, used, deep, missed, str(s.stressed), worst, cost


def budget(plan: Plan) -> RoomSheet:
    """Give the worksheet of a model ordinance, in the units and order that a plan checker knows."""
    found = plan.watering
    inch, foot, gallon = 0.0254, 0.3048**2, 231 * 0.0254**3
    year = float((found.climate.reference * np.array(DAYS)).sum()) / inch
    rows = []
    for special in (False, True):
        for k, name in enumerate(found.worksheet_zone):
            if bool(found.worksheet_special[k]) != special:
                continue
            area = found.worksheet_area[k] / foot
            etaf = found.worksheet_etaf[k]
            rows.append((
                name,
                "special (SLA)" if special else "regular",
                "" if special else f"{found.worksheet_factor[k]:.2f}",
                "drip",
                "" if special else f"{found.rules.efficiency:.2f}",
                f"{etaf:.2f}",
                f"{area:,.0f}",
                f"{etaf * area:,.0f}",
                f"{found.worksheet_use[k] / gallon:,.0f}",
            ))  # fmt: skip
    head = (
        "hydrozone", "area kind", "plant factor (PF)", "irrigation method", "efficiency (IE)",
        "ETAF (PF/IE)", "area (sq. ft.)", "ETAF x area", "estimated use (ETWU, gal/yr)",
    )  # fmt: skip
    regular = found.worksheet_area[~found.worksheet_special].sum() / foot
    special_area = found.worksheet_area[found.worksheet_special].sum() / foot
    total = regular + special_area
    within = "ETWU is within MAWA." if found.complies else "ETWU IS ABOVE MAWA: not in compliance."
    sums = (
        ("Reference evapotranspiration ETo (in/yr)", f"{year:.1f}"),
        ("Regular landscape area (sq. ft.)", f"{regular:,.0f}"),
        ("Special landscape area SLA (sq. ft.)", f"{special_area:,.0f}"),
        ("Average ETAF of regular areas", f"{found.regular_etaf:.2f}"),
        ("ETAF allowed", f"{found.allowed_etaf:.2f}"),
        ("Site-wide ETAF", f"{found.site_etaf:.2f}"),
        ("Estimated total water use ETWU (gal/yr)", f"{found.estimated / gallon:,.0f}"),
        ("Maximum applied water allowance MAWA (gal/yr)", f"{found.allowance / gallon:,.0f}"),
    )
    notes = (
        f"MAWA = ETo 0.62 [(ETAF x LA) + (1 - ETAF) x SLA] = {year:.1f} x 0.62 x "
        f"[({found.allowed_etaf:.2f} x {total:,.0f}) + ({1 - found.allowed_etaf:.2f} x "
        f"{special_area:,.0f})].",
        "Areas dedicated to edible plants are special landscape area with ETAF 1. Areas are those "
        "of the watered cells on the map. A mixed hydrozone takes the factor of its thirstiest "
        "plant.",
        f"ETo: {found.climate.name}. A permit may ask for the value of its own table.",
        "After California Code of Regulations, Title 23, Chapter 2.7 (factors of January 2025, in "
        "parts from memory): ask which ordinance is in force, and who must sign.",
    )
    return RoomSheet(
        "Water budget worksheet",
        (
            Table("Hydrozone table", head, tuple(rows), tuple(range(2, 9)), (), ()),
            Table("Water budget", ("line of the worksheet", "figure"), sums, (1,), (), notes),
            Text("Result", (within,), strong=True),
        ),
    )
