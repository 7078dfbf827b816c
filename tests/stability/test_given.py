"""Each wrong input has a message of its own: where, what is wrong, what would be right."""

import numpy as np
import pytest

from hillwright.errors import OutOfRange
from hillwright.stability import given


@pytest.mark.parametrize(
    ("check", "value", "says"),
    [
        (given.soil_weight, -18e3, "unit_weight: is negative"),
        (given.soil_weight, [18e3, 0.0], "unit_weight, value 2: is zero"),
        (given.soil_weight, 125e3, "heavier than rock"),
        (given.soil_weight, np.nan, "is not a number"),
        (given.friction_angle, np.radians(51), "over 50 deg"),
        (given.friction_angle, np.radians([30, 40, -1]), "friction, value 3: is negative"),
        (given.ground_slope, np.pi / 2, "not an angle of ground"),
    ],
)
def test_refusals_of_one_value(check, value, says):
    with pytest.raises(OutOfRange, match=says):
        check(value)


def test_friction_of_50_degrees_itself_is_taken():
    assert given.friction_angle(np.radians(50.0)) == pytest.approx(np.radians(50))


def test_water_may_stand_to_the_ground_and_no_higher():
    assert given.water_within(0.3, 0.3) == 0.3
    with pytest.raises(OutOfRange, match="water_height, value 2: stands above the ground"):
        given.water_within([0.1, 0.4], 0.3)


def test_a_share_in_percent_is_refused():
    with pytest.raises(OutOfRange, match="not within 0 to 1"):
        given.within("share", 50, 0, 1)


def test_lists_of_different_lengths_are_named():
    with pytest.raises(OutOfRange, match="slope has 2, width has 3"):
        given.fitting(slope=[1, 2], width=[1, 2, 3], run=1.0)
