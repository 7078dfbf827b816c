"""The public rainfall table: what downloads hold, both series, units, and every refusal."""

from pathlib import Path

import numpy as np
import pytest

from hillwright.errors import SurveyError
from hillwright.job.rainfall import frequency_file, read_rainfall

# NOAA Atlas 14 Volume 2 Version 3, Nashville, as downloaded 2025-09-08 (public data)
FILE = (Path(__file__).parent / "precipitation_frequency.csv").read_text()
MEAN = FILE[: FILE.index("\n\nPRECIPITATION FREQUENCY ESTIMATES AT UPPER")] + "\n"
INCH = 0.0254


def read(text):
    return read_rainfall(text, "rain.csv")


def wrong(text):
    with pytest.raises(SurveyError) as caught:
        read(text)
    return [str(p) for p in caught.value.problems]


def line(start, text=MEAN):
    return next(n for n, row in enumerate(text.splitlines(), 1) if row.startswith(start))


def test_a_download_is_read_whole():
    table = read(FILE)
    assert table.mean.shape == (19, 10)
    assert table.years.tolist() == [1, 2, 5, 10, 25, 50, 100, 200, 500, 1000]
    assert table.durations[[0, 4, 9, -1]].tolist() == [300, 3600, 86400, 60 * 86400]
    assert table.mean[9, 3] == pytest.approx(4.70 * INCH)
    assert table.upper[9, 3] == pytest.approx(4.99 * INCH)
    assert table.lower[9, 3] == pytest.approx(4.44 * INCH)
    assert table.series == "partial duration"
    assert table.place == "Nashville, Tennessee, USA"
    assert table.source == "NOAA Atlas 14 Volume 2 Version 3"
    assert table.notes == ()


def test_arrays_of_a_table_cannot_be_written():
    with pytest.raises(ValueError, match="read-only"):
        read(FILE).mean[0, 0] = 1.0


def test_a_file_with_the_means_alone_has_no_bounds():
    table = read(MEAN)
    assert (table.lower, table.upper) == (None, None)
    assert np.isnan(frequency_file(MEAN, 86400, 10).upper)


def test_millimetres_and_line_ends_of_another_system_are_read():
    table = read(MEAN.replace("(inches)", "(millimeters)").replace("\n", "\r\n"))
    assert table.mean[9, 3] == pytest.approx(0.00470)


def test_an_intensity_times_its_duration_is_the_depth():
    text = MEAN.replace("(inches)", "(inches/hour)").replace("depth", "intensity")
    text = text[: text.index("5-min")] + "30-min:, 2,2,2,2,2,2,2,2,2,2\n2-hr:, 1,1,1,1,1,1,1,1,1,1"
    assert read(text).mean[:, 0] == pytest.approx([1.0 * INCH, 2.0 * INCH])


def test_what_rounding_an_intensity_costs_is_mended_and_told():
    text = MEAN.replace("(inches)", "(inches/hour)").replace("depth", "intensity")
    head = text[: text.index("by duration")] + "by duration for ARI (years):, 10\n"
    table = read(head + "2-day:, 0.070\n3-day:, 0.0464\n")
    assert (np.diff(table.mean[:, 0]) >= 0).all()
    assert "rounded so far" in table.notes[0]


def test_yearly_chances_are_not_read_as_other_years():
    rows = "by duration for AEP:, '1/2,'1/5,'1/10\n24-hr:, 3.10,4.00,4.60\n"
    text = MEAN[: MEAN.index("by duration")].replace("Partial duration", "Annual maximum") + rows
    table = read(text)
    assert table.years.tolist() == [2, 5, 10]
    assert table.series == "annual maximum"


def test_a_place_without_name_or_station_is_read():
    text = MEAN.replace("Nashville, Tennessee, USA", "None").replace(
        "NASHVILLE WSO AIRPORT", "None"
    )
    assert read(text).place == ""


def test_a_table_saved_by_a_spreadsheet_is_read():
    text = "\n".join(f"{row},,," for row in FILE.splitlines())
    assert np.array_equal(read(text).mean, read(FILE).mean)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("(inches)", "(furlongs)", "rain.csv line 1: the unit 'furlongs' is not known"),
        ("(inches)", "(inches/day)", "rain.csv line 1: the unit 'inches/day' is not known"),
        ("Point precipitation", "Spot rainfall", "the line that names the unit is missing"),
        ("(inches)", "(inches/hour)", "the unit is 'inches/hour' and the data type is a depth"),
        ("0.908", "0.508", "less rain in a longer time: 1 in 10 years falls below the row above"),
        ("3.31,3.90", "3.91,3.90", "less rain in a rarer storm: 1 in 25 years is below"),
        ("2.17,", "", "has 9 values under 10 return periods"),
        ("2.17", "2,17", "has 11 values under 10 return periods"),
        ("2.17", "n/a", "the value 'n/a' is not a number"),
        ("2.17", "-9.99", "the rain -9.99 is not above 0"),
        ("2-hr", "45-min", "45-min does not come after the row above it"),
        ("2,5,10,25", "2,10,5,25", "the return periods are not from short to long"),
        ("1,2,5,10,25", "1,2,5,ten,25", "the column 'ten' is no return period"),
    ],
)
def test_each_wrong_line_is_told_with_what_is_wrong_there(old, new, said):
    assert any(said in p for p in wrong(MEAN.replace(old, new, 1)))


def test_the_line_that_falls_is_named():
    longer, rarer = wrong(MEAN.replace("0.908", "0.508", 1))
    assert longer.startswith(f"rain.csv line {line('10-min')}: less rain in a longer time")
    assert longer.endswith("is it depth or intensity?")
    assert rarer.startswith(f"rain.csv line {line('10-min')}: less rain in a rarer storm")


def test_a_place_without_coverage_is_told_as_that():
    (said,) = wrong("Point precipitation frequency estimates (inches)\nNo values for this place\n")
    assert "holds no table of rain by duration" in said
    assert "no coverage" in said


def test_bounds_that_belong_to_another_table_are_refused():
    tail = FILE.replace("60-day:, 13.6", "61-day:, 13.6")
    assert "the upper block has other rows or columns" in wrong(tail)[0]
    swapped = FILE.replace("UPPER", "UP").replace("LOWER", "UPPER").replace("AT UP ", "AT LOWER ")
    assert "on the wrong side of the mean" in wrong(swapped)[0]


def test_a_storm_that_the_table_does_not_hold_is_refused():
    with pytest.raises(SurveyError, match=r"0\.1 h is not in the table"):
        frequency_file(MEAN, 360, 10)
    with pytest.raises(SurveyError, match="7 is not in the table; it has 1, 2, 5"):
        frequency_file(MEAN, 300, 7)
