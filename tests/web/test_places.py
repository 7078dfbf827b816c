"""Places of the map, written as the job writes places and read back by the job's own reader."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright import units
from hillwright.web.places import PlaceError, converted, has_local, written

SITE = st.floats(-999, 999)


@given(SITE, SITE, st.sampled_from(["m", "ft", "us_survey_foot"]), st.floats(0.9995, 1.0005))
def test_a_place_is_written_to_a_hundredth_of_a_foot_or_a_millimetre(x, y, unit, scale):
    frame = {"origin": (6_012_000.0, 2_100.0), "scale": scale, "unit_name": unit, "degrees": False}
    for system, close in (("metric", 0.00051), ("us", 0.0016)):
        for text, value, origin in zip(
            written((x, y), frame, system), (x, y), frame["origin"], strict=True
        ):
            assert abs(units.length(text) / scale - origin - value) < close


def test_survey_feet_are_named_where_the_survey_counts_in_them():
    frame = {"origin": (0, 0), "scale": 1.0, "unit_name": "us_survey_foot", "degrees": False}
    assert written((0.3048006096, -0.0001), frame, "us") == ["1 us_survey_foot", "0 us_survey_foot"]


def test_a_survey_in_degrees_has_no_such_numbers():
    frame = {"origin": (0, 0), "scale": 1.0, "unit_name": "m", "degrees": True}
    with pytest.raises(PlaceError, match="in degrees"):
        written((1.0, 2.0), frame, "us")


def test_places_are_found_anywhere_in_a_value_and_nothing_else_is_touched():
    value = {"corners": [{"local": [1, 2]}, ["1 ft", "2 ft"]], "name": "local"}
    assert has_local(value)
    assert converted(value, lambda p: [f"{p[0]} m", f"{p[1]} m"]) == {
        "corners": [["1.0 m", "2.0 m"], ["1 ft", "2 ft"]],
        "name": "local",
    }
    for bad in ([1], [1, "2"], [1, True], [1, float("nan")], None):
        with pytest.raises(PlaceError):
            converted({"local": bad}, lambda p: [])
