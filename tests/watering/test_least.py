"""The end of the tuning: no month of any valve can do with less, and no order of years matters."""

from __future__ import annotations

import numpy as np
import pytest

from hillwright.watering.balance import MONTH_OF_DAY, water_balance
from hillwright.watering.daycourse import day_parts
from hillwright.watering.least import least_minutes, next_below, stands
from hillwright.watering.model import Rules, Store
from hillwright.watering.timetable import in_cycles, pattern_of, runs_on
from hillwright.watering.trial import side_by_side, trial_of
from hillwright.watering.tune import tune

F, SHARE, N = 0.65, 0.81, 8
RULES = Rules(SHARE, ((14400.0, 32400.0),), tuple(range(7)), 7, 0.0, "scs", 0.8, 0.0)


def in_pairs(minutes):
    """Minutes that a soil which takes 6 at a stretch can be given."""
    cycles, each = in_cycles(minutes, np.full(len(minutes), 360.0))
    return cycles * each


@pytest.fixture(params=[3, 11], scope="module")
def case(request):
    rng = np.random.default_rng(request.param)
    year = np.repeat([2001, 2002, 2003], 365)
    day = np.tile(np.arange(1, 366), 3)
    month = MONTH_OF_DAY[np.where(day < 60, day, day + 1) - 1]
    swing = (4 - 3 * np.cos(2 * np.pi * (day - 15) / 365)) * 1e-3
    reference = swing * rng.uniform(0.7, 1.3, len(day))
    rain = np.where(rng.random(len(day)) < 0.1, rng.exponential(6e-3, len(day)), 0.0)
    valve = np.arange(N) % 2
    store = Store(
        rng.uniform(0.03, 0.06, N), np.full(N, 0.5), np.ones(N), rng.uniform(2e-6, 3e-6, N)
    )
    coefficient = np.repeat(rng.uniform(0.3, 0.9, N)[:, None], 12, axis=1)
    hottest = np.array([reference[month == m].max() for m in range(12)])
    etc = hottest * coefficient
    lasts = np.clip(0.5 + 0.04 * (5 - etc * 1e3), 0.1, 0.8) * store.total[:, None] / etc
    lasts = np.array([lasts[valve == v].min(axis=0) for v in range(2)])
    pattern = pattern_of(lasts, lasts, RULES, F)
    need = etc / (store.rate[:, None] * SHARE) / 60
    most = np.array([need[valve == v].max(axis=0) for v in range(2)])
    most = np.ceil(most * pattern.interval / pattern.starts).astype(int) + 1
    years, parts = side_by_side(year, day, reference, rain, month), day_parts(pattern.wished, F)
    given = (years, coefficient, store, valve, pattern)
    trial = trial_of(*given, SHARE, parts)
    before, fine = tune(trial, most)
    assert fine
    zero = np.zeros_like(most)
    least, fine = least_minutes(trial, in_pairs(before), zero, most, in_pairs, np.zeros(N))
    assert fine

    def stressed(minutes, order):
        """Days of stress by the room's own balance, the years in another order."""
        at = np.concatenate([np.flatnonzero(year == y) for y in order])
        seconds = (minutes * pattern.starts * 60.0)[:, month[at]].T
        seconds = seconds * runs_on(pattern, year[at], day[at], month[at])
        found = water_balance(
            month[at], reference[at], rain[at][:, None], coefficient.T.copy(),
            seconds[:, valve] * store.rate * SHARE, store.total, store.depletion, 0.0,
            parts.use[:, :, valve], parts.given[:, :, valve],
        )  # fmt: skip
        return found.stress_days.sum()

    return trial, before, least, stressed


def test_no_month_of_any_valve_can_do_with_the_next_smaller_setting(case):
    trial, _, least, _ = case
    _, begun = stands(trial, least, np.zeros(N))
    fewer = next_below(least, in_pairs)
    for v, m in zip(*np.nonzero(least), strict=True):
        tried = least.copy()
        tried[v, m] = fewer[v, m]
        assert stands(trial, tried, begun)[0].any(), f"valve {v} month {m} could do with less"


def test_the_end_of_the_tuning_takes_no_more_than_its_beginning(case):
    _, before, least, _ = case
    assert least.sum() <= in_pairs(before).sum()


def test_nobody_is_stressed_in_whatever_order_the_years_come(case):
    *_, least, stressed = case
    for order in ((2001, 2002, 2003), (2003, 2001, 2002), (2002, 2002, 2001), (2003, 2003, 2003)):
        assert stressed(least, order) == 0


def test_what_can_be_set_is_whole_in_every_cycle():
    minutes = np.array([[13, 12, 7, 1, 0]])
    assert next_below(in_pairs(minutes), in_pairs).tolist() == [[12, 10, 6, 0, 0]]
