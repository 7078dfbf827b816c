"""Weights and volumes of soil: exact relations between them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.weights import (
    fill_order,
    saturated_from_dry,
    saturated_weight,
    swell_shrink,
)


@given(st.floats(2.0, 2.9), st.floats(0.2, 3.0))
def test_the_two_ways_to_the_saturated_weight_agree(grains, void_ratio):
    found = saturated_weight(grains, void_ratio)
    assert np.isclose(saturated_from_dry(found.dry, grains), found.saturated)
    assert np.isclose(found.dry + found.porosity * 9810, found.saturated)


@given(st.floats(0.5, 5), st.floats(0, 0.5), st.floats(0, 0.4), st.floats(0, 0.4))
def test_more_settlement_or_waste_never_orders_less(size, settlement, more, waste):
    once = fill_order(size, 10, 0.1, settlement, waste)
    again = fill_order(size, 10, 0.1, settlement + more, waste)
    assert again.order >= once.order >= once.settled
    assert once.settled == pytest.approx(size)


@given(st.floats(1, 2), st.floats(0.3, 1), st.floats(0, 1))
def test_what_swells_shrinks_back(bank, share, denser):
    found = swell_shrink(bank, bank * share, bank * (1 + denser))
    assert np.isclose((1 + found.swell) * found.load_factor, 1)
    assert found.swell >= 0
    assert 0 <= found.shrinkage < 1


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: saturated_weight(-2.65, 1), "specific_gravity.*negative"),
        (lambda: saturated_weight(2.65, -0.1), "void_ratio.*negative"),
        (lambda: saturated_from_dry(27e3), "heavier than solid grains"),
        (lambda: swell_shrink(3000, 3100, 3750), "loose soil cannot be denser"),
        (lambda: swell_shrink(0, 2310, 3750), "bank.*zero"),
        (lambda: fill_order(10, 10, 0.1, 1.0), "nothing would be left"),
        (lambda: fill_order(-10, 10, 0.1, 0.1), "width.*negative"),
    ],
)
def test_what_no_soil_can_be_is_refused(act, says):
    with pytest.raises(OutOfRange, match=says):
        act()
