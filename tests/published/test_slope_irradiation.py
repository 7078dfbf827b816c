"""A typical year's sunlight on a 30 deg slope: by the hour against an open solar library's figures.

Weather: TMY3 station 723170 Greensboro, North Carolina, shipped with pvlib; expected: pvlib 0.16.1,
isotropic sky, albedo 0.2, sun at the middle of each hour (stamps end the hour), run once.
"""

from importlib import resources

import numpy as np
import pytest

from hillwright.watering.sloping import light_on_slope, plane_sunlight

DEG = np.pi / 180
FACES = {"south": (180, 1707.5), "north": (0, 1150.8), "east": (90, 1451.7), "west": (270, 1458.1)}


@pytest.fixture(scope="module")
def year():
    import pandas as pd
    from pvlib.iotools import read_tmy3
    from pvlib.solarposition import get_solarposition

    with resources.as_file(resources.files("pvlib") / "data" / "723170TYA.CSV") as path:
        data, head = read_tmy3(path, coerce_year=1990, map_variables=True)
    middle = data.index - pd.Timedelta("30min")
    sun = get_solarposition(middle, head["latitude"], head["longitude"], head["altitude"])
    return data, np.radians(sun[["zenith", "azimuth"]].to_numpy().T), head["latitude"] * DEG


@pytest.mark.parametrize("face", FACES)
def test_a_year_on_a_slope_is_that_of_the_solar_library(year, face):
    data, (zenith, azimuth), _ = year
    aspect, expected = FACES[face]
    light = plane_sunlight(
        data["dni"], data["dhi"], data["ghi"], zenith, azimuth, 30 * DEG, aspect * DEG
    )
    assert light.sum() / 1e3 == pytest.approx(expected, rel=0.005)


@pytest.mark.parametrize("face", FACES)
def test_the_daily_way_comes_near_the_hourly_one_over_the_year(year, face):
    data, _, latitude = year
    from hillwright.watering.skyday import sky_day

    aspect, expected = FACES[face]
    day = np.arange(1, 366)
    level = data["ghi"].to_numpy().reshape(365, 24).mean(axis=1)
    clear = np.clip(level / sky_day(latitude, day).radiation, 0, 1)
    on = light_on_slope(latitude, day, 30 * DEG, aspect * DEG, clear).per_slope
    assert (on * level).sum() * 24 / 1e3 == pytest.approx(expected, rel=0.06)
