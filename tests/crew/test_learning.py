"""Learning curves against each other and their closed forms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.learning import (
    crawford_total,
    crawford_total_approximate,
    crawford_unit,
    learning_rate,
    wright_average,
    wright_total,
)
from hillwright.errors import OutOfRange

rates = st.floats(0.55, 1.0)
first = st.floats(0.1, 1e4)


@given(t1=first, n=st.integers(1, 500), rate=rates)
def test_each_doubling_takes_the_unit_to_the_rate(t1, n, rate):
    assert crawford_unit(t1, 2 * n, rate) == pytest.approx(rate * crawford_unit(t1, n, rate))


@given(t1=first, n=st.integers(1, 500), rate=rates)
def test_each_doubling_takes_wright_s_average_to_the_rate(t1, n, rate):
    twice = wright_total(t1, 2 * n, rate) / (2 * n)
    assert twice == pytest.approx(rate * wright_total(t1, n, rate) / n)
    assert wright_average(t1, n, rate) == pytest.approx(wright_total(t1, n, rate) / n)


@given(t1=first, m=st.integers(2, 60), n=st.integers(60, 200), rate=rates)
def test_blocks_add_up(t1, m, n, rate):
    crawford = crawford_total(t1, m - 1, rate) + crawford_total(t1, n, rate, m)
    assert crawford == pytest.approx(crawford_total(t1, n, rate))
    wright = wright_total(t1, m - 1, rate) + wright_total(t1, n, rate, m)
    assert wright == pytest.approx(float(wright_total(t1, n, rate)))


@given(t1=first, n=st.integers(1, 300))
def test_who_learns_nothing_takes_the_same_time_each_time(t1, n):
    assert crawford_total(t1, n, 1.0) == pytest.approx(n * t1)
    assert wright_total(t1, n, 1.0) == pytest.approx(n * t1)


@given(n=st.integers(30, 2000), rate=rates)
def test_the_integral_is_near_the_sum_for_long_blocks(n, rate):
    assert crawford_total_approximate(1.0, n, rate) == pytest.approx(
        crawford_total(1.0, n, rate), rel=0.02
    )


@given(t1=first, n=st.integers(2, 500), rate=rates)
def test_the_rate_of_two_units_is_the_rate_they_were_made_with(t1, n, rate):
    found = learning_rate(1, t1, n, crawford_unit(t1, n, rate))
    assert found.rate == pytest.approx(rate)


def test_whole_arrays_of_units_are_taken():
    found = crawford_unit(100.0, np.array([1, 2, 4]), 0.8)
    np.testing.assert_allclose(found, [100, 80, 64])
    np.testing.assert_allclose(wright_total(100.0, np.array([1, 2]), 0.8), [100, 160])


@pytest.mark.parametrize(
    ("what", "call"),
    [
        ("above 1", lambda: crawford_unit(1, 2, 85)),
        ("not above zero", lambda: crawford_unit(1, 2, 0)),
        ("not above zero", lambda: crawford_unit(0, 2, 0.9)),
        ("below 1", lambda: wright_average(1, 0, 0.9)),
        ("not whole", lambda: crawford_total(1, 2.5, 0.9)),
        ("before first", lambda: crawford_total(1, 2, 0.9, 3)),
        ("comes before m", lambda: wright_total(1, 2, 0.9, 3)),
        ("million", lambda: crawford_total(1, 10**9, 0.9)),
        ("not a number", lambda: crawford_unit(float("nan"), 2, 0.9)),
        ("same unit", lambda: learning_rate(2, 1, 2, 1)),
        ("1/2 or less", lambda: crawford_total_approximate(1, 9, 0.5)),
    ],
)
def test_each_wrong_input_has_its_own_message(what, call):
    with pytest.raises(OutOfRange, match=what):
        call()
