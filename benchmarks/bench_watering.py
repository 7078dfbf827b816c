"""Speed of the watering room: our own work over a yardstick that others wrote, in the same run.

The season of 500 cells through 20 years of days against numpy reading and adding the same numbers
once; a year's reference evapotranspiration against the open program refet.
"""

from __future__ import annotations

import time

import numpy as np
import refet

from hillwright.watering.balance import MONTH_OF_DAY, water_balance
from hillwright.watering.daycourse import best_starts, day_parts
from hillwright.watering.least import least_minutes
from hillwright.watering.model import Rules, Store
from hillwright.watering.reference import reference_day
from hillwright.watering.timetable import pattern_of
from hillwright.watering.trial import side_by_side, trial_of
from hillwright.watering.tune import leading_cells, tune

CELLS, YEARS, AGAIN = 500, 20, 5
RNG = np.random.default_rng(1)


def weather():
    """Give 20 invented years of days: year, day, month, reference ET, rain."""
    day = np.concatenate([np.arange(1, 366 + (y % 4 == 0)) for y in range(2001, 2001 + YEARS)])
    year = np.concatenate([np.full(365 + (y % 4 == 0), y) for y in range(2001, 2001 + YEARS)])
    month = MONTH_OF_DAY[np.where((year % 4 == 0) | (day < 60), day, day + 1) - 1]
    swing = 4 - 3 * np.cos(2 * np.pi * (day - 15) / 365)
    reference = swing * 1e-3 * RNG.uniform(0.7, 1.3, len(day))
    rain = np.where(RNG.random(len(day)) < 0.1, RNG.exponential(8e-3, len(day)), 0.0)
    return year, day, month, reference, rain


def best(work) -> float:
    """Give the least of several times."""
    times = []
    for _ in range(AGAIN):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print the ratios."""
    year, day, month, reference, rain = weather()
    k = len(day)
    coefficient = np.tile(RNG.uniform(0.3, 0.9, CELLS), (12, 1))
    total, p = RNG.uniform(0.01, 0.04, CELLS), np.full(CELLS, 0.5)
    irrigation = np.zeros((k, CELLS))
    irrigation[::2] = 0.004
    fallen = rain[:, None]
    season = best(
        lambda: water_balance(month, reference, fallen, coefficient, irrigation, total, p)
    )
    noon = ((14400.0, 32400.0), (43200.0, 45000.0))  # cut at dawn, at the window's end, at noon
    cut = day_parts([[best_starts(noon, 0.65, m)[2].times for m in range(12)]], 0.65)
    by_cell = [np.repeat(share, CELLS, axis=2) for share in cut]
    often = best(
        lambda: water_balance(
            month, reference, fallen, coefficient, irrigation, total, p, 0.0, *by_cell
        )
    )
    plain = best(lambda: np.cumsum(irrigation - reference[:, None], axis=0))
    print(
        f"{CELLS} cells x {YEARS} years: {season:.2f} s, {season / plain:.1f} times a running sum"
    )

    print(f"the same with three waterings in a day: {often:.2f} s, {often / season:.1f} times it")

    valve = np.arange(CELLS) % 4
    store = Store(total, p, np.ones(CELLS), RNG.uniform(2e-6, 3e-6, CELLS))
    rules = Rules(0.81, ((14400.0, 32400.0),), tuple(range(7)), 7, 0.0, "scs", 0.8, 0.0)
    hottest = np.array([reference[month == m].max() for m in range(12)])
    etc = hottest * coefficient.T
    raw = np.clip(p[:, None] + 0.04 * (5 - etc * 1e3), 0.1, 0.8) * total[:, None]
    lasts = np.array([(raw / etc)[valve == v].min(axis=0) for v in range(4)])
    pattern = pattern_of(lasts, lasts, rules, 0.65)
    parts = day_parts(pattern.wished, 0.65)
    need = etc / (store.rate[:, None] * 0.81) / 60
    most = np.array([need[valve == v].max(axis=0) for v in range(4)]) * pattern.interval
    most = np.ceil(most / pattern.starts).astype(int) + 1
    lead = leading_cells(coefficient.T, store, valve)
    few = Store(total[lead], p[lead], np.ones(len(lead)), store.rate[lead])
    years = side_by_side(year, day, reference, rain, month)
    start = time.process_time()
    given = (years, coefficient.T[lead], few, valve[lead], pattern)
    trial, none = trial_of(*given, 0.81, parts), np.zeros(len(lead))
    minutes, _ = tune(trial, most)
    least_minutes(trial, minutes, np.zeros_like(minutes), most, lambda m: m, none)
    took = time.process_time() - start
    print(f"tuning {len(lead)} different cells on {YEARS} years: {took:.2f} s, "
          f"{took / season:.1f} times one season")  # fmt: skip

    high, low = 20 + 10 * RNG.random(k), 8 + 5 * RNG.random(k)
    sun, wind, damp = 15 + 10 * RNG.random(k), 1 + 3 * RNG.random(k), 1 + 0.5 * RNG.random(k)
    doy = np.minimum(day, 365)
    ours = best(
        lambda: reference_day(
            0.65, 100, doy, high, low, vapour=damp * 1e3, radiation_measured=sun / 0.0864, wind=wind
        )
    )
    theirs = best(
        lambda: refet.Daily(
            tmin=low, tmax=high, ea=damp, rs=sun, uz=wind, zw=2, elev=100, lat=37.2, doy=doy
        ).eto()
    )
    version = getattr(refet, "__version__", "?")
    print(f"reference ET of {k} days: {ours / theirs:.1f} times refet {version}")


if __name__ == "__main__":
    main()
