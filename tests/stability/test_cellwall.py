"""The wall of a cell: rest pressure by hand, soil that its friction does not hold, and a silo."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.cellwall import cell_wall, silo_pressure

SHARE = st.floats(0, 1)


def wall(slope=0.0, friction=30.0, water=0.0, **more):
    return cell_wall(
        0.6, 0.45, 0.2, np.radians(slope), 19e3, np.radians(friction), 0.01, 0.2 * water, **more
    )


def test_on_the_level_soil_at_rest_presses():
    found = wall()
    assert found.pressure == pytest.approx(0.5 * 19e3 * 0.2)
    assert found.thrust == pytest.approx(0.5 * 1900 * 0.2)
    assert found.moment == pytest.approx(1900 * 0.36 / 8)
    assert found.stress == pytest.approx(6 * 1900 * 0.36 / 8 / 1e-4)


def test_with_blocked_holes_water_presses_over_the_buoyant_soil():
    assert wall(water=1.0).pressure == pytest.approx(0.5 * (19e3 - 9810) * 0.2 + 9810 * 0.2)


def test_a_thick_liquid_presses_with_its_whole_weight():
    # no friction: K0 is 1 and nothing holds the soil on the slope
    found = wall(slope=30, friction=0)
    rest = 0.5 * 19e3 * 0.2**2 * np.cos(np.radians(30))
    assert found.thrust == pytest.approx(rest + 19e3 * 0.2 * 0.45 * 0.5)


@given(slope=st.floats(0, 30), friction=st.floats(30, 45))
def test_soil_on_ground_flatter_than_its_friction_leans_nothing_more_on_the_wall(slope, friction):
    p, b = np.radians(friction), np.radians(slope)
    assert wall(slope, friction).pressure == pytest.approx((1 - np.sin(p)) * 19e3 * 0.2 * np.cos(b))


@given(water=st.tuples(SHARE, SHARE).map(sorted), slope=st.floats(0, 50))
def test_more_water_never_presses_less(water, slope):
    low, high = (wall(slope, 35.0, w).thrust for w in water)
    assert high >= low - 1e-9


@given(water=SHARE, slope=st.floats(0, 30))
def test_the_thrust_is_the_pressure_added_up_over_the_height(water, slope):
    up, h = np.cos(np.radians(slope)), 0.2 * water
    z = np.linspace(0, 0.2, 20001)
    pore = 9810 * np.maximum(z - (0.2 - h), 0) * up
    resting = (1 - np.sin(np.radians(50))) * (19e3 * z * up - pore) + pore
    # friction of 50 deg holds the soil on the slope, soaked or not
    assert wall(slope, 50.0, water).thrust == pytest.approx(np.trapezoid(resting, z), rel=1e-6)


def test_somebody_on_the_soil_presses_the_wall():
    assert wall(surcharge=2e3).thrust == pytest.approx(wall().thrust + 0.5 * 2e3 * 0.2)


@given(depth=st.floats(1e-4, 2), friction=st.floats(0, 45))
def test_a_silo_never_presses_more_than_the_overburden(depth, friction):
    found = silo_pressure(18e3, depth, 0.27, 2.1, np.radians(friction), 0.5)
    assert found.vertical <= 18e3 * depth * (1 + 1e-12)
    assert 0 <= found.relief + 1e-12 <= 1
    assert found.horizontal == pytest.approx(0.5 * found.vertical)


def test_a_deep_silo_presses_no_more_below():
    # Janssen's limit g A/(U m K)
    found = silo_pressure(18e3, 100.0, 0.27, 2.1, np.radians(20), 0.5)
    assert found.vertical == pytest.approx(18e3 * 0.27 / (2.1 * np.tan(np.radians(20)) * 0.5))


def test_in_a_cell_as_shallow_as_ours_the_relief_is_small():
    assert silo_pressure(18e3, 0.2, 0.27, 2.1, np.radians(20), 0.5).relief < 0.15


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"water": 1.1}, "stands above the ground"),
        ({"friction": 60}, "over 50 deg"),
        ({"surcharge": -1}, "surcharge: is negative"),
        ({"slope": 90}, "not an angle of ground"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    with pytest.raises(OutOfRange, match=says):
        wall(**wrong)
