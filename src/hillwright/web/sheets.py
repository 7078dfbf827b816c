"""The set of papers of one job: made by the worker, kept until the next, given by number."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from pathlib import Path
from typing import Any

from hillwright.errors import HillwrightError
from hillwright.store.errors import NoSuchJob
from hillwright.web import worker
from hillwright.web.hub import Hub


class SheetFolder:
    """The papers of one job.

    Parameters
    ----------
    hub : Hub
        Told how far they are.
    ask : callable
        Asks the worker for them, given a folder; gives a future.
    """

    def __init__(self, hub: Hub, ask: Callable[[str], Future[dict[str, Any]]]) -> None:
        self._hub, self._ask = hub, ask
        self._lock = threading.Lock()
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._next: tempfile.TemporaryDirectory[str] | None = None
        self._files: list[str] = []
        self._revision = 0

    def make(self) -> tuple[int, list[str], bool]:
        """Have a new set made; the last one stays until the new one is whole."""
        with self._lock:
            idle = self._next is None
            if self._next is None:
                self._next = tempfile.TemporaryDirectory(
                    prefix="hillwright-", ignore_cleanup_errors=True
                )
            folder = self._next.name
        if idle:  # outside the lock: an answer that is there already comes at once
            self._ask(folder).add_done_callback(self._done)
        return self.state()

    def state(self) -> tuple[int, list[str], bool]:
        """Give the revision and files of the last set, and whether one is being made."""
        with self._lock:
            return self._revision, list(self._files), self._next is not None

    def one(self, number: int) -> tuple[str, bytes]:
        """Give the name and content of one file by its number in the list.

        Raises
        ------
        NoSuchJob
            There is no such file.
        """
        with self._lock:
            if self._folder is None or not 1 <= number <= len(self._files):
                have = f"there are {len(self._files)} papers" if self._files else "none are made"
                raise NoSuchJob(f"paper {number}", have, "make the set, then take one of its list")
            name = self._files[number - 1]
            return name, (Path(self._folder.name) / name).read_bytes()

    def every(self) -> Iterator[tuple[str, bytes]]:
        """Give every file of the last set.

        Raises
        ------
        NoSuchJob
            None was made.
        """
        count = len(self.state()[1])
        return iter([self.one(number) for number in range(1, max(count, 1) + 1)])

    def close(self) -> None:
        """Throw the files away."""
        with self._lock:
            for folder in (self._folder, self._next):
                if folder is not None:
                    folder.cleanup()
            self._folder = self._next = None
            self._files = []

    def _done(self, future: Future[dict[str, Any]]) -> None:
        try:
            found = future.result()
        except HillwrightError as error:
            with self._lock:
                if self._next is not None:
                    self._next.cleanup()
                self._next = None
            self._hub.tell("sheets", {"share": 0, "problems": worker.told(error)})
            return
        with self._lock:
            if self._folder is not None:
                self._folder.cleanup()
            self._folder, self._next = self._next, None
            self._files, self._revision = found["files"], found["revision"]
            listed = [{"number": k, "name": n} for k, n in enumerate(self._files, 1)]
        self._hub.tell("sheets", {"share": 1, "revision": found["revision"], "files": listed})
