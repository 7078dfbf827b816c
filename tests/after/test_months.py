"""Rainy and frosty months."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from hillwright.after.months import before, frost_months, rainy_months

month = st.floats(0, 0.3)


def test_winter_rain_begins_in_autumn_and_ends_in_spring():
    rain = np.array([80, 85, 60, 25, 8, 2, 0, 1, 5, 20, 45, 75]) / 1000
    reference = np.full(12, 0.003)
    assert rainy_months(rain, reference, 0.5) == (12, 1, 2, 3)


def test_a_place_without_a_rainy_month_has_its_wettest():
    rain = np.zeros(12)
    rain[6] = 0.01
    assert rainy_months(rain, np.full(12, 0.005), 0.5) == (7,)


@given(st.lists(month, min_size=12, max_size=12))
def test_rainy_months_are_some_each_once_and_the_first_follows_a_dry_one(rain):
    rain, reference = np.array(rain), np.full(12, 0.004)
    found = rainy_months(rain, reference, 0.5)
    assert 1 <= len(found) == len(set(found)) <= 12
    assert set(found) <= set(range(1, 13))
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    wet = rain > 0.5 * reference * days
    if wet.any() and not wet.all():
        assert {m for m in range(1, 13) if wet[m - 1]} == set(found)
        assert not wet[before(found[0]) - 1]


def test_frost_goes_over_the_turn_of_the_year_and_to_the_other_half_of_it_in_the_south():
    assert frost_months(105, 293, south=False) == (10, 11, 12, 1, 2, 3, 4)
    assert frost_months(None, None, south=False) == (10, 11, 12, 1, 2, 3, 4)
    assert frost_months(None, None, south=True) == (4, 5, 6, 7, 8, 9, 10)


def test_before_goes_round():
    assert [before(1), before(3), before(2, 3)] == [12, 2, 11]
