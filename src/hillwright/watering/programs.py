"""Programs of the valves: days by the soil, minutes tuned on the climate's days."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.watering import tables
from hillwright.watering.balance import MONTH_OF_DAY
from hillwright.watering.demand import effective_rain, spreads
from hillwright.watering.given import DAY
from hillwright.watering.intake import cycle_and_soak, soil_intake, wetted_circle
from hillwright.watering.model import (
    Climate,
    Demand,
    Planted,
    Program,
    Rules,
    Soil,
    Store,
    Valves,
)
from hillwright.watering.soilstore import depletion_fraction
from hillwright.watering.tables import DAYS
from hillwright.watering.timetable import Pattern, pattern_of, program_of
from hillwright.watering.tune import leading_cells, side_by_side, tune
from hillwright.watering.yearclimate import driest_years

_HEAT = 1.25  # hottest day of a month over its mean, where no days are known


def wetting(
    planted: Planted, soil: Soil, valves: Valves, area: Array
) -> tuple[Array, Array, Array]:
    """Give the ground that each cell's emitters wet [m2], and by valve longest run and soak [s]."""
    row = tables.row("soil_water", "alike", "texture", soil.texture)
    spot = wetted_circle(1.0, soil.texture, np.maximum(valves.emitters, 1.0)).area
    # emitters of a wide plant lie round it, those of others within their cell
    room = np.where(spreads(planted, area), planted.canopy, area)
    ground = np.minimum(spot, np.maximum(room, 1e-9))
    takes = soil_intake(row["intake"], soil.top_slope)
    held = cycle_and_soak(valves.flow / ground, takes.rate, takes.accumulation)
    v = len(valves.names)
    longest, soak = np.full(v, np.inf), np.zeros(v)
    for i in range(v):
        here = valves.valve == i
        longest[i] = held.longest_run[here].min(initial=np.inf)
        soak[i] = held.shortest_soak[here].max(initial=0.0)
    return ground, longest, soak


def tuned_program(
    climate: Climate,
    demand: Demand,
    store: Store,
    valves: Valves,
    rules: Rules,
    longest: Array,
    soak: Array,
    flow: Array,
    dry: bool,
    held: Array,
) -> tuple[Program, Pattern, bool]:
    """Choose days and minutes, and tune the minutes on the days that the climate has."""
    month = _months(climate.year, climate.day)
    reference, rain, keep = _days(climate, demand, rules, month, dry, held)
    hottest = np.array([reference[month == m].max(initial=0.0) for m in range(12)])
    if not climate.real:
        hottest = hottest * _HEAT
    etc = hottest * demand.coefficient
    ready = depletion_fraction(store.depletion[:, None], etc / DAY) * store.total[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        lasts = np.where(etc > 0, ready / etc, np.inf)
        seconds = np.where(
            store.rate[:, None] > 0, etc / (store.rate[:, None] * rules.efficiency), 0.0
        )
    v = len(valves.names)
    days, use, need = (np.zeros((v, 12)) for _ in range(3))
    wanted = demand.dry_daily if dry else demand.daily
    for i in range(v):
        here = valves.valve == i
        days[i] = lasts[here].min(axis=0, initial=np.inf)
        use[i] = etc[here].max(axis=0, initial=0.0)
        need[i] = seconds[here].max(axis=0, initial=0.0)
    total = np.array([wanted[valves.valve == i].sum(axis=0) for i in range(v)]).reshape(v, 12)
    # with real days the tuning finds out for itself whether a month needs water
    pattern = pattern_of(days, use, use if climate.real else total, rules)
    per_day = np.maximum(pattern.starts, 1)
    most = np.ceil(need * np.maximum(pattern.interval, 1) / per_day / 60 + 1e-9).astype(np.intp) + 1
    most = np.where(pattern.interval > 0, most, 0)
    lead = leading_cells(demand.coefficient, store, valves.valve)
    few = Store(store.total[lead], store.depletion[lead], store.catch[lead], store.rate[lead])
    years = side_by_side(
        climate.year[keep], climate.day[keep], reference[keep], rain[keep], month[keep]
    )
    minutes, tuned = tune(
        years, demand.coefficient[lead], few, valves.valve[lead], pattern, most, rules.efficiency
    )
    pattern = _without_idle(pattern, minutes)
    return program_of(pattern, minutes, longest, soak, flow, rules), pattern, tuned


def _without_idle(pattern: Pattern, minutes: Index) -> Pattern:
    on = minutes > 0
    return Pattern(
        frozen(np.where(on, pattern.interval, 0)),
        frozen(np.where(on, pattern.starts, 0)),
        pattern.weekdays,
        pattern.too_few,
    )


def _months(year: Index, day: Index) -> Index:
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    return np.asarray(MONTH_OF_DAY[np.where(leap | (day < 60), day, day + 1) - 1])


def _days(
    climate: Climate, demand: Demand, rules: Rules, month: Index, dry: bool, held: Array
) -> tuple[Array, Array, Mask]:
    """Give reference ET and rain that enters the soil of each day, and which days to tune on.

    With real years the typical program is tuned on all but the driest tenth, the dry one on all.
    """
    keep = np.ones(len(climate.day), dtype=bool)
    if climate.real:
        known = np.unique(climate.year)
        if not dry:
            keep = ~np.isin(climate.year, driest_years(climate))
        if dry and len(known) < 5:  # too few years to hold a dry one: as dry as the climate says
            scale = climate.dry_reference / np.maximum(climate.reference, 1e-12)
            return climate.daily * scale[month], rules.rain_share * climate.daily_rain, keep
        return climate.daily, rules.rain_share * climate.daily_rain, keep
    days = np.array(DAYS)
    reference = climate.dry_reference if dry else climate.reference
    wet = climate.dry_rain if dry else climate.rain
    there = demand.coefficient.any(axis=1)
    if not there.any():
        return reference[month], np.zeros(len(month)), keep
    use = reference * days * demand.coefficient[there]
    effective = effective_rain(rules, wet, use, held[there]).min(axis=0) / days
    return reference[month], effective[month], keep


def same_all_year(
    program: Program, pattern: Pattern, longest: Array, soak: Array, flow: Array, rules: Rules
) -> Program:
    """Give the busiest month's setting in every month, as a controller that nobody touches has."""
    v = len(program.minutes)
    interval, starts, minutes = (np.zeros((v, 12), dtype=np.intp) for _ in range(3))
    weekdays = []
    for i in range(v):
        per_day = program.minutes[i] * program.starts[i] / np.maximum(program.interval[i], 1)
        m = int(np.argmax(per_day))
        interval[i], starts[i] = program.interval[i, m], program.starts[i, m]
        minutes[i] = program.minutes[i, m]
        weekdays.append((pattern.weekdays[i][m],) * 12)
    same = Pattern(frozen(interval), frozen(starts), tuple(weekdays), ())
    return program_of(same, minutes, longest, soak, flow, rules)
