"""The sun's place, day length and incidence: limits, invariants, and pvlib."""

import datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.planting import sunplace
from hillwright.planting.clearsky import clear_sky
from hillwright.planting.daylight import declination, extraterrestrial_day
from hillwright.planting.incidence import (
    incidence_by_hour,
    incidence_by_position,
    isotropic_irradiance,
    slope_day,
)

R = np.radians


def test_the_short_form_keeps_to_the_full_algorithm_through_a_year():
    from pvlib import solarposition

    start = datetime.datetime(2025, 1, 1, tzinfo=datetime.UTC).timestamp()
    times = start + np.arange(0, 365 * 86400, 7211.0)
    import pandas as pd

    index = pd.to_datetime(times, unit="s", utc=True)
    for lat, lon in ((40.0, -105.0), (-33.9, 18.4), (5.0, 100.0)):
        full = solarposition.get_solarposition(index, lat, lon, method="nrel_numpy")
        found = sunplace.sun_position_fast(times, R(lat), R(lon))
        up = full["elevation"].to_numpy() > 0
        off = np.degrees(found.elevation) - full["elevation"].to_numpy()
        assert np.abs(off[up]).max() < 0.02
        turn = (np.degrees(found.azimuth) - full["azimuth"].to_numpy() + 180) % 360 - 180
        level = turn * np.cos(found.elevation)  # of the sky, not of the compass
        assert np.abs(level[up]).max() < 0.03


def test_a_year_of_half_hours_in_solar_time_has_the_sun_s_own_day_lengths():
    found = sunplace.paths(R(40), 1, 1800.0)
    hours = np.bincount(found.month, minlength=12) * 0.5 / found.days
    # FAO-56 Table 2.7, 40 deg north, the 15th of each month; a month's mean lies within 0.2 h of it
    table = [9.5, 10.5, 11.7, 13.1, 14.2, 14.8, 14.6, 13.6, 12.2, 10.9, 9.7, 9.2]
    np.testing.assert_allclose(hours, table, atol=0.25)


@given(st.floats(-66, 66), st.integers(1, 365))
def test_morning_and_afternoon_are_mirror_images(latitude, day):
    east = slope_day(R(latitude), day, R(35), R(90))
    west = slope_day(R(latitude), day, R(35), R(270))
    assert float(east.radiation) == pytest.approx(float(west.radiation), abs=1.0)
    assert float(east.sunshine) == pytest.approx(float(west.sunshine), abs=1e-3)


@given(st.floats(-60, 60), st.integers(1, 365))
def test_a_level_plane_is_level_ground(latitude, day):
    level = extraterrestrial_day(R(latitude), day)
    found = slope_day(R(latitude), day, 0.0, R(123))
    assert float(found.radiation) == pytest.approx(float(level.radiation), rel=1e-9, abs=1.0)
    assert float(found.sunshine) == pytest.approx(float(level.daylight), abs=1e-3)


@given(st.floats(-60, 60), st.integers(1, 365), st.floats(0, 90), st.floats(0, 360))
def test_a_slope_s_day_is_what_adding_up_the_hours_gives(latitude, day, slope, aspect):
    w = (np.arange(20_000) + 0.5) / 20_000 * 2 * np.pi - np.pi
    d = declination(day)
    up = np.cos(incidence_by_hour(R(latitude), d, w, 0.0, 0.0)) > 0
    facing = np.cos(incidence_by_hour(R(latitude), d, w, R(slope), R(aspect)))
    lit = up & (facing > 0)
    found = slope_day(R(latitude), day, R(slope), R(aspect))
    assert float(found.sunshine) == pytest.approx(86400 * lit.mean(), abs=40)
    strength = 0.0820e6 / 60 * (1 + 0.033 * np.cos(2 * np.pi * day / 365))
    total = 86400 * strength * (facing * lit).mean()
    assert float(found.radiation) == pytest.approx(total, rel=2e-3, abs=2e4)


@given(st.floats(0, 180), st.floats(0, 360), st.floats(0, 90), st.floats(0, 360))
def test_the_angle_to_the_sun_is_that_of_two_lines_in_space(zenith, azimuth, slope, aspect):
    def line(tilt, bearing):
        return np.array(
            [np.sin(tilt) * np.sin(bearing), np.sin(tilt) * np.cos(bearing), np.cos(tilt)]
        )

    between = line(R(zenith), R(azimuth)) @ line(R(slope), R(aspect))
    found = incidence_by_position(R(zenith), R(azimuth), R(slope), R(aspect))
    assert np.cos(found) == pytest.approx(between, abs=1e-9)


def test_a_north_face_and_a_south_face_are_not_taken_for_each_other():
    winter = 355
    assert slope_day(R(40), winter, R(30), R(0)).sunshine == 0
    assert slope_day(R(40), winter, R(30), R(180)).sunshine > 9 * 3600
    assert slope_day(R(-40), 172, R(30), R(180)).sunshine == 0


def test_irradiation_on_a_plane_is_pvlib_s():
    from pvlib import irradiance

    rng = np.random.default_rng(3)
    dni, dhi = rng.uniform(0, 900, 60), rng.uniform(0, 300, 60)
    zenith, azimuth = rng.uniform(0, 89, 60), rng.uniform(0, 360, 60)
    ghi = dni * np.cos(R(zenith)) + dhi
    for tilt, aspect in ((0, 0), (30, 180), (42, 15), (90, 270)):
        theirs = irradiance.get_total_irradiance(
            tilt, aspect, zenith, azimuth, dni, ghi, dhi, albedo=0.2, model="isotropic"
        )["poa_global"]
        angle = incidence_by_position(R(zenith), R(azimuth), R(tilt), R(aspect))
        ours = isotropic_irradiance(dni, dhi, ghi, angle, R(tilt), 0.2)
        np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-6)


def test_a_typical_year_on_four_faces_is_pvlib_s():
    # typical year 723170 (Greensboro) as it ships with pvlib; figures of one run of pvlib 0.16.1,
    # kWh/m2: level 1566.4, south 1707.5, north 1150.8, east 1451.7, west 1458.1
    from pathlib import Path

    import pvlib

    file = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    weather, about = pvlib.iotools.read_tmy3(file, coerce_year=1990, map_variables=True)
    times = weather.index.tz_convert("UTC")
    middle = times.as_unit("s").astype("int64").to_numpy() - 1800.0
    sun = sunplace.sun_position_fast(middle, R(about["latitude"]), R(about["longitude"]))
    up = sun.elevation > 0
    dni = np.where(up, weather["dni"].to_numpy(float), 0)
    dhi = weather["dhi"].to_numpy(float)
    ghi = dni * np.maximum(np.cos(sun.zenith), 0) + dhi
    expected = {None: 1566.4, 180: 1707.5, 0: 1150.8, 90: 1451.7, 270: 1458.1}
    for aspect, year in expected.items():
        tilt = 0.0 if aspect is None else R(30)
        angle = incidence_by_position(sun.zenith, sun.azimuth, tilt, R(aspect or 0))
        found = isotropic_irradiance(dni, dhi, ghi, angle, tilt, 0.2).sum() / 1000
        assert found == pytest.approx(year, rel=0.005)


def test_a_clear_sky_gives_no_more_than_there_is_and_more_the_higher_the_sun():
    up = R(np.arange(-10, 91, 5.0))
    found = clear_sky(up, 1.0, 200.0)
    outside = 0.0820e6 / 60
    assert (found.beam[up <= 0] == 0).all()
    assert (np.diff(found.beam) >= 0).all()
    assert (found.beam * np.sin(up) + found.diffuse <= outside * np.maximum(np.sin(up), 0)).all()
    assert clear_sky(R(50.0), 1.0, 2000.0).beam > clear_sky(R(50.0), 1.0, 0.0).beam


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: extraterrestrial_day(R(91), 10), "latitude"),
        (lambda: extraterrestrial_day(R(40), 0), "days of the year"),
        (lambda: sunplace.sun_position("yesterday", 0.0, 0.0), "not a date and time"),
        (lambda: sunplace.sun_position("2003-10-17T12:30:30", 0.0, 0.0), "offset from UTC"),
        (lambda: sunplace.sun_course("17/10", 0.0, 0.0, 0.0), "not a date"),
        (lambda: incidence_by_hour(0.0, R(30), 0.0, 0.0, 0.0), "23.5"),
        (lambda: slope_day(0.0, 10, R(100), 0.0), "90 deg"),
        (lambda: slope_day([0.0, np.nan], 10, 0.0, 0.0), "latitude, value 2"),
        (lambda: isotropic_irradiance(-1, 0, 0, 0, 0), "negative"),
    ],
)
def test_what_cannot_be_is_told_where_and_what_is_right(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()
