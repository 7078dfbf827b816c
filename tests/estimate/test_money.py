"""Money adds up to the last coin; markup and margin are one another's inverse; ranges add up."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.estimate.money import coin, price_at_margin, price_at_markup, share_out
from hillwright.estimate.triangle import (
    sum_of_triangular,
    triangular_moments,
    triangular_quantile,
)

money = st.decimals(0, 10**7, places=2)
ranges = st.lists(st.tuples(*[st.floats(1, 100)] * 3).map(sorted), min_size=1, max_size=6)


@given(total=money, weights=st.lists(st.floats(0, 1e6), min_size=1, max_size=12))
def test_what_is_shared_out_adds_up_to_the_last_cent(total, weights):
    parts = share_out(total, weights, 2)
    assert sum(parts) == total
    assert all(p == coin(p, 2) for p in parts)


@given(total=money, weights=st.lists(st.floats(0.1, 1e3), min_size=1, max_size=8))
def test_no_share_is_off_by_a_whole_cent(total, weights):
    whole = sum(map(Decimal, map(repr, weights)))
    for part, w in zip(share_out(total, weights, 2), weights, strict=True):
        assert abs(part - total * Decimal(repr(w)) / whole) < Decimal("0.0101")


@given(cost=st.floats(1, 1e6), markup=st.floats(0, 5))
def test_the_margin_of_a_markup_gives_the_same_price(cost, markup):
    price, margin = price_at_markup(cost, markup)
    again, back = price_at_margin(cost, margin)
    assert again == pytest.approx(price)
    assert back == pytest.approx(markup, abs=1e-9)


@given(each=ranges, r=st.sampled_from([0.0, 0.5, 1.0]))
def test_the_drawn_mean_is_that_of_the_closed_form_at_any_correlation(each, r):
    low, mode, high = (list(v) for v in zip(*each, strict=True))
    exact = triangular_moments(low, mode, high)
    draws = 4000
    found = sum_of_triangular(low, mode, high, [0.5], r, draws, seed=3)
    sd = max(
        float(np.sqrt(np.maximum(exact.variance, 0)).sum()), 1e-3
    )  # at full correlation deviations add up
    assert found.mean == pytest.approx(exact.mean.sum(), abs=5 * sd / np.sqrt(draws))


@given(each=ranges)
def test_more_correlation_never_makes_the_sum_surer(each):
    low, mode, high = (list(v) for v in zip(*each, strict=True))
    loose, tight = (sum_of_triangular(low, mode, high, [0.5], r, 3000).sd for r in (0.0, 1.0))
    assert tight >= loose * 0.94


@given(each=ranges, p=st.floats(0, 1))
def test_a_quantile_lies_inside_its_range_and_grows_with_its_share(each, p):
    low, mode, high = each[0]
    a, b = triangular_quantile(low, mode, high, [p, 1.0])
    assert low - 1e-9 <= a <= b <= high + 1e-9


def test_a_range_out_of_order_is_refused():
    with pytest.raises(OutOfRange, match="in that order"):
        triangular_moments(3, 2, 4)


@pytest.mark.parametrize(
    ("price", "cost", "share"),
    [(price_at_markup, -1.0, 0.2), (price_at_markup, 1.0, -0.2), (price_at_margin, 1.0, 1.0)],
)
def test_a_price_below_nothing_or_all_margin_is_refused(price, cost, share):
    with pytest.raises(OutOfRange):
        price(cost, share)
