"""Starting the service at a job file: opened once, read again where it was changed, a free port."""

import socket

import pytest

from hillwright.errors import HillwrightError
from hillwright.job.new import write_job
from hillwright.store.sqlite import SqliteStore
from hillwright.web.serve import beside, check_sealed, default_store, listening, opened
from hillwright.web.service import Service
from hillwright.web.starts import example


@pytest.fixture
def service(tmp_path):
    found = Service(SqliteStore(tmp_path / "store" / "jobs.sqlite"))
    yield found
    found.close()


@pytest.fixture
def hill(tmp_path):
    return write_job(tmp_path / "hill", "us")[0]


def test_a_job_file_is_opened_once_and_edits_of_the_page_stay(service, hill):
    job = opened(service, hill)
    files = service.store.files(job)
    text = files["job.toml"].replace(b"Demo hillside", b"Our hillside")
    service.store.save(job, 1, {**files, "job.toml": text})
    assert opened(service, hill.parent) == job  # by its folder, too
    assert service.store.revision(job).number == 2


def test_a_job_file_that_was_changed_since_is_read_again_and_undo_goes_back(service, hill):
    job = opened(service, hill)
    hill.write_text(hill.read_text().replace("Demo hillside", "New name"))
    assert opened(service, hill) == job
    assert service.store.job(job).title.startswith("New name")
    service.store.undo(job)
    assert service.store.job(job).title.startswith("Demo hillside")
    # the same change is not read twice
    assert opened(service, hill) == job
    assert service.store.revision(job).number == 1


def test_what_goes_with_a_job_is_taken_along_and_nothing_from_elsewhere(hill, tmp_path):
    hill.with_name("job.planting.json").write_text("{}")
    assert set(beside(hill)) == {"job.toml", "sections.csv", "job.planting.json"}
    (tmp_path / "sections.csv").write_bytes(hill.with_name("sections.csv").read_bytes())
    hill.write_text(hill.read_text().replace('"sections.csv"', '"../sections.csv"'))
    with pytest.raises(HillwrightError, match="lies in another folder"):
        beside(hill)


def test_the_first_free_port_is_taken_and_one_that_is_taken_is_told(monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as other:
        taken = other.getsockname()[1]
        monkeypatch.setattr("hillwright.web.serve.PORT", taken)
        with listening("127.0.0.1", None) as free:
            assert free.getsockname()[1] != taken
        with pytest.raises(HillwrightError, match="--port"):
            listening("127.0.0.1", taken)


def test_who_comes_at_once_is_let_wait_instead_of_sent_away():
    with listening("127.0.0.1", 0) as place:
        # nobody accepts yet: the connection stands all the same
        socket.create_connection(place.getsockname(), timeout=5).close()


def test_jobs_are_kept_in_the_users_own_data_folder():
    assert default_store().is_absolute()
    assert default_store().name == "jobs.sqlite"


def test_a_certificate_that_is_none_is_told_before_anything_starts(tmp_path):
    paths = (tmp_path / "cert.pem", tmp_path / "key.pem")
    with pytest.raises(HillwrightError, match="cannot be used"):
        check_sealed(paths)
    for path in paths:
        path.write_text("no certificate")
    with pytest.raises(HillwrightError, match="PEM files"):
        check_sealed(paths)
    check_sealed(None)


def test_a_worker_that_stands_ready_is_taken_by_the_first_job_and_ended_with_the_service(tmp_path):
    service = Service(SqliteStore(tmp_path / "jobs.sqlite"))
    service.warm()
    spare = service._spare
    job = service.create(example("bracken-bank")).job
    service.plan(job)
    assert service.planner(job)._worker is spare
    service.warm()
    second = service._spare.process
    service.close()
    assert not spare.process.is_alive()
    assert not second.is_alive()
