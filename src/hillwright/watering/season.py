"""The season simulated: every cell through every day of the weather, under a program."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.watering.balance import MONTH_OF_DAY, Season, closure, water_balance
from hillwright.watering.daycourse import day_parts
from hillwright.watering.model import Climate, Program, SeasonUnder, Watering
from hillwright.watering.timetable import MINUTE, Pattern, runs_on
from hillwright.watering.yearclimate import driest_years

_TOGETHER = 4_000_000  # days times cells: more are followed one program after the other


def simulate(
    found: Watering, program: Program, name: str, dry: Program | None = None
) -> SeasonUnder:
    """Follow every cell through the climate's days under a program.

    Parameters
    ----------
    found : Watering
        The garden.
    program : Program
        What the controller is set to.
    name : str
        What to call it.
    dry : Program, optional
        What it is set to in the driest tenth of the years, where there are enough to tell.
    """
    return _followed(found, ((name, program, dry),))[0]


def _followed(
    found: Watering, tried: Sequence[tuple[str, Program, Program | None]]
) -> tuple[SeasonUnder, ...]:
    """Follow the cells under several programs, side by side: name, setting, dry-year setting."""
    climate, store, valve = found.climate, found.store, found.valves.valve
    there = np.flatnonzero(valve >= 0)
    leap = (climate.year % 4 == 0) & ((climate.year % 100 != 0) | (climate.year % 400 == 0))
    day = np.where(leap | (climate.day < 60), climate.day, climate.day + 1)
    month = MONTH_OF_DAY[day - 1]
    n = len(valve)
    years = len(climate.day) / 365.25 if climate.real else 1.0
    if not len(there):
        zero, none = frozen(np.zeros(12)), frozen(np.zeros(n))
        nothing = (zero, zero, 0.0, zero, zero, none, 0, 0.0, 0.0, 0.0)
        return tuple(SeasonUnder(name, years, *nothing) for name, *_ in tried)
    # a dry year's months are a second twelve, with days cut at the waterings of their own
    dry_too = any(dry is not None for *_, dry in tried)
    thirsty = np.isin(climate.year, driest_years(climate)) & dry_too
    row = month + 12 * thirsty
    gross, shares = [], []
    for _, program, dry in tried:
        seconds = _open(program, climate, month)
        if dry is not None:
            seconds = np.where(thirsty[:, None], _open(dry, climate, month), seconds)
        gross.append(seconds[:, valve[there]] * store.rate[there])
        shares += [setting.arrives for setting in (program, dry or program)[: 1 + dry_too]]
    cut = day_parts([row for arrives in shares for row in arrives], climate.latitude)
    programs, used, valves = len(tried), 1 + dry_too, len(shares[0])

    def by_cell(of_valve: Array) -> Array:
        """Give shares of valves (j, 12, ...) by cell (j, 12 or 24, ...), program by program."""
        parts = len(of_valve)
        each = of_valve.reshape(parts, 12, programs, used, valves).transpose(0, 3, 1, 2, 4)
        cells = each.reshape(parts, 12 * used, programs, valves)[..., valve[there]]
        return np.ascontiguousarray(cells.reshape(parts, 12 * used, -1))

    rain = found.rules.rain_share * climate.daily_rain[:, None] * store.catch[there]
    if not climate.real:
        rain = rain + found.demand.wet[there].T[month]
    season = water_balance(
        row,
        climate.daily,
        np.tile(rain, programs),
        np.tile(found.demand.coefficient[there].T, (used, programs)),
        np.hstack(gross) * found.rules.efficiency,
        np.tile(store.total[there], programs),
        np.tile(store.depletion[there], programs),
        0.0,
        *map(by_cell, cut),
    )
    some = len(there)
    return tuple(
        _under(found, name, Season(*(a[..., some * i : some * (i + 1)] for a in season)),
               gross[i], month, years)
        for i, (name, *_) in enumerate(tried)
    )  # fmt: skip


def _under(
    found: Watering, name: str, season: Season, gross: Array, month: Index, years: float
) -> SeasonUnder:
    """Add up what became of the water of the watered cells, in a mean year."""
    there = np.flatnonzero(found.valves.valve >= 0)
    area = found.planted.canopy[there]
    given = np.array([gross[month == m].sum(axis=0) @ area for m in range(12)]) / years

    def volume(depths: Array) -> Array:
        by_row = (depths * area).sum(axis=1).reshape(-1, 12)
        return frozen(np.asarray(by_row.sum(axis=0) / years))

    stress = np.zeros(len(found.valves.valve))
    stress[there] = season.stress_days.sum(axis=0) / years
    missed = float(given.sum()) - float(volume(season.applied).sum())
    return SeasonUnder(
        name=name,
        years=years,
        given=frozen(given),
        deep=volume(season.deep),
        missed=missed,
        rain=volume(season.rain),
        used=volume(season.used),
        stress_days=frozen(stress),
        stressed=int((stress > 0).sum()),
        driest=float(season.driest.max()),
        cost=found.price * float(given.sum()),
        closure=float(np.abs(closure(season)).max()),
    )


def _open(program: Program, climate: Climate, month: Index) -> Array:
    """Give how long each valve is open on each day (k, v) [s]."""
    pattern = Pattern(program.interval, program.starts, program.weekdays, (), ())
    runs = runs_on(pattern, climate.year, climate.day, month)
    return np.asarray((program.minutes * program.starts * MINUTE)[:, month].T * runs)


def compare(found: Watering) -> tuple[SeasonUnder, SeasonUnder]:
    """Give the season under the tuned program, and under the same minutes all year."""
    dry = driest_years(found.climate)
    name = "tuned month by month"
    if len(dry):
        name += f", dry-year setting in {', '.join(str(y) for y in dry)}"
    same = ("same minutes all year", found.same_program, None)
    both = ((name, found.program, found.dry_program), same)
    if len(found.climate.day) * len(found.valves.valve) > _TOGETHER:
        tuned, even = (_followed(found, (one,))[0] for one in both)
    else:
        tuned, even = _followed(found, both)
    return tuned, even
