"""A low wall: a printed example, tipping by hand, and a base that falls outward."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.wall import low_wall

FT, KIP = 0.3048, 4448.2216152605
PCF = KIP / 1000 / FT**3


def rad(degrees):
    return np.radians(degrees)


# FHWA, 2009, GEC 11 (FHWA-NHI-10-025), Example E4
def test_the_printed_block():
    found = low_wall(
        25.64 * FT, 18 * FT, 125 * PCF, 125 * PCF, rad(30), rad(30), surcharge=250 * PCF * FT
    )
    per_foot = KIP / FT
    assert found.weight / per_foot == pytest.approx(57.69, abs=5e-3)
    assert found.soil_thrust / per_foot == pytest.approx(13.68, rel=2e-3)
    assert found.surcharge_thrust / per_foot == pytest.approx(2.13, rel=4e-3)
    assert found.weight_moment / KIP == pytest.approx(519.21, rel=1e-4)
    assert found.soil_moment / KIP == pytest.approx(116.94, rel=2e-3)
    # the same sums by hand, of its own figures
    assert found.sliding == pytest.approx(57.69 * np.tan(rad(30)) / 15.83, rel=1e-3)
    assert found.overturning == pytest.approx(519.21 / (117.06 + 27.39), rel=1e-3)
    assert found.eccentricity / FT == pytest.approx((117.06 + 27.39) / 57.69, rel=1e-3)


WALL = {
    "height": st.floats(0.1, 1.2),
    "base": st.floats(0.2, 1.5),
    "friction": st.floats(25, 45),
    "slope": st.floats(0, 1),
    "tilt": st.floats(0, 30),
    "surcharge": st.floats(0, 5e3),
}


def wall(height, base, friction, slope, tilt, surcharge):
    p = rad(friction)
    return low_wall(height, base, 17e3, 20e3, p, rad(28), surcharge, slope * p, rad(tilt))


@given(**WALL)
def test_the_load_leaves_the_base_just_where_the_wall_tips(
    height, base, friction, slope, tilt, surcharge
):
    found = wall(height, base, friction, slope, tilt, surcharge)
    assert (found.overturning > 1) == (found.eccentricity < base / 2)


@given(**WALL)
def test_moments_are_the_same_when_taken_point_by_point(
    height, base, friction, slope, tilt, surcharge
):
    """Forces as vectors at their points, the toe as the origin."""
    found = wall(height, base, friction, slope, tilt, surcharge)
    t, p = rad(tilt), rad(friction)
    up_base, off_base = np.array([np.cos(t), np.sin(t)]), np.array([-np.sin(t), np.cos(t)])

    def moment(at, force):
        return at[0] * force[1] - at[1] * force[0]  # anticlockwise; the wall falls to the left

    weight = moment(base / 2 * up_base + height / 2 * off_base, np.array([0, -found.weight]))
    push = -np.cos(slope * p) * up_base - np.sin(slope * p) * off_base
    soil = moment(base * up_base + height / 3 * off_base, found.soil_thrust * push)
    top = moment(base * up_base + height / 2 * off_base, found.surcharge_thrust * push)
    assert -weight == pytest.approx(found.weight_moment, abs=1e-6)
    assert soil == pytest.approx(found.soil_moment, abs=1e-6)
    assert top == pytest.approx(found.surcharge_moment, abs=1e-6)


@given(
    tilts=st.tuples(st.floats(0, 40), st.floats(0, 40)).map(sorted),
    friction=st.floats(25, 45),
)
def test_a_base_that_falls_more_never_slides_less(tilts, friction):
    one, two = (wall(0.2, 0.45, friction, 0.5, t, 0.0).sliding for t in tilts)
    assert two <= one + 1e-9


def test_a_block_with_nothing_behind_it_on_a_slope_slides_at_its_friction():
    # soil so light that it presses next to nothing
    found = low_wall(0.2, 0.45, 17e3, 1e-6, rad(40), rad(28), tilt=rad(28))
    assert found.sliding == pytest.approx(1)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"backfill": rad(35)}, "steeper than its friction angle"),
        ({"tilt": rad(50)}, "level a bench"),
        ({"base": -0.4}, "base: is negative"),
        ({"block_weight": -17e3}, "block_weight: is negative"),
        ({"retained_weight": 0}, "retained_weight: is zero"),
        ({"surcharge": -5}, "surcharge: is negative"),
        ({"base_friction": 1.0}, "base_friction: is over 50 deg"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    right = {
        "height": 0.2,
        "base": 0.45,
        "block_weight": 17e3,
        "retained_weight": 19e3,
        "retained_friction": rad(30),
        "base_friction": rad(28),
    }
    with pytest.raises(OutOfRange, match=says):
        low_wall(**(right | wrong))
