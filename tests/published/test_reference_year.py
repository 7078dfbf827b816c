"""A typical year that the open solar library ships, against an independent library of reference ET.

Weather: TMY3 station 723170 Greensboro, North Carolina. Oracle: refet (ASCE-EWRI 2005, daily).
"""

from importlib import resources

import numpy as np
import pytest

from hillwright.job.weather import read_weather
from hillwright.watering.days import by_day
from hillwright.watering.reference import hargreaves, reference_day
from hillwright.watering.skyday import sky_day

# monthly sums by pyet 1.5.0 (pm_fao56) and by FAO-56 equation 52, run once, to 0.01 mm
PYET = (
    35.75, 52.21, 88.48, 111.03, 129.58, 147.4, 156.52, 136.14, 91.62, 66.39, 59.6, 42.02,
)  # fmt: skip
EQUATION_52 = (
    29.09, 43.86, 82.13, 116.36, 140.77, 154.09, 161.75, 141.2, 99.98, 71.88, 52.45, 35.44,
)  # fmt: skip
MONTH = np.repeat(np.arange(12), (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))


@pytest.fixture(scope="module")
def year():
    with resources.as_file(resources.files("pvlib") / "data" / "723170TYA.CSV") as path:
        read = read_weather(path)
    return read, by_day(read)


def worked_out(year, **how):
    read, days = year
    return reference_day(
        read.latitude, read.altitude, days.day, days.high, days.low, vapour=days.vapour,
        radiation_measured=days.radiation, wind=days.wind, wind_height=days.wind_height, **how,
    )  # fmt: skip


def monthly(rate):
    return np.bincount(MONTH, rate * 86400 * 1e3)


def test_a_year_of_days_agrees_with_an_independent_library_day_by_day(year):
    from refet import Daily

    ours = worked_out(year).evapotranspiration * 86400 * 1e3
    read, days = year
    theirs = Daily(
        tmin=days.low, tmax=days.high, ea=days.vapour / 1e3,
        rs=days.radiation * 0.0864, uz=days.wind, zw=days.wind_height,
        elev=read.altitude, lat=np.degrees(read.latitude), doy=days.day, method="asce",
    ).eto()  # fmt: skip
    assert np.abs(ours - theirs).max() < 0.02
    assert ours.sum() == pytest.approx(theirs.sum(), rel=1e-3)


def test_its_months_are_those_of_a_second_library(year):
    assert monthly(worked_out(year).evapotranspiration) == pytest.approx(PYET, abs=0.1)


def test_its_months_by_temperature_alone_are_those_of_equation_52(year):
    read, days = year
    ra = sky_day(read.latitude, days.day).radiation
    assert monthly(hargreaves(days.high, days.low, ra)) == pytest.approx(EQUATION_52, abs=0.1)


def test_the_fuller_clear_sky_lowers_the_year_as_the_library_says(year):
    total = monthly(worked_out(year, standard="asce", sky="moist").evapotranspiration).sum()
    assert total == pytest.approx(1099.1, abs=3.0)
