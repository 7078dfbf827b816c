"""Sheets of the watering room: the controller's door, the season, the budget."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.answers.water import CAUTION, days_text, length_text, run_text, starts_text
from hillwright.answers.waterwords import (
    against_allowance,
    clock_text,
    named_cells,
    remedy_of,
    where_it_goes,
)
from hillwright.sheets.blocks import Block, Picture, RoomSheet, Table, Text
from hillwright.sheets.waterchart import HEIGHT, WIDTH, water_chart
from hillwright.units import System
from hillwright.watering.bridge import Short, short_cells
from hillwright.watering.model import SeasonUnder, Watering
from hillwright.watering.tables import DAYS
from hillwright.watering.words import month_name, too_short, too_short_dry
from hillwright.wording import in_units, plural

if TYPE_CHECKING:
    from hillwright.plan import Plan

_SHORT = [month_name(m)[:3] for m in range(12)]


def water_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets: for the controller's door, of the season, for the plan checker."""
    if not plan.watering.valves.names:
        return ()
    if plan.irrigation.refused:
        return (nothing_to_set(plan), budget(plan))
    return (door(plan), season(plan), budget(plan))


def nothing_to_set(plan: Plan) -> RoomSheet:
    """Say in the place of the program that there is no network that it could run on."""
    system = plan.opened.job.units
    why = tuple(in_units(f"{what}: {right}.", system) for _, what, right in plan.irrigation.refused)
    return RoomSheet(
        "Watering: nothing to set yet",
        (
            Text("STOP: no drip network waters these plants yet", why, strong=True),
            Text(
                "Until then",
                (
                    "Set no controller: minutes belong to valves and emitters, and there are none.",
                    "Plant only what somebody waters by hand. The answers and the table of water "
                    "by cell say how much each cell needs.",
                ),
                listed=True,
            ),
            Text("Caution", (CAUTION,), strong=True),
        ),
    )


def door(plan: Plan) -> RoomSheet:
    """Give the table that is stuck in the controller's door."""
    found, system = plan.watering, plan.opened.job.units
    stop = stops(found)
    blocks: list[Block] = []
    if stop:
        blocks.append(Text("STOP: this program does not fit", stop, strong=True))
    blocks += [_valve(plan, v, bool(stop)) for v in range(len(found.valves.names))]
    windows = ", ".join(f"{clock_text(a)} to {clock_text(b)}" for a, b in found.rules.windows)
    how = (
        f"Water may run {windows}. Valves follow one another; a run that is written 3 x 8 min, "
        "20 min apart is three starts of 8 minutes, at least 20 minutes of rest between: nothing "
        "is shed. Each start of the table is one of the controller's, or a cycle of its own "
        "cycle and soak.",
        "Every few days: counted from the first of the month. Change the setting on the first.",
        "A controller with a seasonal percentage may keep the busiest month's minutes and days, "
        "and be set to the share of that month (water of a mean day over that of the busiest).",
        "First year: the run to set in the year of planting, on the same days and starts, once the "
        "steps for new plants are done. Annual crops keep the full run.",
        "After a soaking rain leave the water off until the soil is dry a finger deep. Where a "
        "rain shut-off is wired, or a local rule asks for one, let it hold waterings back; the "
        "minutes here count on the usual rain, not on it.",
        "Times are those on the wall: when clocks change, change the controller's too. In summer "
        "time the sun is an hour late by them; a second start near noon may be set an hour later.",
    )
    blocks.append(Text("How to set it", how, listed=True))
    if found.establishment:
        blocks.append(_new_plants(found))
    goes = (*where_it_goes(found, system), *against_allowance(found, system))
    blocks.append(Text("Where the water goes", goes, listed=True))
    blocks.append(Text("Caution", (CAUTION,), strong=True))
    return RoomSheet("Watering: for the controller's door", tuple(blocks))


def stops(found: Watering) -> tuple[str, ...]:
    """Give why the program must not be set as it stands."""
    return (*too_short(found), *too_short_dry(found))


def _valve(plan: Plan, v: int, stop: bool) -> Table:
    found, program, dry = plan.watering, plan.watering.program, plan.watering.dry_program

    def month(m: int) -> tuple[str, ...]:
        first = length_text(
            int(found.first_minutes[v, m]), int(program.cycles[v, m]), int(program.soak[v, m])
        )
        share = f" ({100 * found.first_share[v, m]:.0f} %)" if program.minutes[v, m] else ""
        late = program.over[m] > 0 or dry.over[m] > 0
        return (
            _SHORT[m] + (" STOP" if late else ""),
            days_text(program, v, m),
            starts_text(program, v, m),
            run_text(program, v, m),
            f"{int(program.percent[v, m])} %",
            first + share,
            f"{days_text(dry, v, m)}, {run_text(dry, v, m)}" if dry.minutes[v, m] else "off",
        )

    head = ("month", "days", "starts", "run", "share of busiest", "first year: run", "dry year")
    name = found.valves.names[v]
    here = found.valves.valve == v
    flow = units.show(float(found.valves.flow[here].sum()), "m3/s.drip", plan.opened.job.units)
    notes = [f"{plural(int(here.sum()), 'cell')}, {flow} in all."]
    short = [s for s in short_cells(found) if here[s.cells].any()]
    if short:
        kinds = ", ".join(found.planted.kinds[s.kind].lower() for s in short)
        notes.append(
            f"Not every cell lasts between these waterings on hot days ({kinds}): see the season "
            "sheet for the cells and what would help."
        )
    if stop:
        notes.append("STOP: does not fit the watering windows. Do not set it before that is mended")
    title = name[:1].upper() + name[1:] + (" - STOP" if stop else "")
    rows = tuple(month(m) for m in range(12))
    return Table(title, head, rows, (4,), (), tuple(notes))


def _new_plants(found: Watering) -> Table:
    new = tuple(
        (
            e.valve,
            e.weeks,
            "every day" if e.interval == 1 else f"every {e.interval} days",
            length_text(e.minutes, e.cycles, e.soak),
            e.note,
        )
        for e in found.establishment
    )
    notes = (
        "In the busiest month; take its share in the others. Waits: University of Minnesota "
        "Extension, Watering newly planted trees and shrubs (daily in weeks 1 and 2, every 2 to 3 "
        "days to week 12, then weekly), shorter where the root ball lasts less. Each watering: a "
        "quarter of the container (same source) or the use till the next, whichever is more. Crops "
        "by their FAO-56 stage. Sizes as planted: common practice.",
    )
    head = ("valve", "weeks", "days", "run", "go on to the next step when")
    return Table("New plants: weeks after planting", head, new, (), (), notes)


def season(plan: Plan) -> RoomSheet:
    """Give demand by month, and the season simulated against the same minutes all year."""
    found, system = plan.watering, plan.opened.job.units
    demand, climate = found.demand, found.climate
    tuned, same = found.season
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
         "cells stressed", "worst cell", f"cost [{plan.opened.job.estimate.currency}]"),
        tuple(_year_row(s, system, found.price) for s in (tuned, same)),
        tuple(range(1, 8)),
        notes=(
            "Worst cell: days of stress in a mean year; a day counts when more than the readily "
            "available water is gone at its driest hour.",
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
    goes = Text("Where the water goes", tuple(where_it_goes(found, system)), listed=True)
    blocks: list[Block] = [climate_text, table, compared, goes]
    if short := short_cells(found):
        blocks.append(_dry(plan, short))
    return RoomSheet("Water: demand and season", (*blocks, chart))


def _dry(plan: Plan, short: tuple[Short, ...]) -> Table:
    """Give the cells that dry out between their waterings, and what would help."""
    found, system = plan.watering, plan.opened.job.units
    rows = tuple(
        (
            found.planted.kinds[s.kind],
            named_cells(plan.layout, s.cells.tolist()),
            month_name(s.month),
            f"{s.strain:.2f}",
            f"{s.days:.0f}",
            remedy_of(found, s, system),
        )
        for s in short
    )
    head = (
        "planting", "cells", "worst in", "use over store", "stress days a year", "what would do",
    )  # fmt: skip
    note = (
        "Use over store: on the hottest day, what the plants use in the longest wait between two "
        "waterings (by the sun's course, at the starts of the program), over what may be used "
        "before they are short. The worst cell of each planting is told.",
    )
    return Table("Cells that do not last between waterings", head, rows, (3, 4), (0, 2, 0, 0, 0, 2),
                 note)  # fmt: skip


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
    found, system = plan.watering, plan.opened.job.units
    told = (*against_allowance(found, system), *where_it_goes(found, system))
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
    given = float(found.season[0].given.sum())
    sums = (
        ("Reference evapotranspiration ETo (in/yr)", f"{year:.1f}"),
        ("Regular landscape area (sq. ft.)", f"{regular:,.0f}"),
        ("Special landscape area SLA (sq. ft.)", f"{special_area:,.0f}"),
        ("Average ETAF of regular areas", f"{found.regular_etaf:.2f}"),
        ("ETAF allowed", f"{found.allowed_etaf:.2f}"),
        ("Site-wide ETAF", f"{found.site_etaf:.2f}"),
        ("Estimated total water use ETWU (gal/yr)", f"{found.estimated / gallon:,.0f}"),
        ("Maximum applied water allowance MAWA (gal/yr)", f"{found.allowance / gallon:,.0f}"),
        ("Program of the controller, mean year (gal/yr)", f"{given / gallon:,.0f}"),
        ("Program over allowance", _over(given / max(found.allowance, 1e-12))),
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
            Text("Result", (within, *_program(given, found.allowance)), strong=True),
            Text("Why, and what would help", told, listed=True),
        ),
    )


def _over(ratio: float) -> str:
    return f"{ratio:.2f}{' OVER' if ratio > 1 else ''}"


def _program(given: float, allowance: float) -> tuple[str, ...]:
    if given <= allowance:
        return ("The controller's program is within MAWA.",)
    return ("THE CONTROLLER'S PROGRAM IS OVER THE ALLOWANCE (MAWA).",)
