"""The service killed without warning in the midst of edits: all that it called saved is there."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import httpx
import pytest

SOURCE = str(Path(__file__).parents[2] / "src")


@contextlib.contextmanager
def started(store):
    """Start the service as a person does; give the process and a client; leave nothing running."""
    where = os.pathsep.join(filter(None, (SOURCE, os.environ.get("PYTHONPATH", ""))))
    command = [sys.executable, "-m", "hillwright", "serve", "--no-browser", "--port", "0"]
    process = subprocess.Popen(
        [*command, "--store", str(store)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, "PYTHONPATH": where},
    )
    address = urlsplit(process.stdout.readline().split()[-1])
    token = parse_qs(address.query)["token"][0]
    client = httpx.Client(
        base_url=f"http://{address.netloc}",
        headers={"authorization": f"Bearer {token}"},
        timeout=60,
    )
    try:
        for _ in range(400):
            with contextlib.suppress(httpx.TransportError):
                client.get("/api/jobs")
                break
            time.sleep(0.05)
        yield process, client
    finally:
        client.close()
        process.kill()
        process.stdout.close()
        process.wait()


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal on this system")
def test_edits_that_were_called_saved_outlive_kill_9_of_the_service(tmp_path):
    store = tmp_path / "jobs.sqlite"
    with started(store) as (process, client):
        job = client.post("/api/jobs", json={"example": "bracken-bank"}).json()["id"]
        client.get(f"/api/jobs/{job}/plan")  # a plan is being worked out meanwhile
        saved = 1
        for k in range(12):
            patch = [{"op": "replace", "path": "/cell/width", "value": f"{20 + k} in"}]
            answer = client.post(f"/api/jobs/{job}/edits", json={"base": saved, "patch": patch})
            saved = answer.json()["revision"]
        process.kill()
    with started(store) as (_, client):
        state = client.get(f"/api/jobs/{job}").json()
        assert (state["revision"], saved) == (13, 13)
        assert state["job"]["cell"]["width"] == "31 in"
        undone = client.post(f"/api/jobs/{job}/undo", json={"base": 13}).json()
        assert undone["revision"] == 12
