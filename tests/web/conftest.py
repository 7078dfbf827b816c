"""A service of its own for each file of tests, on a free port, with a client that has the token."""

import json
import threading
import time

import httpx
import pytest
import uvicorn

from hillwright.store.sqlite import SqliteStore
from hillwright.web.app import application
from hillwright.web.planner import Limits
from hillwright.web.serve import listening
from hillwright.web.service import Service

TOKEN = "a-token-for-tests"


class Client(httpx.Client):
    """A client of the service, as a program uses it."""

    def start(self, **new):
        """Start a job and give its id."""
        made = self.post("/api/jobs", json=new or {"example": "bracken-bank"})
        assert made.status_code == 201, made.text
        return made.json()["id"]

    def edit(self, job, base, *patch, **more):
        return self.post(f"/api/jobs/{job}/edits", json={"base": base, "patch": patch, **more})

    def events(self, job, until=("plan", "problems", "cancelled"), after=""):
        """Give the events up to one of the kinds wanted."""
        found = []
        with self.stream("GET", f"/api/jobs/{job}/events", params={"after": after}) as told:
            assert told.status_code == 200
            for line in told.iter_lines():
                if line.startswith("event: "):
                    kind = line[7:]
                elif line.startswith("data: "):
                    found.append((kind, json.loads(line[6:])))
                    if kind in until:
                        return found
        raise AssertionError(f"the stream ended after {found}")

    def stands(self, job):
        """Wait until the newest plan stands, or cannot; give its head."""
        while (head := self.get(f"/api/jobs/{job}/plan").json())["state"] == "working":
            time.sleep(0.05)
        return head


def serving(folder, limits=None):
    service = Service(SqliteStore(folder / "jobs.sqlite"), limits or Limits())
    listener = listening("127.0.0.1", 0)
    app = application(service, TOKEN, cookie="test")
    config = uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=1)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    return server, thread, listener, f"http://127.0.0.1:{listener.getsockname()[1]}"


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    server, thread, listener, address = serving(tmp_path_factory.mktemp("store"))
    yield address
    server.should_exit = True
    thread.join(20)
    listener.close()
    assert not thread.is_alive()


@pytest.fixture
def client(running):
    headers = {"authorization": f"Bearer {TOKEN}"}
    with Client(base_url=running, headers=headers, timeout=120) as found:
        yield found


@pytest.fixture(scope="module")
def planned(running):
    """A job of the demo hillside whose plan stands: its id."""
    headers = {"authorization": f"Bearer {TOKEN}"}
    with Client(base_url=running, headers=headers, timeout=120) as client:
        job = client.start()
        assert client.stands(job)["state"] == "done"
        return job
