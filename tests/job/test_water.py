"""Rain and drains: rain that can have fallen, in any unit; files that are there."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright import units
from hillwright.job.water import Drains, Rain

units.registry()  # opened once here, so that no timed example pays for it

DAY, INCH = 86400.0, 0.0254


def test_rain_is_kept_as_years_seconds_and_metres():
    rain = Rain(depths=[["10 years", "24 h", "4.2 in"], ["2 year", "90 min", "20 mm"]])
    assert rain.depths[0] == pytest.approx((10, DAY, 4.2 * INCH))
    assert rain.depths[1] == pytest.approx((2, 5400, 0.02))
    assert Rain(return_period="25 years").return_period == pytest.approx(25)


def test_an_intensity_is_the_depth_that_falls_in_its_time():
    ((_, _, depth),) = Rain(depths=[["10 years", "30 min", "1.8 in/h"]]).depths
    assert depth == pytest.approx(0.9 * INCH)
    ((_, _, depth),) = Rain(depths=[["10 years", "24 h", "5 mm/h"]]).depths
    assert depth == pytest.approx(0.12)


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 99)), min_size=1, max_size=6,
             unique_by=lambda row: row[0])
)  # fmt: skip
def test_rain_that_falls_with_duration_is_refused_in_whatever_order_it_is_typed(rows):
    typed = [["10 years", f"{hours} h", f"{mm} mm"] for hours, mm in rows]
    depths = [mm for _, mm in sorted(rows)]
    if depths == sorted(depths):
        assert len(Rain(depths=typed).depths) == len(rows)
    else:
        with pytest.raises(ValueError, match="do not go together"):
            Rain(depths=typed)


# 1 hundred ft tonf in/(acre h) is 17.02 MJ mm/(ha h): USDA AH-537
def test_erosivity_is_read_in_either_unit():
    us, si = (Rain(erosivity=t).erosivity for t in ("100 us_R", "1701.95 MJ mm/(ha h)"))
    assert us == pytest.approx(si, rel=1e-5)
    assert si == pytest.approx(1701.95 * 1e6 * 1e-3 / (1e4 * 3600))
    assert units.show(us, "MJ mm/(ha h)", "us") == "100 us_R"
    assert units.show(us, "MJ mm/(ha h)", "metric") == "1,702 MJ mm/(ha h)"


def test_a_drain_falls_two_in_a_hundred_unless_told_otherwise():
    assert math.tan(Drains().slope) == pytest.approx(0.02)
    assert math.tan(Drains(slope="1 %").slope) == pytest.approx(0.01)


ROW = '["10 years", "24 h", "4.2 in"]'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'depths = "4.2 in"',
            'rain.depths: "4.2 in" is not a list of rains; '
            'write a list of rows, as in [["10 years", "24 h", "4.2 in"]]',
        ),
        (
            'depths = ["4.2 in"]',
            'rain.depths[1]: "4.2 in" is not a rain; '
            'write return period, duration and depth, as in ["10 years", "24 h", "4.2 in"]',
        ),
        (
            'depths = [["10 years", "24 h"]]',
            'rain.depths[1]: ["10 years", "24 h"] is not a rain; '
            'write return period, duration and depth, as in ["10 years", "24 h", "4.2 in"]',
        ),
        (
            f'depths = [{ROW}, ["24 h", "24 h", "4.2 in"]]',
            'rain.depths[2][1]: "24 h" makes no sense here; '
            'write from "1 years" to "1,000 years"',
        ),
        (
            'depths = [["10 years", "24 h", "4.2 lb"]]',
            'rain.depths[1][3]: "4.2 lb" is not a length; write "18 in", "1.5 ft" or "0.46 m"',
        ),
        (
            'depths = [["10 years", "24 h", "4.2 ft/h"]]',
            'rain.depths[1][3]: "4.2 ft/h" makes no sense here; write from "0.01 in" to "70 in"',
        ),
        (
            'depths = [[10, "24 h", "4.2 in"]]',
            'rain.depths[1][1]: 10 has no unit; write "10 years"',
        ),
        (
            f'depths = [{ROW}, ["10 years", "1440 min", "4 in"]]',
            "rain.depths[2]: the same return period and duration as number 1; keep one of the two",
        ),
        (
            f'depths = [{ROW}, ["10 years", "6 h", "4.4 in"]]',
            "rain.depths[1]: less rain in a longer time than number 2; "
            "a longer time never brings less: look it up again",
        ),
        (
            f'depths = [{ROW}, ["25 years", "24 h", "4 in"]]',
            "rain.depths[2]: less rain in a rarer storm than number 1; "
            "a rarer storm never brings less: look it up again",
        ),
        (
            f'storm = "nested"\ndepths = [{ROW}]',
            "rain.storm: nests short bursts into long ones, and no rain of an hour or less is "
            'given; add shorter ones, or write storm = "II"',
        ),
        (
            'storm = "II"\ndepths = [["10 years", "6 h", "2 in"]]',
            "rain.storm: is the shape of 24 hours, and no rain of so long is given; "
            'add one, or write storm = "nested"',
        ),
        (
            'storm = "2"',
            'rain.storm: "2" is not known here; write "I", "IA", "II", "III" or "nested"',
        ),
        (
            'water_from_above = "-1 ac"',
            'rain.water_from_above: "-1 ac" makes no sense here; '
            'write from "0 ft²" to "1,080,000 ft²"',
        ),
        (
            'ground_cover = "30"',
            'rain.ground_cover: "30" has no unit; write "30 %"',
        ),
        (
            "erosivity = 120",
            'rain.erosivity: 120 has no unit; write "120 us_R" or "120 MJ mm/(ha h)"',
        ),
        (
            'erosivity = "120 in"',
            'rain.erosivity: "120 in" is not a rain erosivity; '
            'write "100 us_R" or "1700 MJ mm/(ha h)"',
        ),
    ],
)  # fmt: skip
def test_rain_that_cannot_be_is_told_with_what_would_be_right(wrong, text, said):
    assert wrong(f"[rain]\n{text}") == [f"hill.toml line 2: {said}"]


def test_rain_that_is_given_twice_is_told(wrong, tmp_path):
    (tmp_path / "rain.csv").write_text("x")
    assert wrong(f'[rain]\ntable = "rain.csv"\ndepths = [{ROW}]') == [
        "hill.toml line 3: rain.depths: there is also rain.table; keep one of the two"
    ]


def test_rain_files_that_are_not_there_are_told_with_the_rest(wrong, tmp_path):
    (tmp_path / "rainfall.csv").write_text("x")
    assert wrong('[rain]\ntable = "rainfal.csv"\nevent = "storm.csv"\nstorm = 2') == [
        "hill.toml line 2: rain.table: the file 'rainfal.csv' is not there; "
        "the nearest name there is 'rainfall.csv'",
        "hill.toml line 3: rain.event: the file 'storm.csv' is not there; "
        "the nearest name there is 'points.csv'",
        "hill.toml line 4: rain.storm: 2 is not known here; "
        'write "I", "IA", "II", "III" or "nested"',
    ]


def test_what_can_be_had_together_is_taken():
    day = ["10 years", "24 h", "4.2 in"]
    Rain(storm="nested", depths=[day, ["10 years", "60 min", "1 in"]])
    Rain(storm="IA", depths=[day])
    Rain(storm="IA")
    Rain(depths=[day, ["100 years", "1 h", "4.2 in"], ["2 years", "24 h", "4.2 in"]])
