"""A job file written for one test."""

from __future__ import annotations

import pytest

from hillwright.errors import JobError, SurveyError
from hillwright.job.read import open_job
from hillwright.job.sidecar import read_site

SURVEY = '[survey]\nkind = "points"\nfile = "points.csv"\n'


@pytest.fixture
def opened(tmp_path):
    """Give a function that opens a job text; its survey file is there."""
    (tmp_path / "points.csv").write_text("1,0,0,0\n")
    job = tmp_path / "hill.toml"

    def open_text(text, survey=SURVEY):
        job.write_bytes(text if isinstance(text, bytes) else (text + "\n" + survey).encode())
        return open_job(job).job

    return open_text


@pytest.fixture
def wrong(opened):
    """Give a function that opens a job text and tells what is wrong with it."""

    def problems(text, survey=SURVEY):
        with pytest.raises(JobError) as caught:
            opened(text, survey)
        return [str(p) for p in caught.value.problems]

    return problems


@pytest.fixture
def site(tmp_path):
    """Give a function that writes a job and its files and reads the site."""

    def read(job, **files):
        for name, content in files.items():
            path = tmp_path / name.replace("_", ".")
            path.write_bytes(content if isinstance(content, bytes) else content.encode())
        path = tmp_path / "job.toml"
        path.write_text(job, "utf-8")
        return read_site(open_job(path))

    return read


@pytest.fixture
def refused(site):
    """Give a function that tells what is wrong with a site, as lines of text."""

    def problems(job, **files):
        with pytest.raises(SurveyError) as caught:
            site(job, **files)
        return [str(p) for p in caught.value.problems]

    return problems
