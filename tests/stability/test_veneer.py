"""Cover layers: the two wedges, their limits, and the tendons that hold them."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.veneer import veneer, veneer_tension

SLOPE = st.floats(10, 45).map(np.radians)
ANGLE = st.floats(10, 45).map(np.radians)
THICK = st.floats(0.1, 0.6)
SHARE = st.floats(0, 1)


def cover(slope, thickness, friction, interface, tension=0.0, water=0.0, length=20.0, **more):
    wet = {"saturated_weight": 20e3, "water_height": water * thickness}
    return veneer(
        length, thickness, slope, 18e3, friction, interface, tension=tension, **wet, **more
    )


# Koerner and Soong 1998 (from memory): 1.25 without tendons; T = 4 kN/m gives 1.36, 10 gives 1.57
@pytest.mark.parametrize(("tension", "factor"), [(0, 1.254), (4e3, 1.364), (10e3, 1.570)])
def test_printed_example(tension, factor):
    given = (30, 0.3, np.radians(18.4), 18e3, np.radians(30), np.radians(22))
    assert veneer(*given, tension=tension).factor == pytest.approx(factor, abs=5e-4)


@given(slope=SLOPE, thickness=THICK, friction=ANGLE, interface=ANGLE)
def test_a_long_dry_cover_is_an_infinite_slope(slope, thickness, friction, interface):
    # the two roots of the method must lie well apart, or a long cover nears its limit slowly
    assume(np.tan(interface) / np.tan(slope) > 1.2 * np.tan(slope) * np.tan(friction))
    found = cover(slope, thickness, friction, interface, length=1e6)
    assert found.factor == pytest.approx(np.tan(interface) / np.tan(slope), rel=1e-4)


@given(slope=SLOPE, thickness=THICK, friction=ANGLE, interface=ANGLE)
def test_a_long_soaked_cover_is_an_infinite_slope_with_seepage(
    slope, thickness, friction, interface
):
    seeping = (20e3 - 9810) / 20e3 * np.tan(interface) / np.tan(slope)
    # the two roots of the method must lie well apart, or a long cover nears its limit slowly
    assume(seeping > 1.2 * np.tan(slope) * np.tan(friction))
    found = cover(slope, thickness, friction, interface, water=1.0, length=1e6)
    assert found.factor == pytest.approx(seeping, rel=1e-4)


@given(slope=SLOPE, thickness=THICK, friction=ANGLE, interface=ANGLE, water=SHARE)
def test_the_factor_solves_its_quadratic_and_balances_both_wedges(
    slope, thickness, friction, interface, water
):
    found = cover(slope, thickness, friction, interface, water=water)
    a, b, c, f = found.a, found.b, found.c, found.factor
    assert abs(a * f * f + b * f + c) < 1e-8 * max(a * f * f, abs(b * f), c)
    # the force between the wedges, from above and from below
    s, co, h, hw = np.sin(slope), np.cos(slope), thickness, water * thickness
    base = 20 - h / s
    soaked = hw * base - hw**2 * np.tan(slope) / 2
    uh = 9810 * hw**2 / 2
    normal = (found.active_weight - 9810 * soaked) * co
    above = found.active_weight * s - uh * co - normal * np.tan(interface) / f
    t = np.tan(friction)
    toe = (found.passive_weight - uh / np.tan(slope)) * t - f * uh
    assert above == pytest.approx(toe / (f * co - s * t), rel=1e-6, abs=1e-6 * found.active_weight)


@given(slope=SLOPE, thickness=THICK, friction=ANGLE, interface=ANGLE, water=SHARE, pull=SHARE)
def test_the_tension_asked_for_gives_the_factor_asked_for(
    slope, thickness, friction, interface, water, pull
):
    free = cover(slope, thickness, friction, interface, water=water).factor
    wanted = free * (1.05 + pull)
    wet = {"saturated_weight": 20e3, "water_height": water * thickness}
    layer = (20.0, thickness, slope, 18e3, friction, interface)
    tension = veneer_tension(wanted, *layer, **wet)
    assert tension > 0
    held = cover(slope, thickness, friction, interface, tension, water).factor
    assert held == pytest.approx(wanted, rel=1e-6)
    assert veneer_tension(free * 0.999, *layer, **wet) == pytest.approx(0)


@given(slope=SLOPE, thickness=THICK, friction=ANGLE, interface=ANGLE, two=st.tuples(SHARE, SHARE))
def test_water_harms_and_adhesion_helps(slope, thickness, friction, interface, two):
    less, more = sorted(two)
    wet = [cover(slope, thickness, friction, interface, water=w).factor for w in (less, more)]
    assert wet[1] <= wet[0] * (1 + 1e-9)
    held = [
        cover(slope, thickness, friction, interface, adhesion=2e3 * k, cohesion=2e3 * k).factor
        for k in (less, more)
    ]
    assert held[0] <= held[1] * (1 + 1e-9)


def test_tendons_that_carry_everything_leave_no_factor():
    found = cover(0.4, 0.3, 0.5, 0.4, tension=1e6)
    assert np.isinf(found.factor)


def test_covers_are_worked_out_together_as_one_by_one():
    slope = np.radians([15, 20, 25, 30])
    together = cover(slope, 0.3, 0.5, 0.4).factor
    assert np.allclose(together, [cover(b, 0.3, 0.5, 0.4).factor for b in slope])


LAYER = {
    "length": 20.0,
    "thickness": 0.3,
    "slope": 0.4,
    "unit_weight": 18e3,
    "friction": 0.5,
    "interface_friction": 0.4,
}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"slope": 0.0}, "slope: is level"),
        ({"length": 0.5}, "shorter than the toe"),
        ({"thickness": -0.3}, "thickness: is negative"),
        ({"unit_weight": -1}, "unit_weight: is negative"),
        ({"interface_friction": 1.0}, "interface_friction: is over 50 deg"),
        ({"water_height": 0.4}, "water_height: stands above the ground"),
        ({"tension": -1}, "tension: is negative"),
        ({"saturated_weight": 15e3}, "weighs less"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    with pytest.raises(OutOfRange, match=says):
        veneer(**{**LAYER, **wrong})


def test_a_factor_too_low_to_ask_for_is_refused():
    with pytest.raises(OutOfRange, match="required"):
        veneer_tension(0.1, **LAYER)


@given(slope=SLOPE, thickness=THICK, friction=ANGLE, interface=ANGLE)
def test_a_toe_never_harms_a_dry_cover(slope, thickness, friction, interface):
    dry = cover(slope, thickness, friction, interface)
    assert dry.factor >= dry.without_toe * (1 - 1e-9)
    assert dry.without_toe == pytest.approx(np.tan(interface) / np.tan(slope))


# at F = tan(slope) tan(friction) the wedge equation has no limit: 1.19 at 50 deg and 45 deg, where
# the cover by itself has tan 30 / tan 50 = 0.48
def test_a_toe_that_jams_never_passes_a_cover_that_slides():
    given = {"slope": np.radians(50), "friction": np.radians(45)}
    with pytest.raises(OutOfRange, match="toe wedge jams"):
        veneer(**{**LAYER, **given, "interface_friction": np.radians(30)})
    # held by adhesion it does not lean on its toe
    held = veneer(**{**LAYER, **given, "interface_friction": np.radians(30), "adhesion": 10e3})
    assert held.factor > held.without_toe > 1
