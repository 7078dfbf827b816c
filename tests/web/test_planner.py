"""Plans that are too slow, unwanted, too large or broken off: told in words; the next one goes."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from hillwright.store.sqlite import SqliteStore
from hillwright.web.hub import Hub
from hillwright.web.planner import Limits, Planner
from hillwright.web.starts import example
from hillwright.web.worker import Worker


class Told(Hub):
    """Keeps what was told, and wakes who waits for it."""

    def __init__(self):
        super().__init__()
        self.kinds, self.came = [], threading.Condition()

    def tell(self, kind, data):
        with self.came:
            self.kinds.append((kind, data))
            self.came.notify_all()

    def wait(self, kind, after=0):
        with self.came:
            found = self.came.wait_for(
                lambda: next((d for k, d in self.kinds[after:] if k == kind), None), 120
            )
        assert found is not None, self.kinds
        return found


@pytest.fixture
def made(tmp_path):
    store = SqliteStore(tmp_path / "jobs.sqlite")
    planners = []

    def make(**limits):
        told = Told()
        planner = Planner(told, store.blob, Limits(**limits))
        planners.append(planner)
        return planner, told, store.create("Hill", example("bracken-bank"))

    yield make
    for planner in planners:
        planner.close()
    store.close()


def test_a_plan_that_takes_too_long_is_ended_and_says_what_to_do(made):
    planner, told, revision = made(longest=0.6, slow=0.05)
    planner.plan(revision)
    (problem,) = told.wait("problems")["problems"]
    assert "takes longer than" in problem["what"]
    assert "smaller survey" in problem["right"]
    assert told.kinds[0][0] == "slow"
    assert planner.head().state == "problems"


def test_a_cancelled_plan_stops_and_can_be_asked_for_again(made):
    planner, told, revision = made(patience=0.3)
    planner.plan(revision)
    assert planner.cancel()
    told.wait("cancelled")
    assert planner.head().state == "cancelled"
    assert not planner.cancel()
    planner.plan(revision)
    assert told.wait("plan")["revision"] == revision.number


def test_a_worker_that_dies_is_told_of_and_the_next_plan_starts_another(made):
    planner, told, revision = made()
    planner.plan(revision)
    told.wait("stage")
    planner._worker.process.kill()
    (problem,) = told.wait("problems")["problems"]
    assert "want of memory" in problem["what"]
    planner.plan(revision)
    assert told.wait("plan")["parts"]


def test_a_process_gets_no_more_memory_than_it_may_have():
    pytest.importorskip("resource")
    code = (
        "from hillwright.web.worker import limit_memory\n"
        "limit_memory(1_000_000_000)\n"
        "try:\n    bytearray(2_000_000_000)\n"
        "except MemoryError:\n    print('held')\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "held\n"


def test_a_plan_that_runs_out_of_memory_says_so_and_the_worker_goes_on(tmp_path):
    class Wire:
        def __init__(self):
            self.told = []

        def send(self, what):
            self.told.append(what)

        def poll(self):
            return False

    def eats(opened):
        raise MemoryError

    wire = Wire()
    worker = Worker(wire, tmp_path)
    worker.memo.plan = eats
    bodies = example("bracken-bank")
    worker._plan(1, {name: name for name in bodies}, bodies)
    word, what = wire.told[-1]
    assert word == "problems"
    assert "more memory than it may have" in what["problems"][0]["what"]
    assert "--memory" in what["problems"][0]["right"]


def test_a_plan_that_found_problems_is_not_worked_out_again_until_something_changes(made, tmp_path):
    planner, told, revision = made()
    store = SqliteStore(tmp_path / "jobs.sqlite")
    files = store.files(revision.job)
    files["sections.csv"] = b"no survey at all\n"
    broken = store.save(revision.job, 1, files)
    planner.plan(broken)
    told.wait("problems")
    count = len(told.kinds)
    planner.plan(broken)
    assert planner.head().state == "problems"
    assert len(told.kinds) == count
    planner.plan(store.undo(revision.job))
    assert told.wait("plan")["revision"] == 1
    store.close()


def test_what_is_asked_before_the_plan_stands_is_answered_once_it_does(made):
    planner, _, revision = made()
    planner.plan(revision)
    frame = planner.ask("frame")
    why = planner.ask("why", figure="layout.count")
    assert frame.result(120)["unit_name"] == "ft"
    assert why.result(120)["equation"]


def test_a_newer_edit_takes_the_place_of_an_older_plan(made, tmp_path):
    planner, told, revision = made()
    store = SqliteStore(tmp_path / "jobs.sqlite")
    planner.plan(revision)
    told.wait("stage")
    files = store.files(revision.job)
    text = files["job.toml"].replace(b"[sheets]", b"[sheets]\nrevision = 'B'", 1)
    newer = store.save(revision.job, 1, {**files, "job.toml": text})
    planner.plan(newer)
    assert told.wait("plan")["revision"] == newer.number
    assert not any(k == "plan" and d["revision"] == 1 for k, d in told.kinds)
    store.close()


def test_closing_leaves_no_process_and_no_file(made):
    planner, told, revision = made()
    planner.plan(revision)
    told.wait("stage")
    process, folder = planner._worker.process, Path(planner._worker.folder.name)
    waiting = planner.ask("why", figure="layout.count")
    planner.close()
    assert not process.is_alive()
    assert not folder.exists()
    with pytest.raises(Exception, match="was stopped"):
        waiting.result(1)
