"""Programs of the valves: days by the soil, minutes tuned on the climate's days."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.watering import tables
from hillwright.watering.balance import MONTH_OF_DAY
from hillwright.watering.daycourse import DayParts, day_parts, longest_wait
from hillwright.watering.demand import spreads
from hillwright.watering.given import DAY
from hillwright.watering.intake import cycle_and_soak, soil_intake, wetted_circle
from hillwright.watering.least import least_minutes, stands
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
from hillwright.watering.timetable import (
    Pattern,
    in_cycles,
    pattern_of,
    program_of,
    waterings,
)
from hillwright.watering.trial import Known, Trial, side_by_side, trial_of
from hillwright.watering.tune import leading_cells, tune
from hillwright.watering.yearclimate import driest_years

_HEAT = 1.25  # hottest day of a month over its mean, where no days are known
_PASSES = 3  # of tuning: minutes, then the clock that they make
_ROUNDS = 4  # of tuning at most, with oftener waterings where a run does not fit its window
_ALIKE = 0.002  # of a day's use: a clock that moves less is the same


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


@dataclass(frozen=True, slots=True, eq=False)
class Tuned:
    """A program with what it was made from."""

    program: Program
    pattern: Pattern
    fine: bool  # no cell is stressed that any minutes could keep from it
    strain: Array  # (n, 12) used on the hottest day in the longest wait, over what may be used [-]
    begun: Array  # (c,) of the cells that decide: most that is missing when a year begins [m]


def tuned_program(
    climate: Climate,
    demand: Demand,
    store: Store,
    valves: Valves,
    rules: Rules,
    longest: Array,
    soak: Array,
    flow: Array,
    ordinary: Tuned | None = None,
) -> Tuned:
    """Choose days and starts, and tune the minutes on the days that the climate has.

    With ``ordinary`` given it is the program of a dry year: in no month below that one.
    """
    typical = None if ordinary is None else ordinary.program
    dry = typical is not None
    month = _months(climate.year, climate.day)
    reference, rain, keep = _days(climate, rules, month, dry)
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
    lead = leading_cells(demand.coefficient, store, valves.valve)
    few = Store(store.total[lead], store.depletion[lead], store.catch[lead], store.rate[lead])
    wet = 0.0 if climate.real else (demand.dry_wet if dry else demand.wet)[lead]
    years = side_by_side(
        climate.year[keep], climate.day[keep], reference[keep], rain[keep], month[keep]
    )
    cells = (demand.coefficient[lead], few, valves.valve[lead])
    known: Known = {}

    def laid_out(pattern: Pattern, parts: DayParts) -> Trial:
        return trial_of(years, *cells, pattern, rules.efficiency, parts, wet, known)

    cap = np.full((v, 12), rules.longest_interval)
    for _ in range(_ROUNDS):
        # with real days the tuning finds out for itself whether a month needs water
        wants = use if climate.real else total
        pattern = pattern_of(days, wants, rules, climate.latitude, cap)
        per_day = np.maximum(pattern.starts, 1)
        most = np.ceil(need * np.maximum(pattern.interval, 1) / per_day / 60 + 1e-9)
        most = np.where(pattern.interval > 0, most + 1, 0).astype(np.intp)

        arrives = pattern.wished
        for _ in range(_PASSES):  # how long water runs decides when it is in the soil
            parts = day_parts(arrives, climate.latitude)
            minutes, fine = tune(laid_out(pattern, parts), most)
            if typical is not None:
                minutes = np.where(minutes > 0, np.maximum(minutes, _as_much(typical, pattern)), 0)
            program = program_of(pattern, minutes, longest, soak, flow, rules)
            if _same_wait(parts, day_parts(program.arrives, climate.latitude)):
                break
            # a month that is off keeps its wished starts: it may be on the next time
            arrives = tuple(
                tuple(r or w for r, w in zip(row, wish, strict=True))
                for row, wish in zip(program.arrives, pattern.wished, strict=True)
            )
        if not _shorter(program, cap):
            break
    enough = np.asarray(program.minutes)
    floor = np.zeros_like(enough) if typical is None else _as_much(typical, pattern)

    def trial(of: Program) -> Trial:
        at = tuple(
            tuple(r or w for r, w in zip(row, wish, strict=True))
            for row, wish in zip(of.arrives, pattern.wished, strict=True)
        )
        return laid_out(pattern, day_parts(at, climate.latitude))

    def settable(some: Index) -> Index:
        cycles, each = in_cycles(some, longest)
        return np.asarray(cycles * each)

    begun = np.zeros(len(lead)) if ordinary is None else ordinary.begun
    if len(lead):
        now = trial(program)
        were, _ = stands(now, enough, begun)
        minutes, fine = least_minutes(now, enough, floor, most, settable, begun)
        # shorter runs end sooner: a valve that does not stand it keeps what it had
        shorter = trial(program_of(pattern, minutes, longest, soak, flow, rules))
        wrong: Mask = np.asarray((stands(shorter, minutes, begun)[0] & ~were).any(axis=1))
        if wrong.any():
            minutes = np.where(wrong[:, None], enough, minutes)
            fine = not bool(were.any())
        _, begun = stands(shorter, minutes, begun)
    pattern = _without_idle(pattern, minutes)
    program = program_of(pattern, minutes, longest, soak, flow, rules)
    wait = longest_wait(day_parts(program.arrives, climate.latitude))
    waits = np.where(pattern.interval > 0, np.maximum(pattern.interval - 1, 0) + wait, 0.0)
    with np.errstate(divide="ignore"):
        # nothing is watered where there is no valve
        own = waits[np.maximum(valves.valve, 0)] if len(waits) else np.zeros_like(etc)
        strain = np.where(etc > 0, own / lasts, 0.0)
    strain[valves.valve < 0] = 0.0
    return Tuned(program, pattern, fine, frozen(strain), frozen(begun))


def _shorter(program: Program, cap: Index) -> bool:
    """Have the longest of the runs that do not fit their window come oftener, if one can."""
    changed = False
    for m in np.flatnonzero(program.over > 0):
        rests = program.soak[:, m] * np.maximum(program.cycles[:, m] - 1, 0)
        long = np.where(program.interval[:, m] > 1, program.minutes[:, m] + rests, 0)
        if long.max(initial=0) > 0:
            i = int(np.argmax(long))
            now, fits = int(program.interval[i, m]), 1 - float(program.over[m]) / 60 / long[i]
            cap[i, m] = max(min(now - 1, int(now * max(fits, 0.0))), 1)
            changed = True
    return changed


def _same_wait(one: DayParts, other: DayParts) -> bool:
    """Tell whether days are cut alike where they are cut at all."""
    if one.use.shape != other.use.shape:
        return False
    on = other.given.any(axis=0)
    return bool(np.abs(np.where(on, one.use - other.use, 0.0)).max(initial=0.0) < _ALIKE)


def _as_much(typical: Program, pattern: Pattern) -> Index:
    """Give the minutes with which a pattern of days brings what the typical program brings."""
    v = len(typical.minutes)
    found = np.zeros((v, 12), dtype=np.intp)
    was = Pattern(typical.interval, typical.starts, typical.weekdays, (), ())
    for i in range(v):
        for m in range(12):
            if not pattern.starts[i, m]:
                continue
            a_month = typical.minutes[i, m] * typical.starts[i, m] * waterings(was, i, m)
            found[i, m] = math.ceil(
                a_month / (pattern.starts[i, m] * waterings(pattern, i, m)) - 1e-9
            )
    return found


def _without_idle(pattern: Pattern, minutes: Index) -> Pattern:
    on = minutes > 0
    return Pattern(
        frozen(np.where(on, pattern.interval, 0)),
        frozen(np.where(on, pattern.starts, 0)),
        pattern.weekdays,
        tuple(
            tuple(at if on[i, m] else () for m, at in enumerate(row))
            for i, row in enumerate(pattern.wished)
        ),
        pattern.too_few,
    )


def _months(year: Index, day: Index) -> Index:
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    return np.asarray(MONTH_OF_DAY[np.where(leap | (day < 60), day, day + 1) - 1])


def _days(climate: Climate, rules: Rules, month: Index, dry: bool) -> tuple[Array, Array, Mask]:
    """Give reference ET and rain that enters the soil of each day, and which days to tune on.

    With real years the typical program is tuned on all but the driest tenth, the dry one on all.
    What rain a table's months bring is counted cell by cell, beside these days.
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
    reference = climate.dry_reference if dry else climate.reference
    return reference[month], np.zeros(len(month)), keep


def same_all_year(
    program: Program, pattern: Pattern, longest: Array, soak: Array, flow: Array, rules: Rules
) -> Program:
    """Give the busiest month's setting in every month, as a controller that nobody touches has."""
    v = len(program.minutes)
    interval, starts, minutes = (np.zeros((v, 12), dtype=np.intp) for _ in range(3))
    weekdays, wished = [], []
    for i in range(v):
        per_day = program.minutes[i] * program.starts[i] / np.maximum(program.interval[i], 1)
        m = int(np.argmax(per_day))
        interval[i], starts[i] = program.interval[i, m], program.starts[i, m]
        minutes[i] = program.minutes[i, m]
        weekdays.append((pattern.weekdays[i][m],) * 12)
        wished.append((pattern.wished[i][m],) * 12)
    same = Pattern(frozen(interval), frozen(starts), tuple(weekdays), tuple(wished), ())
    return program_of(same, minutes, longest, soak, flow, rules)
