"""The season simulated: every cell through every day of the weather, under a program."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.watering.balance import MONTH_OF_DAY, closure, water_balance
from hillwright.watering.daycourse import day_parts
from hillwright.watering.model import Climate, Program, SeasonUnder, Watering
from hillwright.watering.timetable import MINUTE, Pattern, runs_on
from hillwright.watering.yearclimate import driest_years


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
    climate, store, valve = found.climate, found.store, found.valves.valve
    there = np.flatnonzero(valve >= 0)
    leap = (climate.year % 4 == 0) & ((climate.year % 100 != 0) | (climate.year % 400 == 0))
    day = np.where(leap | (climate.day < 60), climate.day, climate.day + 1)
    month = MONTH_OF_DAY[day - 1]
    n = len(valve)
    years = len(climate.day) / 365.25 if climate.real else 1.0
    if not len(there):
        zero, none = frozen(np.zeros(12)), frozen(np.zeros(n))
        return SeasonUnder(name, years, zero, zero, 0.0, zero, zero, none, 0, 0.0, 0.0, 0.0)
    # a dry year's months are a second twelve, with days cut at the waterings of their own
    settings = [program] if dry is None else [program, dry]
    thirsty = np.isin(climate.year, driest_years(climate)) & (dry is not None)
    row = month + 12 * thirsty
    seconds = _open(program, climate, month)
    if dry is not None:
        seconds = np.where(thirsty[:, None], _open(dry, climate, month), seconds)
    both = day_parts([s.arrives[v] for s in settings for v in range(len(s.minutes))],
                     climate.latitude)  # fmt: skip
    parts, used, valves = len(both.use), len(settings), len(program.minutes)
    use, given_share = (
        p.reshape(parts, 12, used, valves).swapaxes(1, 2).reshape(parts, 12 * used, valves)
        for p in both
    )
    gross = seconds[:, valve[there]] * store.rate[there]
    area = found.planted.canopy[there]
    rain = found.rules.rain_share * climate.daily_rain[:, None] * store.catch[there]
    if not climate.real:
        rain = rain + found.demand.wet[there].T[month]
    by_month = np.ascontiguousarray(found.demand.coefficient[there].T)
    season = water_balance(
        row,
        climate.daily,
        rain,
        np.concatenate([by_month] * used),
        gross * found.rules.efficiency,
        store.total[there],
        store.depletion[there],
        0.0,
        np.ascontiguousarray(use[:, :, valve[there]]),
        np.ascontiguousarray(given_share[:, :, valve[there]]),
    )
    given = np.array([(gross[month == m] * area).sum() for m in range(12)]) / years

    def volume(depths: Array) -> Array:
        by_row = (depths * area).sum(axis=1).reshape(used, 12)
        return frozen(np.asarray(by_row.sum(axis=0) / years))

    stress = np.zeros(n)
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
    return (
        simulate(found, found.program, name, found.dry_program),
        simulate(found, found.same_program, "same minutes all year"),
    )
