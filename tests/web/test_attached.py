"""Writing the page's job back to the file that the service was started with, and to no other."""

import os

import pytest

from hillwright.errors import HillwrightError
from hillwright.job.new import write_job
from hillwright.store.pointer import operations
from hillwright.store.sqlite import SqliteStore
from hillwright.store.toml import edited
from hillwright.web.attached import ChangedOutside
from hillwright.web.serve import attach, opened
from hillwright.web.service import Service


@pytest.fixture
def service(tmp_path):
    found = Service(SqliteStore(tmp_path / "store" / "jobs.sqlite"))
    yield found
    found.close()


@pytest.fixture
def hill(tmp_path):
    return write_job(tmp_path / "hill", "us")[0]


@pytest.fixture
def job(service, hill):
    return attach(service, hill)


def changed(service, job, **more):
    """Change the job's name on the page; give its files."""
    files = service.store.files(job)
    files = {**files, "job.toml": files["job.toml"].replace(b"Demo hillside", b"Our hillside")}
    files |= {name.replace("_", "."): content for name, content in more.items()}
    service.store.save(job, service.store.job(job).head, files)
    return files


def named(text, path, name):
    """Name a file in a job file."""
    section = path.rpartition("/")[0]
    there = f"[{section[1:]}]" in text.decode()
    steps = [] if there else [{"op": "add", "path": section, "value": {}}]
    steps += [{"op": "add", "path": path, "value": name}]
    return edited(text.decode(), operations(steps)).encode()


def test_what_was_changed_on_the_page_is_written_with_its_comments(service, job, hill):
    before = hill.read_bytes()
    files = changed(service, job)
    assert [c.path for c in service.attached.difference(files)] == [("site", "name")]
    assert service.attached.write(files) == ["job.toml"]
    assert hill.read_bytes() == before.replace(b"Demo hillside", b"Our hillside")
    assert service.attached.differing(files) == []
    assert opened(service, hill) == job
    assert service.store.job(job).head == 2  # the next start does not read it again


def test_a_file_changed_on_the_disk_since_is_never_written_over_unseen(service, job, hill):
    files = changed(service, job)
    theirs = hill.read_text().replace('units = "us"', 'units = "metric"')
    hill.write_text(theirs)
    with pytest.raises(ChangedOutside, match="changed on the disk"):
        service.attached.write(files)
    assert hill.read_text() == theirs
    seen = service.attached.seen()
    hill.write_text(theirs + "\n# and again\n")
    with pytest.raises(ChangedOutside):
        service.attached.write(files, over=seen)  # not the version that was looked at
    service.attached.write(files, over=service.attached.seen())
    assert hill.read_bytes() == files["job.toml"]


def test_files_that_the_job_names_go_along_and_strangers_beside_it_are_left_alone(
    service, job, hill
):
    files = changed(service, job, prices_csv=b"item,unit,price\n", stray_csv=b"x")
    text = named(files["job.toml"], "/estimate/prices", "prices.csv")
    files["job.toml"] = text
    assert service.attached.write(files) == ["prices.csv", "job.toml"]
    assert hill.with_name("prices.csv").read_bytes() == b"item,unit,price\n"
    assert not hill.with_name("stray.csv").exists()
    # one that stands there and was never read is somebody else's
    hill.with_name("rain.csv").write_bytes(b"mine")
    files |= {"rain.csv": b"yours", "job.toml": named(text, "/rain/table", "rain.csv")}
    with pytest.raises(ChangedOutside, match=r"rain\.csv"):
        service.attached.write(files)
    assert hill.with_name("rain.csv").read_bytes() == b"mine"
    assert hill.read_bytes() == text  # all or nothing


def test_a_folder_that_cannot_be_written_leaves_the_file_as_it_was(service, job, hill, monkeypatch):
    before, files = hill.read_bytes(), changed(service, job)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(HillwrightError, match="no space left"):
        service.attached.write(files)
    assert hill.read_bytes() == before
    assert sorted(p.name for p in hill.parent.iterdir() if p.name.startswith(".")) == []


def test_a_file_that_is_gone_or_broken_is_told(service, job, hill):
    files = changed(service, job)
    hill.unlink()
    with pytest.raises(ChangedOutside, match="it is gone"):
        service.attached.difference(files)
    hill.write_text("not = = toml")
    with pytest.raises(ChangedOutside, match="cannot be read"):
        service.attached.difference(files)
