"""Earth pressure: tables, limits in which the methods agree, and slopes that do not stand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.earthpressure import (
    coulomb_active,
    mononobe_okabe,
    rankine_level,
    rankine_sloping,
    seismic_thrust,
    wall_thrust,
)

FRICTION = st.floats(5, 50)
SHARE = st.floats(0, 1)


def rad(degrees):
    return np.radians(degrees)


@given(friction=FRICTION)
def test_active_and_passive_are_inverse_and_rest_lies_between(friction):
    found = rankine_level(rad(friction))
    assert found.active * found.passive == pytest.approx(1)
    assert found.active <= found.at_rest <= found.passive


def test_soil_without_friction_presses_like_a_fluid():
    assert tuple(rankine_level(0.0)) == pytest.approx((1, 1, 1))


@given(friction=FRICTION)
def test_methods_agree_on_a_smooth_wall_and_level_ground(friction):
    p = rad(friction)
    level = pytest.approx(rankine_level(p).active)
    assert rankine_sloping(p, 0.0) == level
    assert coulomb_active(p) == level
    assert mononobe_okabe(p, 0.0, 0.0) == level


@given(friction=FRICTION, share=SHARE)
def test_rankine_on_a_slope_is_coulomb_with_the_wall_friction_at_the_slope(friction, share):
    p = rad(friction)
    b = share * p
    # the square root makes rounding large where the backfill is as steep as its friction
    assert coulomb_active(p, b, b) == pytest.approx(rankine_sloping(p, b), rel=1e-5)


@given(friction=FRICTION, share=SHARE)
def test_without_an_earthquake_mononobe_okabe_is_coulomb(friction, share):
    p = rad(friction)
    given = {"backfill": share * p, "batter": rad(8)}
    assert mononobe_okabe(p, p / 2, 0.0, **given) == pytest.approx(
        coulomb_active(p, p / 2, **given)
    )


@given(friction=FRICTION, shares=st.tuples(SHARE, SHARE).map(sorted))
def test_steeper_backfill_never_presses_less(friction, shares):
    p = rad(friction)
    low, high = rankine_sloping(p, p * np.array(shares))
    assert high >= low - 1e-9


@given(kh=st.tuples(st.floats(0, 0.3), st.floats(0, 0.3)).map(sorted))
def test_a_stronger_earthquake_never_presses_less(kh):
    low, high = seismic_thrust(rad(35), rad(20), kh, 19e3, 2.0).thrust
    assert high >= low


def test_as_steep_as_its_friction_the_coefficient_is_its_cosine():
    assert rankine_sloping(rad(33), rad(33)) == pytest.approx(np.cos(rad(33)))


def test_the_wedge_that_presses_most_is_what_coulomb_gives():
    # plane wedges from the heel, each in balance: the largest thrust is the active one
    p, d, b, h, g = rad(34), rad(20), rad(15), 2.0, 18e3
    a = np.linspace(b + 0.01, np.pi / 2 - 0.01, 20001)  # of the plane, from horizontal
    area = 0.5 * h**2 * np.cos(a) * np.cos(b) / np.sin(a - b)
    thrust = g * area * np.sin(a - p) / np.cos(a - p - d)
    assert 0.5 * coulomb_active(p, d, b) * g * h**2 == pytest.approx(thrust.max(), rel=1e-6)


def test_soil_acts_at_a_third_and_surcharge_at_half_the_height():
    found = wall_thrust(1 / 3, 18e3, 3.0, 6e3)
    assert found.soil == pytest.approx(27e3)
    assert found.surcharge == pytest.approx(6e3)
    assert found.moment == pytest.approx(27e3 + 9e3)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: rankine_sloping(rad(30), rad(33.69)), "33.7 deg is steeper than its friction"),
        (lambda: coulomb_active(rad([30, 30]), 0.0, rad([20, 31])), "backfill, value 2: 31.0 deg"),
        (lambda: coulomb_active(rad(30), rad(35)), "more than the friction of the soil"),
        (lambda: coulomb_active(rad(30), 0.0, 0.0, rad(50)), "a slope, not a wall"),
        (lambda: mononobe_okabe(rad(30), 0.0, 0.4, 0.0, rad(20)), "the slope itself yields"),
        (lambda: mononobe_okabe(rad(30), 0.0, -0.1), "horizontal: is negative"),
        (lambda: mononobe_okabe(rad(30), 0.0, 0.1, 1.0), "lifts the ground"),
        (lambda: rankine_level(rad(51)), "over 50 deg"),
        (lambda: rankine_sloping(rad(30), rad(-5)), "backfill: is not an angle of ground"),
        (lambda: wall_thrust(0.3, -1.0, 2.0), "unit_weight: is negative"),
    ],
)
def test_each_wrong_input_has_its_own_message(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
