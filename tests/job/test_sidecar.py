"""The files beside a job: found, named when missing, and read whatever the job asks."""

import pickle
from pathlib import Path

import pytest

from hillwright.errors import Problem, SurveyError
from hillwright.job.files import Problems, find, read_text
from hillwright.job.model import Job, OpenJob
from hillwright.job.sidecar import read_site


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("pionts.csv", "is not there; the nearest name there is 'points.csv'"),
        ("far/points.csv", "is not there"),
        ("folder", "is a folder"),
        ("", "no file is named"),
        ("a\0b", "is not there"),
    ],
)
def test_a_missing_file_is_named_with_the_nearest_there_is(tmp_path, name, says):
    (tmp_path / "points.csv").write_text("1,2,3")
    (tmp_path / "folder").mkdir()
    with pytest.raises(SurveyError) as caught:
        find(tmp_path / "job.toml", name, "survey.file")
    assert says in str(caught.value)
    assert str(caught.value).startswith("job.toml: survey.file: ")


def test_a_job_whose_file_went_missing_since_is_refused(tmp_path):
    job = Job.model_validate({"survey": {"kind": "points", "file": "p.csv", "unit": "m"}})
    with pytest.raises(SurveyError, match="is not there"):
        read_site(OpenJob(job=job, path=tmp_path / "job.toml"))


def test_a_file_too_large_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "p.csv"
    path.write_text("1,2,3\n" * 10)
    monkeypatch.setattr("hillwright.job.files.LARGEST", 20)
    with pytest.raises(SurveyError, match="cut it down"):
        read_text(path)


def test_a_thousand_problems_are_told_as_a_page():
    problems = Problems("p.csv")
    for i in range(1000):
        problems.add(i, "is wrong", "write it right")
    with pytest.raises(SurveyError) as caught:
        problems.raise_any()
    assert len(caught.value.problems) == 26
    assert caught.value.problems[-1] == Problem("p.csv", "975 more problems like these", "")


def test_a_site_survives_pickling(site):
    found = site(
        '[survey]\nkind = "points"\nfile = "p.csv"\nunit = "m"\n',
        p_csv="1,0,0,1,GR\n2,0,9,2,GR\n3,9,9,3,GR\n",
    )
    again = pickle.loads(pickle.dumps(found))
    assert again.frame == found.frame
    assert again.measured.xyz.tolist() == found.measured.xyz.tolist()


def test_the_table_of_accuracies_names_its_sources():
    import tomllib

    table = tomllib.loads(Path("src/hillwright/data/survey.toml").read_text("utf-8"))
    for values in table.values():
        for key in values:
            assert key.endswith("source") or {"source", f"{key}_source"} & set(values)


@pytest.mark.parametrize(("text", "sigma"), [("", 0.02), ('accuracy = "5 cm"\n', 0.05)])
def test_the_accuracy_is_the_jobs_or_the_tables(site, text, sigma):
    found = site(
        f'[survey]\nkind = "points"\nfile = "p.csv"\nunit = "m"\n{text}',
        p_csv="1,0,0,1,GR\n2,0,9,2,GR\n3,9,9,3,GR\n",
    )
    assert found.measured.sigma == sigma
