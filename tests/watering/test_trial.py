"""A month worked out once for each setting is what the days give, one step after another."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.watering.balance import MONTH_OF_DAY, water_balance
from hillwright.watering.daycourse import day_parts, longest_wait
from hillwright.watering.model import Rules, Store
from hillwright.watering.timetable import Pattern, pattern_of, runs_on
from hillwright.watering.trial import course_of, side_by_side, trial_of
from hillwright.watering.tune import deciding, tune

F, SHARE, C, V = 0.65, 0.8, 7, 2
WINDOWS = ((14400.0, 32400.0), (43200.0, 45000.0))
DAWN = Rules(SHARE, WINDOWS[:1], (0, 2, 4), 7, 0.0, "scs", 0.8, 0.0)
NOON = Rules(SHARE, WINDOWS, tuple(range(7)), 7, 0.0, "scs", 0.8, 0.0)


def garden(seed, rules, wet=0.0, least=2e-3):
    """Two years of days, seven cells on two valves, some with stores that last hours only."""
    rng = np.random.default_rng(seed)
    year = np.repeat([2003, 2004], [365, 366])
    day = np.concatenate([np.arange(1, 366), np.arange(1, 367)])
    month = MONTH_OF_DAY[np.where((year == 2004) | (day < 60), day, day + 1) - 1]
    reference = (4 - 3 * np.cos(2 * np.pi * (day - 15) / 365)) * 1e-3
    reference = reference * rng.uniform(0.6, 1.4, len(day))
    rain = np.where(rng.random(len(day)) < 0.1, rng.exponential(8e-3, len(day)), 0.0)
    store = Store(
        rng.uniform(least, 0.05, C), rng.uniform(0.3, 0.6, C), rng.uniform(0.2, 1, C),
        rng.uniform(2e-6, 3e-6, C),
    )  # fmt: skip
    coefficient = rng.uniform(0.2, 0.9, (C, 12))
    valve = np.arange(C) % V
    lasts, wanted = rng.uniform(0.2, 6, (V, 12)), rng.choice([0.0, 1.0], (V, 12), p=[0.2, 0.8])
    if least > 0.01:  # none beyond help
        lasts, wanted = np.full((V, 12), 1.5), np.ones((V, 12))
    pattern = pattern_of(lasts, wanted, rules, F)
    years = side_by_side(year, day, reference, rain, month)
    parts = day_parts(pattern.wished, F)
    more = np.full((C, 12), wet)
    return trial_of(years, coefficient, store, valve, pattern, SHARE, parts, more), pattern


def followed(trial, pattern: Pattern, minutes, start):
    """Follow a setting day by day: what is beyond the ready water at worst (12, c), and the end."""
    years, store, valve = trial.years, trial.store, trial.valve
    y = years.reference.shape[1]
    d, worst = start.copy(), np.full((12, C), -np.inf)
    wait = longest_wait(trial.parts)
    for row in range(366):
        m, eve = years.month[row], years.month[row - 1]
        runs = runs_on(pattern, years.year[row], years.day[row], np.full(y, m))
        for i in range(y):
            if not years.there[row, i]:
                continue
            use = years.reference[row, i] * trial.coefficient[:, m]
            before = years.reference[row - 1, i] * trial.coefficient[:, eve]
            ready = np.clip(store.depletion + 0.04 * (5 - use * 1e3), 0.1, 0.8) * store.total
            held = np.maximum(use, before) * np.maximum(wait[valve, m], wait[valve, eve])
            ready = np.maximum(ready, held + 1e-9)
            d[i] -= years.rain[row, i] * store.catch + trial.wet[:, m]
            dose = (runs[i] * pattern.starts[:, m] * minutes[:, m])[valve] * store.rate * SHARE * 60
            for j in range(len(trial.parts.use)):
                of_use, of_given = trial.parts.use[j, m, valve], trial.parts.given[j, m, valve]
                own = (of_use > 0) | (of_given > 0)
                d[i] = np.where(own, np.maximum(d[i] - dose * of_given, 0) + use * of_use, d[i])
                worst[m] = np.where(own, np.maximum(worst[m], d[i] - ready), worst[m])
    return worst, d


@pytest.mark.parametrize("rules", [DAWN, NOON])
@settings(max_examples=5, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.0, 4e-4]))
def test_months_put_together_are_the_days_one_by_one(rules, seed, wet):
    trial, pattern = garden(seed, rules, wet)
    rng = np.random.default_rng(seed + 1)
    tried = rng.integers(0, 60, (3, V, 12))
    start = rng.uniform(0, 0.03, trial.shape)
    worst, end = course_of(trial, tried).short_by(start)
    for g in range(len(tried)):
        expected, last = followed(trial, pattern, tried[g], start)
        assert worst[:, g] == pytest.approx(expected, abs=1e-12)
        assert end[g] == pytest.approx(last, abs=1e-12)


@settings(max_examples=5, deadline=None)
@given(st.integers(0, 10_000))
def test_some_of_the_cells_go_as_they_do_among_all(seed):
    trial, _ = garden(seed, NOON)
    rng = np.random.default_rng(seed + 1)
    tried, start = rng.integers(0, 60, (2, V, 12)), np.zeros(trial.shape)
    few = np.array([1, 2, 5])
    early = trial.of_cells(few)  # before anything is known
    worst, end = course_of(trial, tried).short_by(start)
    for some in (early, trial.of_cells(few)):
        apart, last = course_of(some, tried).short_by(start[:, few])
        assert np.array_equal(apart, worst[:, :, few])
        assert np.array_equal(last, end[:, :, few])


@settings(max_examples=5, deadline=None)
@given(st.integers(0, 10_000))
def test_more_water_never_makes_a_cell_drier(seed):
    trial, _ = garden(seed, NOON)
    rng = np.random.default_rng(seed + 1)
    less = rng.integers(0, 60, (V, 12))
    more = less + rng.integers(0, 9, (V, 12))
    worst, end = course_of(trial, np.stack([less, more])).short_by(np.zeros(trial.shape))
    assert (worst[:, 1] <= worst[:, 0] + 1e-12).all()
    assert (end[1] <= end[0] + 1e-12).all()


def test_cells_that_decide_nothing_change_no_minute():
    trial, _ = garden(4, NOON, least=0.03)
    most = np.full((V, 12), 90)
    minutes, fine = tune(trial, most)
    assert fine
    all_count, low = np.ones((V, 12), bool), np.maximum(minutes * 8 // 10, 0)
    few = deciding(trial, low, np.zeros(trial.shape), all_count)
    assert few is not None
    assert 0 < len(few) < C
    assert np.array_equal(tune(trial.of_cells(few), most)[0], minutes)


def test_months_that_are_known_are_not_worked_out_again():
    trial, pattern = garden(4, NOON)
    given_ = (trial.years, trial.coefficient, trial.store, trial.valve, pattern, SHARE)
    again = trial_of(*given_, trial.parts, trial.wet, trial.known)
    v, m = (int(i[-1]) for i in np.nonzero(pattern.interval))
    assert again.month(v, m) is trial.month(v, m)
    later = day_parts([[tuple(t + 14400 for t in at) for at in row] for row in pattern.wished], F)
    other = trial_of(*given_, later, trial.wet, trial.known)
    assert other.month(v, m) is not trial.month(v, m)


# A cell's day begins drier than it may be in the new month, but it is watered before the sun is up.
# The second cell's night has a use: it is cut otherwise.
def test_stress_of_a_cell_does_not_hang_on_how_the_day_of_another_is_cut():
    month = np.repeat([0, 1], 10)
    use = np.array([[[0.0, 0.1]] * 2, [[1.0, 0.9]] * 2])
    water = np.array([[[0.0, 0.0]] * 2, [[1.0, 1.0]] * 2])
    reference = np.full(20, 4e-3)
    coefficient = np.array([[0.8, 0.8], [1.0, 1.0]])
    given_ = np.full((20, 2), 3.5e-3)
    both = water_balance(
        month, reference, np.zeros((20, 1)), coefficient, given_, np.full(2, 0.012),
        np.full(2, 0.26), 0.0, use, water,
    )  # fmt: skip
    alone = water_balance(
        month, reference, np.zeros((20, 1)), coefficient[:, :1], given_[:, :1], np.full(1, 0.012),
        np.full(1, 0.26), 0.0, use[..., :1], water[..., :1],
    )  # fmt: skip
    assert np.array_equal(both.stress_days[:, 0], alone.stress_days[:, 0])
