"""Bearing: factors, pressure on a slope, pressure under a base."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.bearing import base_pressure, bearing_factors, bearing_pressure

SHARE = st.floats(0, 1)


def rad(degrees):
    return np.radians(degrees)


def test_factors_without_friction_are_the_limit_of_little_friction():
    none, little = bearing_factors(0.0), bearing_factors(1e-6)
    assert none.cohesion == pytest.approx(np.pi + 2)
    assert little.cohesion == pytest.approx(np.pi + 2, rel=1e-5)
    assert none.surcharge == pytest.approx(1)
    assert none.weight == 0


@given(friction=st.tuples(st.floats(0, 50), st.floats(0, 50)).map(sorted))
def test_more_friction_never_carries_less(friction):
    for low, high in bearing_factors(rad(friction)):
        assert high >= low


def test_level_ground_by_hand():
    # GEC 6 Table 5-1 at 30 deg: Nc 30.1, Nq 18.4, Ngamma 22.4
    found = bearing_pressure(rad(30), 5e3, 18e3, 0.5, 3e3)
    assert found == pytest.approx(5e3 * 30.1 + 3e3 * 18.4 + 0.5 * 18e3 * 0.5 * 22.4, rel=3e-3)


@given(
    friction=st.floats(1, 50),
    slopes=st.tuples(SHARE, SHARE).map(sorted),
    leans=st.tuples(SHARE, SHARE).map(sorted),
)
def test_a_slope_and_a_leaning_load_never_carry_more(friction, slopes, leans):
    p = rad(friction)
    for name, values in (("slope", slopes), ("lean", leans)):
        low, high = (
            bearing_pressure(p, 2e3, 18e3, 0.5, 1e3, **{name: v * min(p, rad(44))}) for v in values
        )
        assert high <= low * (1 + 1e-9)


def test_sand_does_not_carry_a_load_that_leans_more_than_its_friction():
    assert bearing_pressure(rad(30), 0.0, 18e3, 0.5, lean=rad(31)) == 0


@given(load=st.floats(1, 1e5), width=st.floats(0.1, 3), off=st.floats(-0.49, 0.49))
def test_the_pressure_under_a_base_is_in_balance_with_the_load(load, width, off):
    found = base_pressure(load, width, off * width)
    assert (found.toe + found.heel) / 2 * found.contact == pytest.approx(load)
    # moment about the edge that presses most
    most, least = max(found.toe, found.heel), min(found.toe, found.heel)
    arm = (least * found.contact / 2 + (most - least) / 2 * found.contact / 3) * found.contact
    assert arm / load == pytest.approx(width / 2 - abs(off) * width)
    assert found.uniform <= most * (1 + 1e-9)
    assert found.in_middle_third == (abs(off) <= 1 / 6)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: base_pressure(1e3, 1.0, 0.5), "it tips over"),
        (lambda: base_pressure(0.0, 1.0, 0.1), "load: is zero"),
        (lambda: bearing_pressure(rad(30), 0.0, 18e3, 0.5, slope=rad(33)), "does not stand"),
        (lambda: bearing_pressure(rad(30), 5e3, 18e3, 0.5, slope=rad(45)), "slope: is 45 deg"),
        (lambda: bearing_pressure(rad(30), -1.0, 18e3, 0.5), "cohesion: is negative"),
        (lambda: bearing_factors(rad([30, 52])), "friction, value 2: is over 50 deg"),
    ],
)
def test_each_wrong_input_has_its_own_message(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
