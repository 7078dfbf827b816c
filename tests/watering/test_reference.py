"""Reference evapotranspiration: limits, invariants, and messages for weather that cannot be."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.watering.air import vapour_from_humidity, wind_at_2m
from hillwright.watering.reference import hargreaves, reference_day
from hillwright.watering.referencehour import reference_hour
from hillwright.watering.skyday import sky_day, sun_on_slope

DEG = np.pi / 180
MM_DAY = 1e-3 / 86400
HOT = {"high": 32.0, "low": 16.0, "humidity_mean": 0.4, "wind": 2.0}


def test_a_day_where_only_temperatures_are_known_uses_the_same_steps_with_stated_stand_ins():
    bare = reference_day(0.7, 100, 200, 30, 14)
    given_ = reference_day(
        0.7, 100, 200, 30, 14, dew_point=14, radiation_measured=bare.radiation, wind=2
    )
    assert bare.evapotranspiration == pytest.approx(given_.evapotranspiration)


@given(st.floats(0.5, 6), st.floats(0.5, 6))
def test_more_wind_in_dry_air_never_lowers_the_evapotranspiration(one, other):
    low, high = sorted((one, other))
    slow, fast = (reference_day(0.6, 50, 190, **{**HOT, "wind": w}) for w in (low, high))
    assert fast.evapotranspiration >= slow.evapotranspiration - 1e-15


@given(st.floats(0.1, 0.95), st.floats(0.1, 0.95))
def test_damper_air_never_raises_it_much(one, other):
    # net radiation grows a little with humidity (less longwave is lost), so: the wind part alone
    dry, damp = sorted((one, other))
    a, b = (reference_day(0.6, 50, 190, **{**HOT, "humidity_mean": h}) for h in (dry, damp))
    assert b.saturation - b.vapour <= a.saturation - a.vapour + 1e-9


@given(st.floats(-89, 89), st.integers(1, 365))
def test_level_ground_is_a_slope_of_nothing(latitude, day):
    flat, plane = sky_day(latitude * DEG, day), sun_on_slope(latitude * DEG, day, 0.0, 1.0)
    assert plane.radiation == pytest.approx(flat.radiation, abs=1e-9)
    assert plane.hours == pytest.approx(flat.daylight, abs=1e-6)


@given(st.floats(-66, 66), st.integers(1, 365), st.floats(0, 80))
def test_east_and_west_slopes_get_the_same_sun_above_the_air(latitude, day, slope):
    east, west = (
        sun_on_slope(latitude * DEG, day, slope * DEG, a * DEG).radiation for a in (90, 270)
    )
    assert east == pytest.approx(west, abs=1e-9)


# Liu and Jordan: a plane that faces the equator sees the sun of an equivalent latitude.
@given(st.floats(5, 60), st.floats(0, 45), st.integers(1, 365))
def test_a_slope_to_the_equator_has_the_sun_of_an_equivalent_latitude(latitude, slope, day):
    f, b = latitude * DEG, slope * DEG
    sky, there = sky_day(f, day), sky_day(f - b, day)
    w = np.minimum(sky.sunset, there.sunset)
    d = sky.declination
    sun = w * np.sin(f - b) * np.sin(d) + np.cos(f - b) * np.cos(d) * np.sin(w)
    expected = 0.0820e6 / 60 / np.pi * sky.distance * np.maximum(sun, 0)
    assert sun_on_slope(f, day, b, np.pi).radiation == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_the_slope_s_sun_agrees_with_a_plain_sum_over_minutes():
    w = (np.arange(1440) + 0.5) / 1440 * 2 * np.pi - np.pi
    from hillwright.watering.skyday import incidence

    f, b, a = 38 * DEG, 34 * DEG, 250 * DEG
    sky = sky_day(f, 80)
    up = np.cos(w) > np.cos(sky.sunset)
    cosine = incidence(f, sky.declination, w, b, a).cosine
    summed = 0.0820e6 / 60 * sky.distance * np.where(up, np.maximum(cosine, 0), 0).mean()
    assert sun_on_slope(f, 80, b, a).radiation == pytest.approx(summed, rel=2e-3)


def test_in_polar_night_nothing_is_divided_by_nothing():
    dark = reference_day(80 * DEG, 10, 355, -20, -28, radiation_measured=0.0, humidity_mean=0.8)
    assert np.isfinite(dark.evapotranspiration)
    assert dark.extraterrestrial == 0


def test_hours_of_a_day_add_up_to_about_the_day():
    hours = np.arange(24) + 0.5
    temperature = 24 - 8 * np.cos((hours - 3) / 24 * 2 * np.pi)
    sky = reference_hour(0.66, 0, 0, 100, 182, hours * 3600, temperature, 0.0, 2.0, humidity=0.5)
    rs = 0.7 * sky.extraterrestrial
    found = reference_hour(0.66, 0, 0, 100, 182, hours * 3600, temperature, rs, 2.0, humidity=0.5)
    day = reference_day(
        0.66, 100, 182, temperature.max(), temperature.min(),
        vapour=found.vapour.mean(), radiation_measured=rs.mean(), wind=2.0,
    )  # fmt: skip
    hourly = found.evapotranspiration.mean()
    assert hourly == pytest.approx(float(day.evapotranspiration), rel=0.1)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"latitude": 38.5}, "lies beyond the pole"),
        ({"altitude": 30_000}, "altitude"),
        ({"high": 92.0, "low": 61.0}, "degrees Fahrenheit"),
        ({"high": 12.0, "low": 20.0}, "is above high"),
        ({"day": 400}, "1 January = 1"),
        ({"humidity_mean": 40.0}, '"35 %"'),
        ({"wind": -1.0}, "is negative"),
        ({"radiation_measured": 2e7}, "MJ/m2/day"),
        ({"surface": "grass"}, "is not known"),
        ({"high": np.nan}, "is not a number"),
    ],
)
def test_weather_that_cannot_be_is_told_apart(change, said):
    whole = {"latitude": 0.6, "altitude": 100.0, "day": 180, **HOT} | change
    with pytest.raises(OutOfRange, match=said):
        reference_day(**whole)


def test_a_bad_value_in_a_list_is_counted_from_one():
    with pytest.raises(OutOfRange, match="high, value 2"):
        hargreaves([30, 99], [15, 50], 400.0)


def test_wind_measured_at_two_metres_is_left_as_it_is():
    assert reference_day(0.6, 0, 180, 30, 15, wind=3.7).wind == 3.7
    assert wind_at_2m(3.7, 10) < 0.8 * 3.7


def test_a_humidity_low_alone_is_refused():
    with pytest.raises(OutOfRange, match="humidity"):
        vapour_from_humidity(25, 15, humidity_low=0.4)
    with pytest.raises(OutOfRange, match="alone"):
        reference_day(0.6, 0, 180, 30, 15, humidity_low=0.4)


def test_days_and_places_stretch_against_each_other():
    found = reference_day(np.array([[0.5], [0.7]]), 10, [100, 200, 300], 25, 12)
    assert found.evapotranspiration.shape == (2, 3)
    assert (found.evapotranspiration > 0.5 * MM_DAY).all()
