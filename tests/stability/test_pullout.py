"""What holds a bar against being drawn out: rules, groups, sheets, and the test on the site."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.pullout import (
    alpha_uplift,
    beta_uplift,
    block_uplift_clay,
    block_uplift_sand,
    sheet_pullout,
    site_pull,
)


@given(length=st.floats(0.1, 5), diameter=st.floats(0.005, 0.1), strength=st.floats(1e3, 2e5))
def test_the_alpha_rule_holds_no_more_than_the_clay_itself(length, diameter, strength):
    found = alpha_uplift(strength, diameter, length, 17e3)
    assert 0 < found.alpha <= 1
    assert found.load <= strength * np.pi * diameter * length * (1 + 1e-12)


def test_alpha_is_one_half_where_strength_and_overburden_are_equal_from_both_sides():
    both = alpha_uplift([8500 * (1 - 1e-9), 8500 * (1 + 1e-9)], 0.02, 1.0, 17e3)
    assert both.alpha == pytest.approx([0.5, 0.5])


@given(lengths=st.tuples(st.floats(0.1, 5), st.floats(0.1, 5)).map(sorted))
def test_a_deeper_bar_holds_more(lengths):
    low, high = beta_uplift(0.3, 0.0127, lengths, 17e3)
    assert high >= low


def test_the_computed_floor_lies_far_below_what_field_tests_find():
    # 1 in by 36 in stake in lawn soil: 1000 lb dry, about half of it wet (data/driven_shafts.toml)
    assert beta_uplift(0.37, 0.0254, 0.914, 17e3) < 0.5 * 500 * 4.448


def test_a_group_lifts_its_block_of_clay():
    # 2 m deep, 1 m by 3 m: walls 2*2*(1 + 3) = 16 m2 at 20 kPa, and 6 m3 at 18 kN/m3
    assert block_uplift_clay(2, 1, 3, 20e3, 18e3) == pytest.approx(320e3 + 108e3)


@given(depth=st.floats(0.1, 3), breadth=st.floats(0.1, 3), length=st.floats(0.1, 3))
def test_a_group_in_sand_lifts_a_prism_that_spreads_4_to_1(depth, breadth, length):
    z = np.linspace(0, depth, 4001)
    volume = np.trapezoid((breadth + z / 2) * (length + z / 2), z)
    assert block_uplift_sand(depth, breadth, length, 1.0) == pytest.approx(volume, rel=1e-5)


def test_a_sheet_at_the_surface_holds_nothing():
    assert sheet_pullout(0.45, 0.8, 19e3, 0.0, 3.0) == 0


def test_a_dry_test_counts_half():
    assert site_pull(4000.0, wet=True) == 2000
    assert site_pull(4000.0, wet=False) == 1000


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: site_pull(4000.0, True, 1.0), "factor: is below 1.5"),
        (lambda: site_pull(0.0, True), "load: is zero"),
        (lambda: beta_uplift(37, 0.01, 1, 17e3), "beta: is not within 0 to 1.5"),
        (lambda: beta_uplift(0.3, -0.01, 1, 17e3), "diameter: is negative"),
        (lambda: alpha_uplift(0, 0.01, 1, 17e3), "undrained_strength: is zero"),
        (lambda: sheet_pullout(0.45, 0.8, 19e3, -1.0, 3.0), "depth: is negative"),
    ],
)
def test_each_wrong_input_has_its_own_message(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
