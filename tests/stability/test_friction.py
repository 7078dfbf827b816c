"""Friction looked up: the weaker soil, the low end of a range, and names that nobody knows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.friction import (
    friction_between,
    friction_names,
    interface_friction,
    lateral_bearing,
    shaft_beta,
)


@given(fill=st.floats(0, 50), ground=st.floats(0, 50))
def test_the_weaker_soil_decides_whichever_side_it_is_on(fill, ground):
    found = interface_friction(*np.radians([fill, ground]))
    assert found == pytest.approx(interface_friction(*np.radians([ground, fill])))
    assert np.tan(found) == pytest.approx(0.9 * np.tan(np.radians(min(fill, ground))))


def test_names_give_the_low_end():
    assert np.degrees(
        friction_between("concrete on clean fine to medium sand, silty medium to coarse sand")
    ) == pytest.approx(24)
    assert np.degrees(friction_between("textured HDPE on nonwoven, residual")) == pytest.approx(17)
    # 26 in the ramp test, 17 published for rounded sand
    assert np.degrees(friction_between("sand on smooth HDPE sheet")) == pytest.approx(17)
    assert np.degrees(friction_between("sand on textured HDPE sheet")) == pytest.approx(30)


def test_every_name_is_an_angle_of_soil():
    assert all(10 < np.degrees(v) < 40 for v in friction_names().values())


def test_the_nearest_name_is_told():
    with pytest.raises(OutOfRange, match="did you mean steel against fine sandy silt"):
        friction_between("steel against fine sandy silt")


def test_shaft_friction_in_tension_is_less_than_the_tables():
    # 0.7 of 0.37
    assert shaft_beta("sand", "medium dense") == pytest.approx(0.259)
    with pytest.raises(OutOfRange, match="did you mean sand, medium dense"):
        shaft_beta("sand", "medium dens")


def test_lateral_bearing_of_the_code():
    assert lateral_bearing("SM") == pytest.approx(150 * 157.0875, rel=1e-5)
    with pytest.raises(OutOfRange, match="'PT' has none in the code's table"):
        lateral_bearing("PT")
