"""Chances: first order and sampling agree, and both follow the soil."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.infinite import infinite_slope
from hillwright.stability.probability import infinite_slope_first_order, infinite_slope_sampled
from hillwright.stability.ranges import Range
from hillwright.stability.reliability import (
    fosm_linear,
    lognormal_reliability,
    normal_below,
    normal_reliability,
    taylor_series,
)

DEG = math.pi / 180
SOIL = ([0.0, 1e3, 3e3], [28 * DEG, 32 * DEG, 36 * DEG], [16e3, 17e3, 18e3], [18.5e3, 19e3, 20e3])


@pytest.mark.parametrize("water", [0.0, 0.5, 1.0])
def test_first_order_and_sampling_agree(water):
    slope = np.radians(np.linspace(15, 42, 60))
    first = infinite_slope_first_order(slope, 1.0, *SOIL, water)
    drawn = infinite_slope_sampled(slope, 1.0, *SOIL, water)
    assert np.allclose(drawn.mean, first.factor, rtol=0.005)
    assert np.allclose(drawn.sd, first.sd, rtol=0.05)
    assert np.abs(drawn.probability - first.probability).max() < 0.02


@given(
    slope=st.floats(15, 40),
    friction=st.floats(20, 40),
    cohesion=st.floats(0, 5e3),
    water=st.floats(0, 1),
)
def test_they_agree_for_single_values_with_the_table_s_spread(slope, friction, cohesion, water):
    given = (slope * DEG, 1.5, cohesion, friction * DEG, 17e3, 19e3, 1.5 * water)
    first, drawn = infinite_slope_first_order(*given), infinite_slope_sampled(*given)
    assert drawn.mean == pytest.approx(float(first.factor), rel=0.02)
    assert drawn.sd == pytest.approx(float(first.sd), rel=0.08)
    assert abs(float(drawn.probability) - float(first.probability)) < 0.03


def test_plain_sampling_of_the_general_method_gives_the_same():
    # the fast balance of the sampler against the public method, sample by sample
    stream = np.random.default_rng(7)
    c, p, g = (stream.triangular(*r, 20_000) for r in SOIL[:3])
    plain = infinite_slope(0.5, 1.2, c, p, g, g + 2e3, 0.6, 1.5e3, kh=0.1)
    drawn = infinite_slope_sampled(0.5, 1.2, *SOIL[:3], np.array(SOIL[2]) + 2e3, 0.6, 1.5e3, 0.1)
    assert drawn.p10 == pytest.approx(np.quantile(plain, 0.1), rel=0.005)
    assert drawn.p50 == pytest.approx(np.quantile(plain, 0.5), rel=0.005)
    assert drawn.p90 == pytest.approx(np.quantile(plain, 0.9), rel=0.005)
    assert drawn.probability == pytest.approx((plain < 1).mean(), abs=0.01)


@given(st.tuples(st.floats(0, 1), st.floats(0, 1)).map(sorted), st.floats(15, 40))
def test_more_water_never_makes_failure_less_likely(water, slope):
    less, more = (infinite_slope_sampled(slope * DEG, 1.0, *SOIL, w) for w in water)
    assert more.probability >= less.probability
    assert more.p50 <= less.p50 * (1 + 1e-12)
    assert less.p10 <= less.p50 <= less.p90


def test_the_same_seed_gives_the_same_chance():
    one, two, other = (
        infinite_slope_sampled(0.55, 1.0, *SOIL, samples=500, seed=s).mean for s in (3, 3, 4)
    )
    assert one == two
    assert one != other


def test_a_soil_that_does_not_vary_has_one_factor():
    sure = tuple(Range.fixed(v) for v in (1e3, 30 * DEG, 17e3, 19e3))
    first = infinite_slope_first_order([0.4, 0.7], 1.0, *sure)
    drawn = infinite_slope_sampled([0.4, 0.7], 1.0, *sure)
    assert np.allclose(drawn.p10, drawn.p90)
    assert np.allclose(first.sd, 0)
    assert np.allclose(first.probability, [0, 1])
    assert np.allclose(drawn.probability, [0, 1])


def test_level_ground_never_slides():
    first = infinite_slope_first_order(0.0, 1.0, *SOIL)
    drawn = infinite_slope_sampled(0.0, 1.0, *SOIL)
    assert first.probability == drawn.probability == 0
    assert np.isinf(drawn.p10)


def test_shape_of_the_ground_is_kept():
    slope = np.full((2, 3), 0.5)
    assert infinite_slope_sampled(slope, 1.0, *SOIL, samples=50).p50.shape == (2, 3)
    assert infinite_slope_first_order(slope, 1.0, *SOIL).factor.shape == (2, 3)


# Duncan 2000, Table 2: F 1.5 with V 17 %: beta 2.32, 1.0 %
def test_printed_reliability():
    found = lognormal_reliability(1.5, 0.17)
    assert found.beta == pytest.approx(2.32, abs=0.005)
    assert found.probability == pytest.approx(0.01, abs=0.0005)


# closed form: of a normal factor of mean 1.5 and V 20 %, beta = 0.5/0.3
def test_normal_reliability():
    assert normal_reliability(1.5, 0.2).beta == pytest.approx(5 / 3)


# tables of the normal distribution
def test_tail_of_the_normal_distribution():
    assert normal_below([0, 1.959964, -3]) == pytest.approx([0.5, 0.975, 0.0013499], rel=1e-5)


@given(st.floats(1.01, 3), st.floats(0.01, 0.6), st.floats(1.01, 2))
def test_a_higher_factor_or_less_spread_is_safer(factor, spread, more):
    once = lognormal_reliability(factor, spread)
    assert lognormal_reliability(factor * more, spread).probability <= once.probability
    # less spread helps above F = 1 only where the median is above it too
    if once.beta > 0:
        assert lognormal_reliability(factor, spread / more).beta >= once.beta


# closed form: the variance of a sum with correlation r is s1^2 + s2^2 + 2 r s1 s2
def test_correlation_counts_in_a_linear_margin():
    found = fosm_linear([1, 1], [3, 4], [1, 2], -2, [[1, 0.5], [0.5, 1]])
    assert found.mean == pytest.approx(5)
    assert found.sd == pytest.approx(math.sqrt(1 + 4 + 2 * 0.5 * 2))


def test_taylor_series_of_a_sum_is_exact():
    found = taylor_series(1.5, [1.7, 1.6], [1.3, 1.4])
    assert found.sd == pytest.approx(math.hypot(0.2, 0.1))
    assert found.variation == pytest.approx(found.sd / 1.5)
    assert found.beta == pytest.approx(lognormal_reliability(1.5, found.variation).beta)


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: lognormal_reliability(0, 0.2), "factor: is zero"),
        (lambda: lognormal_reliability(1.5, -0.2), "variation: is negative"),
        (lambda: fosm_linear([1], [1, 2], [1, 2]), "do not pair"),
        (lambda: fosm_linear([1], [1], [0]), "nothing varies"),
        (lambda: fosm_linear([1, 1], [1, 1], [1, 1], 0, [[1, 2], [2, 1]]), "no correlation"),
        (lambda: taylor_series(1.5, [1, 2], [1]), "1 values for 2"),
        (lambda: infinite_slope_first_order(0.5, 1, 0, [0.6, 0.5], 17e3), "upside down"),
        (lambda: infinite_slope_sampled(0.5, 1, 0, 0.9, 17e3), "over 50 deg"),
        (lambda: infinite_slope_sampled(0.5, 1, 0, 0.5, -17e3), "negative"),
        (lambda: infinite_slope_sampled(0.5, 1, 0, 0.5, 17e3, samples=0), "samples"),
        (lambda: infinite_slope_sampled(0.5, 1, 0, 0.5, 17e3, 19e3, 1.5), "above the ground"),
    ],
)
def test_each_wrong_input_has_its_own_message(act, says):
    with pytest.raises(OutOfRange, match=says):
        act()
