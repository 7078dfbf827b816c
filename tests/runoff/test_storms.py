"""Rainfall tables and storms in time steps: nested durations, mass, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.hyetograph import nested_storm, recorded_storm, regional_storm
from hillwright.runoff.storms import rain_in, rain_once_in

# NOAA Atlas 14 Volume 2, Nashville, 10 years: minutes and inches
MINUTES = np.array([5, 10, 15, 30, 60, 120, 180, 360, 720, 1440.0])
INCHES = np.array([0.568, 0.908, 1.15, 1.66, 2.17, 2.54, 2.76, 3.31, 3.92, 4.70])
T, P = MINUTES * 60, INCHES * 0.0254
DAY = 86400.0


def test_between_durations_rain_runs_straight_on_log_paper():
    middle = rain_in(T, P, np.sqrt(T[0] * T[1])).depth
    assert middle == pytest.approx(np.sqrt(P[0] * P[1]))


def test_below_the_shortest_duration_its_intensity_is_kept():
    assert rain_in(T, P, 60.0).intensity == pytest.approx(P[0] / T[0])


def test_between_return_periods_rain_runs_straight_on_log_paper():
    got = rain_once_in([10, 100], [[1.0, 2.0]], np.sqrt(1000))
    assert got == pytest.approx([np.sqrt(2.0)])


@given(peak=st.floats(0, 1))
def test_a_nested_storm_holds_the_tabled_rain_of_every_duration(peak):
    storm = nested_storm(T, P, DAY, 300.0, peak)
    assert storm.cumulative[-1] == pytest.approx(P[-1], rel=1e-12)
    whole = np.concatenate(([0.0], storm.cumulative))
    for minutes, depth in zip(MINUTES, P, strict=True):
        n = int(minutes // 5)
        most = (whole[n:] - whole[:-n]).max()
        # straight lines on log paper meet in kinks: a shifted window may hold a trifle more
        assert depth * (1 - 1e-9) <= most <= depth * 1.005


@given(peak=st.floats(0, 1))
def test_the_peak_lies_where_it_is_asked_for(peak):
    storm = nested_storm(T, P, DAY, 300.0, peak)
    assert storm.time[storm.rain.argmax()] / DAY == pytest.approx(peak, abs=2 * 300 / DAY)


def test_a_storm_turned_round_is_the_storm_with_the_peak_turned_round():
    a, b = nested_storm(T, P, DAY, 300.0, 0.2), nested_storm(T, P, DAY, 300.0, 0.8)
    # the blocks alternate from the other side, which shifts at most one step
    assert np.allclose(np.sort(a.rain), np.sort(b.rain))
    assert a.rain[::-1].argmax() == pytest.approx(b.rain.argmax(), abs=1)


@pytest.mark.parametrize("shape", ["I", "IA", "II", "III"])
@given(step=st.sampled_from([60.0, 360.0, 900.0, 3600.0]))
def test_a_regional_storm_brings_all_its_rain_in_24_hours(shape, step):
    storm = regional_storm(0.1, shape, step)
    assert storm.rain.sum() == pytest.approx(0.1, rel=1e-12)
    assert (storm.rain >= 0).all()
    assert storm.time[-1] == DAY


@given(
    gaps=st.lists(st.floats(1, 5000), min_size=1, max_size=30),
    falls=st.lists(st.floats(0, 0.05), min_size=30, max_size=30),
    step=st.floats(20, 2000),
)
def test_a_recorded_storm_loses_no_drop_whatever_the_step(gaps, falls, step):
    time = np.concatenate(([0.0], np.cumsum(gaps)))
    total = np.concatenate(([0.0], np.cumsum(falls[: len(gaps)])))
    storm = recorded_storm(time, total, step)
    assert storm.rain.sum() == pytest.approx(total[-1], rel=1e-9, abs=1e-15)
    assert (storm.rain >= 0).all()


def test_a_recorded_storm_that_starts_late_starts_at_nothing():
    storm = recorded_storm([3600, 3660, 3720], [0.01, 0.02, 0.04], 60.0)
    assert storm.rain == pytest.approx([0.01, 0.02])


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: rain_in([300, 600], [0.02, 0.01], 400), "as the duration grows"),
        (lambda: rain_in([600, 300], [0.01, 0.02], 400), "durations, value 2"),
        (lambda: rain_in([300, 300], [0.01, 0.02], 300), "list the durations"),
        (lambda: rain_in(T, P[:-1], 300), "9 depths stand beside 10 durations"),
        (lambda: rain_in(T, P, 2 * DAY), "is longer than the table"),
        (lambda: rain_in(T, P, 0), "duration: is zero"),
        (lambda: rain_in(T, -P, 300), "depths, value 1: is negative"),
        (lambda: rain_in(T, INCHES * 25.4, 300), "never fell anywhere"),
        (lambda: rain_once_in([1, 10], [[0.2, 0.1]], 5), "falls as the storm gets rarer"),
        (lambda: rain_once_in([1, 10], [[0.1, 0.2]], 50), "the table goes from 1 to 10 years"),
        (lambda: nested_storm(T, P, DAY, 7.0), "no whole number of steps"),
        (lambda: nested_storm(T, P, DAY, 60.0, 1.5), "peak: 1.5 is not within 0 to 1"),
        (lambda: nested_storm(T, P, DAY, 0.1), "give at most"),
        (lambda: regional_storm(0.1, "IV"), "shape: 'IV' is not known"),
        (lambda: recorded_storm([0, 60, 30], [0, 0.1, 0.2]), "time, value 3: runs backwards"),
        (lambda: recorded_storm([0, 60, 60], [0, 0.1, 0.2]), "stands still"),
        (lambda: recorded_storm([0, 60, 90], [0, 0.2, 0.1]), "total, value 3: falls"),
        (lambda: recorded_storm([0], [0]), "fewer than two readings"),
    ],
)
def test_each_wrong_input_has_a_message_of_its_own(call, said):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert said in str(caught.value)
