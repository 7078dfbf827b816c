"""Whole packs, and the cheapest packs that are enough."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.estimate.packs import cheapest_packs, covering, packs_to_buy

packs = st.lists(
    st.tuples(st.integers(1, 40), st.integers(1, 400)),
    min_size=1,
    max_size=3,
    unique_by=lambda p: p[0],
)


@given(need=st.floats(0, 1e4), waste=st.floats(0, 0.5), pack=st.floats(0.01, 500))
def test_packs_are_enough_and_one_less_is_not(need, waste, pack):
    n = float(packs_to_buy(need, waste, pack))
    want = need * (1 + waste)
    assert n * pack >= want * (1 - 1e-9) - 1e-9 * pack
    assert n == 0 or (n - 1) * pack < want


@given(need=st.integers(0, 120), kinds=packs)
def test_no_other_choice_of_packs_is_cheaper(need, kinds):
    sizes, prices = [s for s, _ in kinds], [float(p) for _, p in kinds]
    found = cheapest_packs(need, sizes, prices)
    assert np.dot(found, sizes) >= need
    every = itertools.product(*(range(-(-need // s) + 1) for s in sizes))
    least = min(np.dot(n, prices) for n in every if np.dot(n, sizes) >= need)
    assert np.dot(found, prices) == pytest.approx(least)


def test_a_search_that_was_cut_short_claims_nothing_and_still_covers():
    sizes, prices = [7.0, 11.0, 13.0], [7.0, 10.9, 13.1]
    assert covering(100, sizes, prices)[1]
    counts, sure = covering(100, sizes, prices, most_looks=2)
    assert not sure
    assert np.dot(counts, sizes) >= 100


def test_a_pack_that_holds_nothing_is_refused():
    with pytest.raises(OutOfRange, match="holds nothing"):
        packs_to_buy(3, 0, 0)
    with pytest.raises(OutOfRange, match="below zero"):
        packs_to_buy(-1, 0, 1)
