"""Places of the map, written as the job writes places and read back by the job's own reader."""

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright import units
from hillwright.job.grid import system
from hillwright.web.places import PlaceError, converted, has_local, written

SITE = st.floats(-999, 999)


@given(SITE, SITE, st.sampled_from(["m", "ft", "us_survey_foot"]), st.floats(0.9995, 1.0005))
def test_a_place_is_written_to_a_hundredth_of_a_foot_or_a_millimetre(x, y, unit, scale):
    frame = {"origin": (6_012_000.0, 2_100.0), "scale": scale, "unit_name": unit, "projection": ""}
    for how, close in (("metric", 0.00051), ("us", 0.0016)):
        for text, value, origin in zip(
            written((x, y), frame, how), (x, y), frame["origin"], strict=True
        ):
            assert abs(units.length(text) / scale - origin - value) < close


def test_survey_feet_are_named_where_the_survey_counts_in_them():
    frame = {"origin": (0, 0), "scale": 1.0, "unit_name": "us_survey_foot", "projection": ""}
    assert written((0.3048006096, -0.0001), frame, "us") == ["1 us_survey_foot", "0 us_survey_foot"]


# WGS 84, NAD83, NAD83(2011), an older ellipsoid: there and back within the millimetre of the text
@pytest.mark.parametrize("crs", ["EPSG:4326", "EPSG:4269", "EPSG:6318", "EPSG:4314"])
@given(x=SITE, y=SITE)
def test_a_place_in_degrees_is_where_it_was_when_it_is_read_again(crs, x, y):
    grid = survey_grid(crs, *((9.7, 52.4) if crs == "EPSG:4314" else (-118.3, 34.1)))
    frame = {"origin": (0, 0), "scale": 1.0, "unit_name": "", "projection": grid.crs}
    texts = written((x, y), frame, "us")
    numbers = np.array([math.degrees(units.angle(text)) for text in texts])
    assert np.abs(grid.local(numbers) - [x, y]).max() < 0.001


@cache
def survey_grid(crs, lon, lat):
    around = np.array([[lon - 0.001, lat - 0.001], [lon + 0.001, lat + 0.001]])
    return system(crs, "", "").grid(around, "survey")


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
