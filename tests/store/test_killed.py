"""A process that is killed without warning loses nothing that it had reported as saved."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from hillwright.store.sqlite import SqliteStore

WRITER = """
import sys, pathlib
from hillwright.store.sqlite import SqliteStore
store = SqliteStore(pathlib.Path(sys.argv[1]))
made = store.create("Hill", {"job.toml": b"0"})
print(made.job, flush=True)
number = 1
while True:
    body = (f"{number}\\n" * 20_000).encode()
    number = store.save(made.job, number, {"job.toml": body, "points.csv": body[::-1]}).number
    print(number, flush=True)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal on this system")
@pytest.mark.parametrize("pause", [0.0, 0.02, 0.05])
def test_every_revision_that_was_reported_is_there_after_kill_9(tmp_path, pause):
    path = tmp_path / "jobs.sqlite"
    source = str(Path(__file__).parents[2] / "src")
    where = os.pathsep.join(filter(None, (source, os.environ.get("PYTHONPATH", ""))))
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": where},
    ) as writer:
        job = writer.stdout.readline().strip()
        reported = [int(writer.stdout.readline()) for _ in range(4)]
        time.sleep(pause)  # somewhere in the midst of a save
        writer.kill()
        reported += [int(line) for line in writer.stdout if line.endswith("\n")]
    store = SqliteStore(path)
    there = {r.number for r in store.revisions(job)}
    assert set(reported) <= there
    for number in there - {1}:  # and each is whole
        body = (f"{number - 1}\n" * 20_000).encode()
        assert store.files(job, number) == {"job.toml": body, "points.csv": body[::-1]}
    assert store.revision(job).number == max(there)
    store.save(job, max(there), {"job.toml": b"on we go"})
    store.close()
