"""Ranges: in order, drawn by the stated rule, the same for the same seed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.ranges import (
    Range,
    coefficient_of_variation,
    range_of,
    three_sigma,
    triangular_range,
    variation,
)

THREE = st.lists(st.floats(0.1, 1e5), min_size=3, max_size=3).map(sorted)


@given(THREE)
def test_moments_of_a_triangle_are_those_of_its_samples(ends):
    known = Range(*ends)
    drawn = known.sample(4000, seed=1)
    assert np.isclose(drawn.mean(), known.mean, rtol=1e-4)
    assert np.isclose(drawn.std(), known.sd, rtol=5e-3, atol=1e-9 * known.high)
    assert known.low <= drawn.min()
    assert drawn.max() <= known.high


@given(mean=st.floats(0.1, 1e5), share=st.floats(0.01, 0.5))
def test_a_single_value_keeps_its_mean_and_coefficient_of_variation(mean, share):
    known = Range.lognormal(mean, share)
    assert np.isclose(known.sd / known.mean, share)
    drawn = known.sample(4000, seed=2)
    assert np.isclose(drawn.mean(), mean, rtol=3e-3)
    assert np.isclose(drawn.std() / drawn.mean(), share, rtol=0.03)
    assert 0 < known.low < known.best < known.high


@given(THREE, st.integers(1, 300), st.integers(0, 5))
def test_the_same_seed_draws_the_same_samples(ends, count, seed):
    known = Range(*ends)
    assert np.array_equal(known.sample(count, seed), known.sample(count, seed))


@given(
    st.one_of(
        THREE.map(lambda e: Range(*e)), st.floats(1, 9).map(lambda m: Range.lognormal(m, 0.2))
    )
)
def test_quantiles_rise_and_are_the_same_one_by_one(known):
    share = np.array([0.001, 0.1, 0.33, 0.5, 0.9, 0.999])
    found = known.quantile(share)
    assert (np.diff(found) >= 0).all()
    assert np.allclose(found, [known.quantile(np.array([p]))[0] for p in share], rtol=1e-9)


def test_a_fixed_value_does_not_vary():
    assert Range.fixed(3.0).sd == 0
    assert (Range.fixed(3.0).sample(5, 0) == 3.0).all()
    assert range_of("cohesion", 0.0, "cohesion") == Range.fixed(0.0)


def test_one_two_and_three_values_are_read_as_ranges():
    assert range_of("x", [1.0, 3.0]) == Range(1.0, 2.0, 3.0)
    assert range_of("x", [1.0, 1.5, 3.0]) == Range(1.0, 1.5, 3.0)
    assert range_of("x", 5.0) == Range.fixed(5.0)
    assert range_of("x", 5.0, "friction") == Range.lognormal(5.0, 0.13)
    assert range_of("x", Range(1, 2, 3)) == Range(1, 2, 3)


# Duncan 2000, Table 3: unit weight 3 to 7 %, effective friction angle 2 to 13 %
def test_a_single_value_takes_the_upper_end_of_the_table():
    assert variation("unit weight") == pytest.approx(0.07)
    assert variation("friction") == pytest.approx(0.13)
    with pytest.raises(OutOfRange, match="did you mean friction"):
        variation("fricton")


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ([3.0, 1.0], "upside down: from 3 to 1; write the lowest first: 1 to 3"),
        ([1.0, 4.0, 3.0], "likeliest value 4 lies outside 1 to 3"),
        ([1.0, 2.0, 3.0, 4.0], "4 values are no range"),
        ([], "0 values are no range"),
        (float("nan"), "not a number"),
    ],
)
def test_what_is_no_range_is_refused_in_its_own_words(value, says):
    with pytest.raises(OutOfRange, match=says):
        range_of("friction", value)


def test_an_upside_down_range_cannot_be_made():
    with pytest.raises(OutOfRange, match="upside down"):
        Range(3, 2, 1)
    with pytest.raises(OutOfRange, match="upside down"):
        triangular_range(3, 2, 1)
    with pytest.raises(OutOfRange, match="range 2: upside down"):
        three_sigma([1, 3], [2, 2])
    with pytest.raises(OutOfRange, match="samples"):
        Range(1, 2, 3).sample(0, 0)


# closed form: a symmetric triangle of half width w has the variance w^2/6
def test_spread_of_a_symmetric_triangle():
    found = triangular_range(10, 13, 16)
    assert found.mean == pytest.approx(13)
    assert found.sd == pytest.approx(3 / 6**0.5)
    assert found.variation == pytest.approx(found.sd / 13)


# Duncan 2000: sd = (highest conceivable - lowest conceivable)/6
def test_three_sigma_rule():
    assert three_sigma(30, 36) == pytest.approx(1.0)
    assert coefficient_of_variation(33, 1.0) == pytest.approx(1 / 33)


def test_another_unit_keeps_the_shape():
    known = Range.lognormal(20.0, 0.1).scaled(1e3)
    assert known.sd / known.mean == pytest.approx(0.1)
    assert known.mean == pytest.approx(2e4)


def test_friction_that_is_upside_down_is_told_in_degrees():
    with pytest.raises(OutOfRange, match="from 34 deg to 30 deg; write the lowest first: 30 deg"):
        range_of("friction", np.radians([34.0, 30.0]), "friction")
