"""Weather files: what is read, bridged and told, and what cannot be."""

from datetime import date, timedelta
from importlib import resources

import numpy as np
import pytest

from hillwright.errors import SurveyError
from hillwright.job.weather import read_weather
from hillwright.job.weathercsv import read_csv
from hillwright.watering.days import by_day, reference_of

HEAD = (
    "date, high (degC), low (degC), humidity (%), radiation (MJ/m2/day), wind 2m (m/s), rain (mm)"
)


def year(days=365, start=date(2021, 1, 1), head=HEAD, skip=(), change=None, warm=lambda c: c):
    """Give an invented year of weather as a CSV; ``change`` maps (day, column) to text."""
    rng = np.random.default_rng(7)
    lines = [head]
    for k in range(days):
        if k in skip:
            continue
        swing = -np.cos(2 * np.pi * (k - 15) / 365)
        high = 20 + 9 * swing + rng.normal(0, 2)
        row = [
            (start + timedelta(days=k)).isoformat(),
            f"{warm(high):.1f}",
            f"{warm(high - 9 - rng.random()):.1f}",
            f"{60 - 15 * swing + rng.normal(0, 3):.0f}",
            f"{16 + 9 * swing + rng.normal(0, 1):.2f}",
            f"{2 + rng.random():.2f}",
            "0" if rng.random() < 0.8 else f"{rng.gamma(1, 6):.1f}",
        ]
        for (day, column), text in (change or {}).items():
            if day == k:
                row[column] = text
        lines.append(", ".join(row))
    return "\n".join(lines)


def told(text, **how):
    with pytest.raises(SurveyError) as error:
        read_csv(text, "weather.csv", how.get("wind_height"))
    return str(error.value)


def test_a_year_of_days_is_read_in_si():
    found = read_csv(year(), "weather.csv", None)
    assert len(found.day) == 365
    assert found.wind_height == 2.0
    assert 0 < found.humidity.mean() < 1
    assert 100 < found.radiation.mean() < 250  # W/m2
    assert found.notes == ()
    et, notes = reference_of(by_day(found), 0.65, 100.0)
    assert 0.8 < et.sum() < 1.6
    assert notes == ()


def test_degrees_fahrenheit_headed_as_such_are_the_same_weather():
    head = HEAD.replace("degC", "degF")
    us = read_csv(year(head=head, warm=lambda c: c * 9 / 5 + 32), "weather.csv", None)
    assert us.high == pytest.approx(read_csv(year(), "weather.csv", None).high, abs=0.1)


def test_a_short_gap_is_bridged_and_told():
    found = read_csv(year(skip=(100, 101)), "weather.csv", None)
    assert len(found.day) == 365
    assert any("2 days from 2021-04-11" in note for note in found.notes)
    assert any("none fell" in note for note in found.notes)


def test_missing_days_are_counted_and_dated():
    said = told(year(skip=range(100, 130)))
    assert "missing on 30 days from 2021-04-11" in said
    assert "line 102" in said or "line 101" in said


def test_days_that_are_missing_whole_are_told_once_and_not_column_by_column():
    with pytest.raises(SurveyError) as wrong:
        read_csv(year(skip=range(100, 130)), "w.csv", None)
    (problem,) = wrong.value.problems
    assert problem.what == "everything is missing on 30 days from 2021-04-11"


def test_a_stuck_sensor_is_told_with_its_reading():
    said = told(year(change={(k, 1): "21.3" for k in range(150, 162)}))
    assert "21.3 degC on 12 days in a row: a stuck sensor" in said


def test_fahrenheit_in_a_celsius_column_is_told():
    said = told(year(warm=lambda c: c * 9 / 5 + 32))
    assert "look like degrees Fahrenheit" in said


def test_celsius_headed_as_fahrenheit_is_told():
    said = told(year(head=HEAD.replace("degC", "degF")))
    assert "degrees Celsius headed as Fahrenheit" in said


def test_wind_of_no_height_is_told():
    said = told(year(head=HEAD.replace("wind 2m", "wind")))
    assert "how high the wind was measured" in said
    height = read_csv(year(head=HEAD.replace("wind 2m", "wind 10m")), "w.csv", None).wind_height
    assert height == 10.0


def test_the_job_s_wind_height_serves_a_column_without_one():
    text = year(head=HEAD.replace("wind 2m", "wind"))
    assert read_csv(text, "w.csv", 10.0).wind_height == 10.0


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({(40, 2): "35"}, "the low is above the high"),
        ({(40, 6): "-3"}, "never negative"),
        ({(40, 3): "140"}, "humidity is 140 %"),
        ({(40, 4): "2100"}, "MJ/m2"),
        ({(40, 0): "31/12/21"}, "cannot be read"),
        ({(40, 1): "warm"}, "is not a number"),
        ({(40, 0): "2021-02-09"}, "same date"),
    ],
)
def test_what_no_weather_is_has_a_message_of_its_own(change, said):
    assert said in told(year(change=change))


def test_a_heading_without_a_unit_is_told_with_one_that_would_do():
    assert "high (degC)" in told(year(head=HEAD.replace("high (degC)", "high")))
    assert "names no date" in told(year(head=HEAD.replace("date", "row")))


def test_a_leap_day_is_a_day_of_its_own():
    found = read_csv(year(366, date(2020, 1, 1)), "w.csv", None)
    assert found.day[-1] == 366


def shipped(name):
    return resources.as_file(resources.files("pvlib") / "data" / name)


def test_typical_years_of_both_forms_are_read_with_their_wind_at_ten_metres():
    with shipped("723170TYA.CSV") as path:
        tmy3 = read_weather(path)
    with shipped("12839.tm2") as path:
        tmy2 = read_weather(path)
    # annual ET0 by an independent library, run once: Greensboro 1116.7, Miami 1573.8 mm
    for found, total in ((tmy3, 1116.7), (tmy2, 1573.8)):
        assert found.wind_height == 10.0
        assert found.typical
        assert found.rain is None
        et, _ = reference_of(by_day(found), found.latitude, found.altitude)
        assert et.sum() * 1e3 == pytest.approx(total, abs=0.5)


def test_a_typical_year_s_wind_is_not_taken_for_that_of_two_metres():
    with shipped("723170TYA.CSV") as path, pytest.raises(SurveyError, match="10 m"):
        read_weather(path, wind_height=2.0)


def test_hours_are_gathered_into_days():
    rows = ["time, temperature (C), rh (%), solar (W/m2), wind 3m (m/s)"]
    for k in range(72):
        at = np.datetime64("2022-06-01T01:00") + np.timedelta64(k, "h")
        hour = (k % 24) + 0.5
        sun = max(0.0, 900 * np.sin(np.pi * (hour - 5) / 14)) if 5 < hour < 19 else 0.0
        warm = 22 + 8 * np.sin(2 * np.pi * (hour - 9) / 24) + 0.01 * k
        rows.append(f"{str(at).replace('T', ' ')}, {warm:.2f}, 50, {sun:.0f}, {2 + k % 3}")
    found = read_csv("\n".join(rows), "h.csv", None)
    days = by_day(found)
    assert list(days.day) == [152, 153, 154]
    assert (days.high - days.low > 14).all()
    assert days.wind_height == 3.0


def test_an_epw_file_is_read(tmp_path):
    # made here in the open format: every field that the reader looks for, invented weather
    hours = []
    for k in range(8760):
        stamp = np.datetime64("2001-01-01T00:00") + np.timedelta64(k, "h")
        y, m, d = (int(v) for v in str(stamp)[:10].split("-"))
        fields = [y, m, d, k % 24 + 1, 60, "_", 15 + k % 24 / 10, 8, 60, 101300, 0, 0, 300]
        fields += [200 if 6 <= k % 24 <= 18 else 0, 0, 0, 0, 0, 0, 0, 180, 3.0, 5, 5, 20, 77777]
        fields += [9, 0, 10, 0.1, 0, 88, 0.2, 1.0, 1.0]
        hours.append(",".join(str(f) for f in fields))
    head = ["LOCATION,Invented,-,-,-,0,38.5,-121.7,-8.0,18.0"] + [f"HEAD{i},0" for i in range(7)]
    path = tmp_path / "invented.epw"
    path.write_text("\n".join(head + hours) + "\n")
    found = read_weather(path)
    assert found.latitude == pytest.approx(np.radians(38.5))
    assert found.rain is not None
    assert found.rain.sum() == pytest.approx(8.76)


def test_a_file_that_is_not_what_its_name_says_is_told(tmp_path):
    path = tmp_path / "half.epw"
    path.write_text("LOCATION,Nowhere\n1,2,3\n")
    with pytest.raises(SurveyError, match="EPW"):
        read_weather(path)
