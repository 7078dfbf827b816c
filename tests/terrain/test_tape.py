import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.tape import leg_error, reduce_legs


# exact geometry: 0.25 deg on a 10 m leg at 35 deg is 36 mm in height
def test_a_quarter_degree_on_ten_metres_is_36_mm():
    leg = leg_error(10.0, np.radians(35), 0.01, np.radians(0.25))
    assert leg.rise_sigma == pytest.approx(0.0362, abs=1e-4)
    assert leg.horizontal_sigma == pytest.approx(0.0263, abs=1e-4)


@given(st.integers(1, 30), st.floats(-60, 60), st.floats(0.5, 20))
def test_errors_of_like_legs_grow_as_the_root_of_their_number(n, angle, distance):
    a = np.radians(angle)
    legs = reduce_legs(np.full(n, distance), np.full(n, a))
    one = leg_error(distance, a)
    assert legs.height_sigma[-1] == pytest.approx(np.sqrt(n) * one.rise_sigma)
    assert legs.height[-1] == pytest.approx(n * one.rise)


def test_a_target_higher_than_the_eye_lowers_every_leg():
    even = reduce_legs([5.0, 5.0], np.radians([30, 30]))
    high = reduce_legs([5.0, 5.0], np.radians([30, 30]), eye_height=1.5, target_height=1.7)
    np.testing.assert_allclose(high.height, even.height - [0.2, 0.4])


@pytest.mark.parametrize(
    ("distance", "angle"), [(0.0, 10.0), (-2.0, 10.0), (3.0, 90.0), (np.nan, 5.0)]
)
def test_a_leg_that_is_none_is_named(distance, angle):
    with pytest.raises(OutOfRange, match="leg 2"):
        reduce_legs([1.0, distance], np.radians([5.0, angle]))
