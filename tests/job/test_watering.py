"""The job's climate and watering: what goes together, and what each slip is told."""

import pytest

from hillwright.errors import JobError, SurveyError
from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.job.weather import weather_of


def told(tmp_path, section, text, extra=""):
    job, _ = write_job(tmp_path, "us")
    whole = job.read_text("utf-8").replace(f"[{section}]", f"[{section}]\n{text}", 1)
    job.write_text(whole + extra, "utf-8")
    with pytest.raises(JobError) as error:
        open_job(job)
    return str(error.value)


@pytest.mark.parametrize(
    ("section", "text", "said"),
    [
        ("site", 'latitude = "97 deg"', '"-90 °" to "90 °"'),
        ("climate", 'place = "Fresno"\nreference = ["1 in"]', "told by climate.reference already"),
        ("climate", 'reference = ["1 in", "2 in"]', "give twelve"),
        ("climate", 'wind_height = "10 m"', "none is named"),
        ("climate", 'weather = "nowhere.csv"', "nowhere.csv"),
        ("climate", "rain = [1, 2]", "has no unit"),
        ("watering", 'windows = [["04:00", "09:00"], ["08:00", "10:00"]]', "overlaps another"),
        ("watering", 'windows = [["04:00", "04:00"]]', "ends as it begins"),
        ("watering", 'windows = [["4 am", "9 am"]]', "is not a time of day"),
        ("watering", "windows = []", "is empty"),
        ("watering", 'weekdays = ["Mon", "Mon"]', "is there twice"),
        ("watering", 'weekdays = ["monday"]', 'did you mean "Mon"?'),
        ("watering", 'emitter_flow = "2 L"', "is not a flow"),
        ("watering", "emitter_flow = 2", "has no unit"),
        ("watering", 'emitter_flow = "200 L/h"', "makes no sense here"),
        ("watering", 'efficiency = "10 %"', "makes no sense here"),
        ("watering", 'rain_method = "usda"', "is not known here"),
        ("watering", "emitters = 0", "is too small"),
    ],
)
def test_each_slip_is_told_with_what_would_be_right(tmp_path, section, text, said):
    assert said in told(tmp_path, section, text)


def test_windows_past_midnight_may_not_overlap_either(tmp_path):
    text = 'windows = [["22:00", "04:00"], ["03:00", "05:00"]]'
    assert "overlaps another" in told(tmp_path, "watering", text)


def test_a_file_of_weather_is_read_from_beside_the_job(tmp_path):
    job, _ = write_job(tmp_path, "us")
    (tmp_path / "w.csv").write_text(
        "date, high (F), low (F), eto (in)\n"
        "2024-06-01, 81, 55, 0.22\n2024-06-02, 84, 57, 0.24\n2024-06-03, 80, 54, 0.21\n"
    )
    text = job.read_text("utf-8").replace("[climate]", '[climate]\nweather = "w.csv"', 1)
    job.write_text(text, "utf-8")
    found = weather_of(open_job(job))
    assert found is not None
    assert found.reference == pytest.approx([0.22 * 0.0254, 0.24 * 0.0254, 0.21 * 0.0254])


def test_what_is_wrong_in_the_weather_arrives_with_file_and_line(tmp_path):
    job, _ = write_job(tmp_path, "us")
    (tmp_path / "w.csv").write_text(
        "date, high (F), low (F)\n2024-06-01, 81, 95\n2024-06-02, 84, 57\n2024-06-03, 80, 54\n"
    )
    text = job.read_text("utf-8").replace("[climate]", '[climate]\nweather = "w.csv"', 1)
    job.write_text(text, "utf-8")
    with pytest.raises(SurveyError, match=r"w\.csv line 2: the low is above the high"):
        weather_of(open_job(job))
