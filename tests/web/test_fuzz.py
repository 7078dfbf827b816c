"""Whatever is sent to the service, it never answers that it broke, and always says what is wrong.

Requests are made from the service's own OpenAPI description; the same ones on every machine.
"""

import warnings

from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from hillwright.store.sqlite import SqliteStore
from hillwright.web.app import bare
from hillwright.web.service import Service

EXAMPLES = 15  # of each route


class Idle:
    """A planner that never gets to work: the routes are tried here, not the plan."""

    def __init__(self, service, job):
        service.store.job(job)

    def head(self):
        from hillwright.web.planner import PlanState

        return PlanState()

    def part(self, digest):
        return None

    def cancel(self):
        return False

    def close(self):
        pass

    def ask(self, kind, **given):
        from concurrent.futures import Future

        from hillwright.web.planner import Refused

        future = Future()
        future.set_exception(Refused(kind, "there is no plan", "wait"))
        return future


def read_here(uploads, units):
    """Read uploads without a process of their own: the routes are tried here, not the reader."""
    from hillwright.errors import HillwrightError
    from hillwright.web.reading import UploadError, job_of

    try:
        return job_of([(n, str(p)) for n, p in uploads], units)
    except HillwrightError as error:
        raise UploadError.all(error.problems) from None


def test_no_request_breaks_the_service(tmp_path, monkeypatch):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import schemathesis
    monkeypatch.setattr("hillwright.web.reading.read", read_here)
    service = Service(SqliteStore(tmp_path / "jobs.sqlite"))
    service.plan = service.planner = lambda job: Idle(service, job)
    from hillwright.web import starts

    job = service.create(starts.example("bracken-bank")).job
    described = schemathesis.openapi.from_asgi("/api/openapi.json", bare(service))
    tried = 0
    for found in described.get_all_operations():
        operation = found.ok()
        if operation.path.endswith("/events"):
            continue  # never ends; see test_plans
        attack(operation, job)
        tried += 1
    assert tried > 20
    service.close()


def attack(operation, job):
    """Send requests of every shape to one route; some with the id of a job that is there."""

    @seed(1)
    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy(), there=st.booleans())
    def send(case, there):
        if there and "job" in (case.path_parameters or {}):
            case.path_parameters["job"] = job
        answer = case.call()
        assert answer.status_code < 500, f"{operation.label}: {answer.text}"
        if answer.status_code >= 400:
            problems = answer.json()["problems"]
            assert problems
            assert all(p["where"] and p["what"] for p in problems)

    send()
