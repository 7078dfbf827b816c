"""Infinite slope: printed examples, closed-form limits, and what water, weight and roots do."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.infinite import infinite_slope, three_states, wetted_slope
from hillwright.stability.infinite_forms import (
    infinite_slope_dry,
    infinite_slope_ru,
    infinite_slope_seeping,
    infinite_slope_undrained,
    sinmap_factor,
)
from hillwright.stability.infinite_limits import (
    critical_depth,
    critical_water_height,
    layer_surcharge,
    yield_coefficient,
)

SLOPE = st.floats(5, 60).map(np.radians)
FRICTION = st.floats(5, 45).map(np.radians)
DEPTH = st.floats(0.2, 10)
COHESION = st.floats(0, 20e3)
MOIST = st.floats(12e3, 20e3)
SHARE = st.floats(0, 1)
PAIR = st.tuples(SHARE, SHARE).map(sorted)


# CEG 4012 lecture notes 2011, SL5: tan 35 / tan 30 = 1.21, and 0.58 with seepage
@given(depth=DEPTH, moist=MOIST)
def test_depth_and_weight_drop_out_for_dry_sand(depth, moist):
    found = infinite_slope(np.radians(30), depth, 0, np.radians(35), moist)
    assert found == pytest.approx(1.2128, abs=5e-5)
    assert infinite_slope_dry(np.radians(30), np.radians(35)) == pytest.approx(found)


@given(slope=SLOPE, friction=FRICTION, depth=DEPTH, cohesion=COHESION, moist=MOIST)
def test_every_form_is_a_case_of_the_general_one(slope, friction, depth, cohesion, moist):
    soil = (slope, depth, cohesion, friction, moist)
    dry = infinite_slope(*soil)
    closed = cohesion / (moist * depth * np.sin(slope) * np.cos(slope))
    closed += np.tan(friction) / np.tan(slope)
    assert dry == pytest.approx(closed)
    assert infinite_slope_dry(slope, friction, cohesion, moist, depth) == pytest.approx(dry)
    assert infinite_slope_ru(slope, friction, 0.0, cohesion, moist, depth) == pytest.approx(dry)
    assert wetted_slope(slope, depth, 0.0, cohesion, friction, moist) == pytest.approx(dry)
    soaked = infinite_slope(*soil, water_height=depth)
    form = infinite_slope_seeping(slope, friction, moist, cohesion, depth)
    assert form == pytest.approx(soaked)
    assert wetted_slope(slope, depth, 1.0, cohesion, friction, moist) == pytest.approx(soaked)
    # SINMAP counts its depth square to the slope
    ratio = cohesion / (moist * depth * np.cos(slope))
    r = 9810 / moist
    assert sinmap_factor(ratio, slope, 0, friction, r) == pytest.approx(dry)
    assert sinmap_factor(ratio, slope, 1, friction, r) == pytest.approx(soaked)


@given(slope=SLOPE, depth=DEPTH, cohesion=COHESION, moist=MOIST, kh=SHARE)
def test_clay_without_drainage_is_the_general_form_without_friction(
    slope, depth, cohesion, moist, kh
):
    form = infinite_slope_undrained(slope, depth, cohesion, moist, kh)
    assert form == pytest.approx(infinite_slope(slope, depth, cohesion, 0, moist, kh=kh))


@given(slope=SLOPE, friction=FRICTION, depth=DEPTH, cohesion=COHESION, moist=MOIST, water=PAIR)
def test_more_water_never_makes_the_hill_safer(slope, friction, depth, cohesion, moist, water):
    less, more = (
        infinite_slope(slope, depth, cohesion, friction, moist, moist + 2e3, share * depth)
        for share in water
    )
    assert more <= less * (1 + 1e-12)


@given(friction=FRICTION, depth=DEPTH, cohesion=COHESION, moist=MOIST, water=SHARE, steep=PAIR)
def test_a_steeper_hill_is_never_safer(friction, depth, cohesion, moist, water, steep):
    # with cohesion the factor turns again past 45 degrees of slope: sin(b) cos(b) falls there
    flat, sharp = (np.radians(1 + 44 * s) for s in steep)
    below, above = (
        infinite_slope(b, depth, cohesion, friction, moist, water_height=water * depth)
        for b in (flat, sharp)
    )
    assert above <= below * (1 + 1e-12)


@given(
    slope=SLOPE, friction=FRICTION, depth=DEPTH, moist=MOIST, water=SHARE, bond=PAIR, shaking=PAIR
)
def test_cohesion_and_roots_help_and_shaking_harms(
    slope, friction, depth, moist, water, bond, shaking
):
    def factor(cohesion, roots, kh):
        h = water * depth
        return infinite_slope(slope, depth, cohesion, friction, moist, None, h, 0.0, roots, kh)

    weak, strong = (20e3 * s for s in bond)
    assert factor(weak, 0, 0) <= factor(strong, 0, 0)
    assert factor(weak, strong, 0) == pytest.approx(factor(strong, weak, 0))
    calm, shaken = shaking
    assert factor(weak, 0, shaken) <= factor(weak, 0, calm) * (1 + 1e-12)


@given(slope=SLOPE, friction=FRICTION, depth=DEPTH, cohesion=COHESION, water=SHARE)
def test_the_states_are_in_order_and_the_soaked_one_is_full(
    slope, friction, depth, cohesion, water
):
    soil = (slope, depth, cohesion, friction, 17e3, 19e3)
    found = three_states(*soil, kh=0.15, water_found=water * depth)
    assert found.shaken <= found.soaked <= found.as_found * (1 + 1e-12)
    assert found.soaked == pytest.approx(infinite_slope(*soil, depth))
    assert found.shaken == pytest.approx(infinite_slope(*soil, depth, kh=0.15))


@given(
    slope=SLOPE,
    friction=FRICTION,
    cohesion=st.floats(100, 20e3),
    moist=MOIST,
    water=SHARE,
    load=st.floats(0, 5e3),
    kh=st.floats(0, 0.3),
    required=st.floats(1, 2),
)
def test_at_the_critical_depth_the_factor_is_the_required_one(
    slope, friction, cohesion, moist, water, load, kh, required
):
    soil = (cohesion, friction, moist, moist + 1e3)
    depth = critical_depth(slope, *soil, water, load, kh, required)
    if np.isinf(depth):
        deep = infinite_slope(slope, 1e7, *soil, water * 1e7, load, kh=kh)
        assert deep >= required * (1 - 1e-6)
        return
    assume(depth > 1e-3)
    found = infinite_slope(slope, depth, *soil, water * depth, load, kh=kh)
    assert found == pytest.approx(required, rel=1e-6)


@given(
    slope=SLOPE,
    friction=FRICTION,
    depth=DEPTH,
    cohesion=COHESION,
    moist=MOIST,
    load=st.floats(0, 5e3),
)
def test_at_the_critical_water_height_the_factor_is_one(
    slope, friction, depth, cohesion, moist, load
):
    soil = (slope, depth, cohesion, friction, moist, moist + 1.5e3)
    height, ratio = critical_water_height(*soil, load)
    if np.isinf(height):
        assert infinite_slope(*soil, depth, load) >= 1 - 1e-9
    elif height == 0:
        assert infinite_slope(*soil, 0.0, load) <= 1 + 1e-9
    else:
        assert infinite_slope(*soil, min(height, depth), load) == pytest.approx(1)
        assert ratio == pytest.approx(height / depth)


@given(slope=SLOPE, friction=FRICTION, depth=DEPTH, cohesion=COHESION, moist=MOIST, water=SHARE)
def test_at_the_yield_coefficient_the_factor_is_one(slope, friction, depth, cohesion, moist, water):
    soil = (slope, depth, cohesion, friction, moist, moist + 1e3, water * depth)
    found = yield_coefficient(*soil)
    if found < 0:
        assert infinite_slope(*soil) < 1
    elif found <= 1:
        assert infinite_slope(*soil, kh=found) == pytest.approx(1)


def test_cells_are_worked_out_together_as_one_by_one():
    slope = np.radians(np.linspace(5, 45, 50))
    soil = (1.2, 1e3, 0.55, 17e3, 19e3, 0.6, 2e3)
    together = infinite_slope(slope, *soil)
    assert np.allclose(together, [infinite_slope(b, *soil) for b in slope])


def test_level_ground_is_held_without_limit():
    assert infinite_slope(0.0, 1, 0, 0.5, 17e3) == np.inf
    assert np.isinf(sinmap_factor(0, 0.0, 1, 0.5))
    assert np.isfinite(infinite_slope(0.0, 1, 0, 0.5, 17e3, kh=0.1))


# slope area is larger than plan area: a layer 0.2 m thick on 60 deg loads its plan twice over
def test_a_layer_on_a_slope_loads_more_than_its_plan():
    assert layer_surcharge(18e3, 0.2, np.radians(60)) == pytest.approx(7200)


GOOD = {"slope": 0.5, "depth": 1.0, "cohesion": 0.0, "friction": 0.6, "unit_weight": 17e3}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"unit_weight": -17e3}, "unit_weight: is negative"),
        ({"unit_weight": 0}, "unit_weight: is zero"),
        ({"unit_weight": 1.7e6}, "heavier than rock"),
        ({"friction": np.radians(51)}, "friction: is over 50 deg"),
        ({"friction": -0.1}, "friction: is negative"),
        ({"water_height": 1.1}, "water_height: stands above the ground"),
        ({"depth": [1, 2], "water_height": [1, 2.5]}, "water_height, value 2: stands above"),
        ({"water_height": -0.1}, "water_height: is negative"),
        ({"depth": 0}, "depth: is zero"),
        ({"slope": np.pi / 2}, "not an angle of ground"),
        ({"slope": [0.5, -0.1]}, "slope, value 2: is not an angle of ground"),
        ({"cohesion": -1}, "cohesion: is negative"),
        ({"surcharge": -1}, "surcharge: is negative"),
        ({"root_cohesion": -1}, "root_cohesion: is negative"),
        ({"kh": 1.5}, "kh: is not within 0 to 1"),
        ({"saturated_weight": 15e3}, "weighs less than the same soil moist"),
        ({"water_height": 0.5, "pore_pressure_ratio": 0.2}, "the same water would count twice"),
        ({"slope": float("nan")}, "slope: is not a number"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    with pytest.raises(OutOfRange, match=says):
        infinite_slope(**{**GOOD, **wrong})


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: infinite_slope_dry(0.5, 0.6, 1e3, 17e3), "depth: is missing"),
        (lambda: infinite_slope_seeping(0.5, 0.6, 19e3, 1e3), "depth: is missing"),
        (lambda: infinite_slope_ru(0.5, 0.6, 0.2, 1e3, depth=1), "unit_weight: is missing"),
        (lambda: wetted_slope(0.5, 1, 1.2, 0, 0.6, 19e3), "water_ratio"),
        (lambda: sinmap_factor(0, 0.5, 1.2, 0.6), "water stands above the ground"),
        (lambda: critical_depth(0.5, 1e3, 0.6, 17e3, required=0), "required: is zero"),
    ],
)
def test_the_other_forms_refuse_too(act, says):
    with pytest.raises(OutOfRange, match=says):
        act()
