"""Programs: days, cycles, windows, and the fewest minutes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.watering.balance import MONTH_OF_DAY, water_balance
from hillwright.watering.clock import Run, place_runs
from hillwright.watering.daycourse import best_starts, day_parts, used_by
from hillwright.watering.intake import cycle_and_soak, cycles
from hillwright.watering.model import Rules, Store
from hillwright.watering.timetable import (
    pattern_of,
    program_of,
    runs_on,
    waterings,
    window_length,
)
from hillwright.watering.trial import side_by_side, trial_of
from hillwright.watering.tune import leading_cells, tune

ALL = tuple(range(7))
F = 0.65  # latitude [rad]
TWO = ((14400.0, 18000.0), (43200.0, 46800.0))  # at dawn and at noon


def rules(**change):
    base = {
        "efficiency": 0.81, "windows": ((14400.0, 32400.0),), "weekdays": ALL,
        "longest_interval": 7, "surface_slope": 0.0, "rain_method": "scs", "rain_share": 0.8,
        "establishment": 0.0,
    }  # fmt: skip
    return Rules(**(base | change))


def months(value):
    return np.full((1, 12), float(value))


def test_the_interval_is_rounded_down_and_no_longer_than_is_wished():
    for lasts, days in ((1.95, 1), (3.2, 3), (30.0, 7)):
        assert pattern_of(months(lasts), months(1), rules(), F).interval[0, 6] == days


def test_a_store_that_lasts_less_than_a_day_is_watered_more_than_once():
    pattern = pattern_of(months(0.6), months(1), rules(windows=TWO), F)
    assert pattern.interval[0, 6] == 1
    assert pattern.starts[0, 6] == 2


def test_a_month_that_wants_nothing_is_off():
    pattern = pattern_of(months(3), months(0), rules(), F)
    assert not pattern.interval.any()


def test_allowed_weekdays_are_as_few_as_the_soil_allows():
    some = rules(weekdays=(0, 2, 4))
    pattern = pattern_of(months(3.5), months(1), some, F)
    assert pattern.weekdays[0][6] == (0, 2, 4)
    assert not pattern.too_few
    seldom = pattern_of(months(7.0), months(1), some, F)
    assert len(seldom.weekdays[0][6]) == 1


def test_too_few_weekdays_are_told():
    pattern = pattern_of(months(2.0), months(1), rules(weekdays=(0,)), F)
    assert pattern.too_few[0][2] == 2
    assert pattern.interval[0, 6] == 7


def test_weekdays_are_those_of_the_calendar():
    pattern = pattern_of(months(2.0), months(1), rules(weekdays=(0,)), F)
    day = np.arange(1, 366)
    month = MONTH_OF_DAY[np.where(day < 60, day, day + 1) - 1]
    runs = runs_on(pattern, np.full(365, 2024 + 1), day, month)[:, 0]
    dates = np.datetime64("2025-01-01") + np.flatnonzero(runs)
    assert {int(d) for d in (dates.astype("datetime64[D]").astype(int) + 3) % 7} == {0}


def test_every_few_days_begins_anew_on_the_first_of_each_month():
    pattern = pattern_of(months(3.0), months(1), rules(), F)
    day = np.arange(1, 367)
    runs = runs_on(pattern, np.full(366, 2024), day, MONTH_OF_DAY)[:, 0]
    firsts = np.flatnonzero(np.diff(MONTH_OF_DAY, prepend=-1))
    assert runs[firsts].all()
    assert runs[:31].sum() == waterings(pattern, 0, 0)


def test_windows_past_midnight_are_added_up():
    assert window_length(((79200.0, 21600.0),)) == 8 * 3600
    assert window_length(((14400.0, 32400.0), (61200.0, 64800.0))) == 6 * 3600


def test_a_run_that_would_run_off_is_split_and_rests():
    program = program_of(
        pattern_of(months(3.0), months(1), rules(), F),
        np.full((1, 12), 40), np.array([15.7 * 60]), np.array([29.1 * 60]),
        np.array([1e-5]), rules(),
    )  # fmt: skip
    assert (program.cycles == 3).all()
    assert (program.soak == 30).all()
    assert (program.minutes == 42).all()  # 3 x 14: what is printed is what is reckoned
    assert program.busiest[6] == (42 + 2 * 30) * 60
    assert program.opens[0][6] == ((14400.0, 14400.0 + 44 * 60, 14400.0 + 88 * 60),)


@given(st.floats(0, 4 * 3600), st.floats(60, 4000), st.floats(0, 4000))
def test_cycles_add_up_to_the_run_and_none_is_too_long(run, longest, soak):
    found = cycles(run, longest, soak)
    assert float(found.number * found.run) == pytest.approx(run, abs=1e-6)
    assert float(found.run) <= longest * (1 + 1e-9)
    assert float(found.elapsed) >= run


def test_soil_that_takes_all_in_has_no_limit():
    found = cycle_and_soak(1e-6, 2e-6, 0.005)
    assert found.longest_run == np.inf
    assert found.shortest_soak == 0
    assert cycles(3600.0, found.longest_run, found.shortest_soak).number == 1


def years_of(seed, count):
    rng = np.random.default_rng(seed)
    year = np.concatenate([np.full(365 + (y % 4 == 0), y) for y in range(2001, 2001 + count)])
    day = np.concatenate([np.arange(1, 366 + (y % 4 == 0)) for y in range(2001, 2001 + count)])
    leap = year % 4 == 0
    month = MONTH_OF_DAY[np.where(leap | (day < 60), day, day + 1) - 1]
    swing = 4 - 3 * np.cos(2 * np.pi * (day - 15) / 365)
    reference = swing * 1e-3 * rng.uniform(0.6, 1.3, len(day))
    rain = np.where(rng.random(len(day)) < 0.1, rng.exponential(8e-3, len(day)), 0.0)
    return year, day, month, reference, rain


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 1000), st.integers(1, 3))
def test_the_tuned_minutes_stress_no_cell_and_a_tenth_less_of_them_does(seed, count):
    year, day, month, reference, rain = years_of(seed, count)
    rng = np.random.default_rng(seed)
    n = 12
    valve = np.arange(n) % 2
    factor = rng.uniform(0.3, 0.9, n)
    store = Store(
        rng.uniform(0.02, 0.05, n), np.full(n, 0.5), np.ones(n), rng.uniform(2e-6, 3e-6, n)
    )
    coefficient = np.repeat(factor[:, None], 12, axis=1)
    hottest = np.array([reference[month == m].max() for m in range(12)])
    etc = hottest * coefficient
    raw = np.clip(0.5 + 0.04 * (5 - etc * 1e3), 0.1, 0.8) * store.total[:, None]
    able = (raw >= etc).all(axis=1)  # others dry out by day, whatever is given at dawn
    lasts = np.array([(raw / etc)[valve == v].min(axis=0) for v in range(2)])
    pattern = pattern_of(lasts, lasts, rules(), F)
    need = etc / (store.rate[:, None] * 0.81) / 60
    most = np.array([need[valve == v].max(axis=0) for v in range(2)])
    most = np.ceil(most * pattern.interval / pattern.starts).astype(int) + 1
    years = side_by_side(year, day, reference, rain, month)
    parts = day_parts(pattern.wished, F)
    trial = trial_of(years, coefficient, store, valve, pattern, 0.81, parts)
    minutes, fine = tune(trial, most)
    assert fine

    def stressed(minutes):
        seconds = (minutes * pattern.starts * 60.0)[:, month].T * runs_on(pattern, year, day, month)
        gross = seconds[:, valve] * store.rate * 0.81
        found = water_balance(
            month, reference, rain[:, None], coefficient.T.copy(), gross, store.total,
            store.depletion, 0.0, parts.use[:, :, valve], parts.given[:, :, valve],
        )  # fmt: skip
        return found.stress_days[:, able].sum()

    # side by side each year starts as the one before it ended, so the balance in a row agrees
    assert stressed(minutes) == 0
    assert stressed(np.floor(0.85 * minutes).astype(int)) > 0


def test_only_cells_that_can_decide_are_followed():
    store = Store(np.full(4, 0.03), np.full(4, 0.5), np.ones(4), np.full(4, 2e-6))
    coefficient = np.repeat(np.array([0.4, 0.5, 0.5, 0.9])[:, None], 12, axis=1)
    lead = leading_cells(coefficient, store, np.array([0, 0, 1, -1]))
    assert set(lead) == {1, 2}


# --- the clock


@given(st.floats(-1.1, 1.1), st.integers(1, 365))
def test_half_of_a_day_is_used_by_noon_and_nothing_by_night(latitude, day):
    assert float(used_by(latitude, day, 43200.0)) == pytest.approx(0.5)
    at = used_by(latitude, day, np.linspace(0, 86400, 97))
    assert at[0] == 0
    assert at[-1] == pytest.approx(1)
    assert (np.diff(at) >= -1e-12).all()


# At the equator on an equinox the sun's height is a sine of 12 hours: F(9 h) = (1 - cos 45 deg)/2.
def test_the_share_used_by_a_time_is_that_of_the_sine_by_hand():
    day = next(d for d in range(70, 90) if abs(0.409 * np.sin(2 * np.pi * d / 365 - 1.39)) < 4e-3)
    expected = (1 - np.cos(np.pi / 4)) / 2
    assert float(used_by(0.0, day, 9 * 3600.0)) == pytest.approx(expected, abs=1e-6)


# By hand: a store of 5 mm of which half may be used, 4 mm of use, 2 mm given twice. At midnight and
# noon 2 mm are gone each time: 2 < 2.5. Given at midnight and 05:00, nearly all 4 mm are gone
# by the evening.
def test_water_at_noon_carries_a_store_that_two_starts_at_dawn_do_not():
    p5 = 0.5 - 0.04 * (5 - 4)  # so that p of the day is 0.5
    stressed = []
    for second in (18000.0, 43200.0):
        parts = day_parts([[(0.0, second)] * 12], F)
        season = water_balance(
            np.zeros(30, dtype=int), np.full(30, 0.004), np.zeros((30, 1)), np.ones((12, 1)),
            np.full((30, 1), 0.004), np.array([0.005]), np.array([p5]), 0.0, *parts,
        )  # fmt: skip
        stressed.append(float(season.stress_days.sum()))
    assert stressed[1] == 0
    assert stressed[0] == 30


def test_a_second_start_at_dawn_shortens_the_wait_little_and_one_at_noon_much():
    dawn = best_starts(((14400.0, 32400.0),), F, 6)
    noon = best_starts(TWO, F, 6)
    assert dawn[1].gap > 0.8
    assert noon[1].gap < 0.6


def test_no_two_valves_run_at_once_and_none_outside_its_window():
    runs = [Run(v, at, c, 600.0, 900.0) for v, c in ((0, 3), (1, 1), (2, 2)) for at in (14400.0,)]
    day = place_runs(((14400.0, 32400.0),), runs)
    opens = sorted(t for r in day.runs for t in r.opens)
    assert len(opens) == 6
    assert (np.diff(opens) >= 600).all()
    assert opens[0] == 14400.0
    assert max(r.ends for r in day.runs) <= 32400.0
    assert day.over == 0
    first = next(r for r in day.runs if r.valve == 0)
    assert (np.diff(first.opens) >= 1500).all()  # its rests are the others' turns
    assert day.busy < 6 * 600 + 3 * 900


def test_a_late_start_ends_with_its_window():
    day = place_runs(
        ((14400.0, 18000.0),), [Run(0, 14400.0, 1, 600, 0), Run(0, 18000.0, 1, 600, 0)]
    )
    assert [r.opens for r in day.runs] == [(14400.0,), (17400.0,)]


def test_what_does_not_fit_is_told():
    day = place_runs(((14400.0, 15000.0),), [Run(v, 14400.0, 1, 400.0, 0.0) for v in range(3)])
    assert day.over == pytest.approx(600, abs=2)


def test_a_share_of_the_busiest_month_is_of_a_day_not_of_a_month():
    pattern = pattern_of(months(3.0), months(1), rules(longest_interval=1), F)
    program = program_of(
        pattern, np.full((1, 12), 20), np.array([np.inf]), np.zeros(1), np.array([1e-5]), rules()
    )
    assert (program.percent == 100).all()  # February too
