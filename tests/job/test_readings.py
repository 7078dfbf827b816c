"""Readings of the drip network: read as written, and every slip told with its line."""

import pytest

from hillwright.errors import SurveyError
from hillwright.job.model import Job, OpenJob
from hillwright.job.readings import read_readings


def opened(tmp_path, text):
    (tmp_path / "readings.csv").write_text(text, "utf-8")
    job = Job.model_validate(
        {
            "survey": {"kind": "sections", "file": "s.csv"},
            "irrigation": {"readings": "readings.csv"},
        }
    )
    return OpenJob(job=job, path=tmp_path / "job.toml")


def test_catches_and_gauges_are_read_in_their_units(tmp_path):
    text = "kind, row, cell, value\ncatch, 3, 4, 1.8 L/h\n\ngauge, 3, right, 10 psi\n"
    catch, gauge = read_readings(opened(tmp_path, text))
    assert (catch.row, catch.cell, catch.value) == (3, 4, pytest.approx(0.5e-6))
    assert (gauge.row, gauge.side, gauge.value) == (3, "right", pytest.approx(68947.57))


def test_no_file_is_no_reading(tmp_path):
    job = opened(tmp_path, "x")
    none = job.job.model_copy(
        update={"irrigation": job.job.irrigation.model_copy(update={"readings": ""})}
    )
    assert read_readings(OpenJob(job=none, path=job.path)) == ()


def test_every_slip_is_told_at_once_with_its_line(tmp_path):
    text = (
        "kind,row,cell,value\ncan,1,1,1 L/h\ncatch,x,1,1 L/h\ngauge,1,3,9 psi\n"
        "catch,1,1,5\ncatch,1,1,9 psi\ncatch,1,1,-2 L/h\n"
    )
    with pytest.raises(SurveyError) as caught:
        read_readings(opened(tmp_path, text))
    said = str(caught.value)
    for line in range(2, 8):
        assert f"line {line}" in said
    assert "left" in said


@pytest.mark.parametrize("text", ["kind;row\n", "kind,row,cell,value\n"])
def test_a_file_of_another_form_says_what_it_should_be(tmp_path, text):
    with pytest.raises(SurveyError, match="write"):
        read_readings(opened(tmp_path, text))


def test_a_fifth_column_says_which_valve_was_read(tmp_path):
    text = "kind, row, cell, value, valve\ngauge, 3, left, 9 psi, 2\ngauge, 4, left, 9 psi\n"
    assert [r.valve for r in read_readings(opened(tmp_path, text))] == [2, 0]
    with pytest.raises(SurveyError, match="number of a valve"):
        read_readings(opened(tmp_path, "kind, row, cell, value\ngauge, 3, left, 9 psi, top\n"))
