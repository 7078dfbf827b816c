"""A job to start from: works at once, covers the keys, never takes another file's place."""

from __future__ import annotations

import errno
import os
import re
import tomllib
from importlib import resources
from pathlib import Path

import pytest

from hillwright.errors import JobError
from hillwright.job import new
from hillwright.job.explain import sections
from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.job.sidecar import read_site

SYSTEMS = ("us", "metric")
# keys that the first job has no use for: they belong to other kinds of survey
ELSEWHERE = {"survey.order", "survey.crs", "outline.file", "exclusion.corners"}
ELSEWHERE |= {f"survey.{k}_code" for k in ("outline", "exclusion", "breakline", "string")}
ELSEWHERE |= {"base_line.start", "base_line.end"}  # the sections' own line
ELSEWHERE |= {"rain.table", "rain.event", "rain.map"}  # files that the first job does not have
ELSEWHERE |= {"climate.weather", "climate.wind_height", "climate.reference"}  # one way is enough
ELSEWHERE |= {"estimate.contingency_share"}  # only beside contingency = "given"
ELSEWHERE |= {"soil.uscs", "soil.texture"}  # other ways to name a soil: one is enough
ELSEWHERE |= {"planting.palette", "wish.count", "shade.line"}  # other ways to say the same


def template(system):
    return resources.files("hillwright.data").joinpath(f"job_template_{system}.toml").read_text()


def all_on(system):
    """Give the template with every key that is off taken on."""
    return re.sub(r"(?m)^#(?=\[|[a-z_A-Z]+ =)", "", template(system))


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_new_job_opens_and_its_survey_is_a_hillside(tmp_path, system):
    paths = write_job(tmp_path / "my" / "hill", system)
    assert [p.name for p in paths] == ["job.toml", "sections.csv"]
    opened = open_job(tmp_path / "my" / "hill")
    assert opened.job.units == system
    assert opened.path == paths[0]
    site = read_site(opened)
    assert len(site.measured.chainage) == 5
    assert len(list((tmp_path / "my" / "hill").iterdir())) == 2


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_key_that_is_off_can_be_taken_on(tmp_path, system):
    job, _ = write_job(tmp_path, system)
    job.write_text(all_on(system), "utf-8")
    site = read_site(open_job(job))
    assert len(site.exclusions) == 1
    assert len(site.string) == 2


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_new_job_shows_every_key_that_its_kind_of_survey_has(system):
    shown = set()
    for section, value in tomllib.loads(all_on(system)).items():
        table = value[0] if isinstance(value, list) else value
        shown |= {f"{section}.{k}" for k in table} if isinstance(table, dict) else {section}
    known = {f"{s}.{k}" for s, model in sections().items() for k in model.model_fields}
    assert known - shown == ELSEWHERE
    assert shown - known == {"units"}


@pytest.mark.parametrize("system", SYSTEMS)
def test_invented_numbers_are_said_to_be_invented(tmp_path, system):
    for path in write_job(tmp_path, system):
        assert "INVENTED" in path.read_text("utf-8")


@pytest.mark.parametrize("there", ["job.toml", "sections.csv"])
def test_a_file_that_is_there_is_kept_and_nothing_is_written(tmp_path, there):
    (tmp_path / there).write_text("mine")
    with pytest.raises(JobError, match="is there already; name another folder"):
        write_job(tmp_path, "us")
    assert [p.name for p in tmp_path.iterdir()] == [there]
    assert (tmp_path / there).read_text() == "mine"


def test_both_files_that_are_there_are_named(tmp_path):
    write_job(tmp_path, "us")
    with pytest.raises(JobError) as caught:
        write_job(tmp_path, "metric")
    assert [Path(p.where).name for p in caught.value.problems] == ["job.toml", "sections.csv"]


def test_a_link_to_nowhere_is_not_written_through(tmp_path):
    (tmp_path / "job.toml").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(JobError, match="is there already"):
        write_job(tmp_path, "us")
    assert not (tmp_path / "elsewhere").exists()


def test_a_file_in_place_of_the_folder_is_named(tmp_path):
    (tmp_path / "hill").write_text("mine")
    with pytest.raises(JobError, match="is a file, not a folder"):
        write_job(tmp_path / "hill", "us")
    with pytest.raises(JobError, match="name a folder that you may write to"):
        write_job(tmp_path / "hill" / "deeper", "us")
    assert (tmp_path / "hill").read_text() == "mine"


@pytest.mark.parametrize("failing", ["job.toml", "sections.csv"])
def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch, failing):
    place = new._place

    def full(ready, target):
        if target.name == failing:
            raise OSError(errno.ENOSPC, "No space left on device")
        place(ready, target)

    monkeypatch.setattr(new, "_place", full)
    with pytest.raises(JobError, match="no space left on device"):
        write_job(tmp_path / "a" / "b", "us")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_turns_up_meanwhile_is_kept(tmp_path, monkeypatch):
    place = new._place

    def late(ready, target):
        if target.name == "sections.csv":
            target.write_text("mine")
        place(ready, target)

    monkeypatch.setattr(new, "_place", late)
    with pytest.raises(JobError, match=r"sections\.csv: is there already"):
        write_job(tmp_path, "us")
    assert [p.name for p in tmp_path.iterdir()] == ["sections.csv"]
    assert (tmp_path / "sections.csv").read_text() == "mine"


def test_a_disk_without_links_works_too(tmp_path, monkeypatch):
    def no_links(*_):
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    write_job(tmp_path, "metric")
    assert open_job(tmp_path).job.units == "metric"
    (tmp_path / "job.toml").unlink()
    (tmp_path / "sections.csv").write_text("mine")
    with pytest.raises(JobError):
        write_job(tmp_path, "us")
    assert (tmp_path / "sections.csv").read_text() == "mine"
