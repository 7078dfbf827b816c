"""The process that works one job out, apart from the service: it may be slow, or be ended.

It is told over a pipe, and tells over it. What it is told: ``("plan", revision, files, bodies)``,
``("cancel",)``, ``("ask", number, kind, given)``, ``("quit",)``. What it tells is a pair of a word
and a dict; see :class:`~hillwright.web.planner.Planner`.
"""

from __future__ import annotations

import contextlib
import gc
import os
import shutil
import sys
import traceback
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from hillwright.errors import HillwrightError, JobError
from hillwright.store.model import JOB_FILE


class _Superseded(Exception):
    """There is a newer revision to work out."""


class _Cancelled(Exception):
    """The person does not want to wait."""


def main(connection: Connection, folder: str, memory: int) -> None:
    """Work until told to quit, or until the service is gone."""
    limit_memory(memory)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(200_000, 20, 100)  # results are few and large: combing them takes long
    try:
        Worker(connection, Path(folder)).run()
    except (EOFError, BrokenPipeError, ConnectionResetError, KeyboardInterrupt):
        return  # the service is gone
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def limit_memory(most: int) -> None:
    """Let this process have so many bytes and no more, where the system can hold it to that."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    hard = resource.getrlimit(resource.RLIMIT_AS)[1]
    most = most if hard == resource.RLIM_INFINITY else min(most, hard)
    with contextlib.suppress(ValueError, OSError):  # macOS may refuse it
        resource.setrlimit(resource.RLIMIT_AS, (most, hard))


class Worker:
    """One job: its folder of files, what is known of its plans, and the newest plan."""

    def __init__(self, connection: Connection, folder: Path) -> None:
        from hillwright.web.live import LiveMemo

        self.connection, self.folder = connection, folder
        self.files: dict[str, str] = {}
        self.memo = LiveMemo(self._tell_of_plan, self._look)
        self.revision = 0
        self.newer: tuple[Any, ...] | None = None
        self.planning = False
        self.later: list[tuple[Any, ...]] = []  # asked of rooms that do not stand yet
        self.plan: Any = None

    def run(self) -> None:
        """Take one wish after another."""
        self.connection.send(("ready", {}))
        while True:
            wish = self.newer or self.connection.recv()
            self.newer = None
            if wish[0] == "quit":
                return
            if wish[0] == "plan":
                self._plan(*wish[1:])
            elif wish[0] == "ask":
                self._answer(*wish[1:])

    def tell(self, word: str, what: dict[str, Any]) -> None:
        """Tell the service."""
        self.connection.send((word, what))

    def _tell_of_plan(self, word: str, what: dict[str, Any]) -> None:
        self.tell(word, {"revision": self.revision, **what})
        self._answer_later()

    def _answer_later(self) -> None:
        waiting, self.later = self.later, []
        for asked in waiting:
            self._answer(*asked)

    def _look(self) -> None:
        """Between two stages: see whether anybody wants something else."""
        while self.newer is None and self.connection.poll():
            wish = self.connection.recv()
            if wish[0] == "cancel":
                raise _Cancelled
            if wish[0] == "ask":
                self._answer(*wish[1:])
            else:
                self.newer = wish
        if self.newer is not None:
            raise _Superseded

    def _plan(self, revision: int, files: dict[str, str], bodies: dict[str, bytes]) -> None:
        from hillwright.job.read import open_job

        self.revision, self.planning, self.plan = revision, True, None
        try:
            self._take(files, bodies)
            opened = open_job(self.folder / JOB_FILE)
            check_beside(self.folder)
            plan, parts, took = self.memo.plan(opened)
            self.plan = plan
            self.tell("plan", {"revision": revision, "parts": parts, "ms": round(1000 * took, 1)})
        except _Superseded:
            self.tell("superseded", {"revision": revision})
        except _Cancelled:
            self.tell("cancelled", {"revision": revision})
        except HillwrightError as error:
            self._problems(revision, error)
        except MemoryError:
            what = "needs more memory than it may have"
            right = "use a smaller survey or a larger cell, or start with --memory"
            self._problems(revision, HillwrightError("plan", what, right))
        except Exception as error:
            self._problems(revision, _fault(error))
        finally:
            self.planning = False
            if self.newer is None:
                self._answer_later()

    def _problems(self, revision: int, error: HillwrightError) -> None:
        parts = self.memo.whole()
        self.tell("problems", {"revision": revision, "problems": told(error), "parts": parts})

    def _take(self, files: dict[str, str], bodies: dict[str, bytes]) -> None:
        """Have the folder hold just these files; one that has not changed is left alone."""
        for name in set(self.files) - set(files):
            (self.folder / name).unlink(missing_ok=True)
            del self.files[name]
        for name, digest in files.items():
            if self.files.get(name) != digest:
                (self.folder / name).write_bytes(bodies[name])
                self.files[name] = digest

    def _answer(self, number: int, kind: str, given: dict[str, Any]) -> None:
        from hillwright.web import asking
        from hillwright.web.standing import NotYet

        try:
            answer: Any = asking.ANSWERS[kind]
            found = answer(self, **given)
            self.tell("answer", {"number": number, "found": found})
        except HillwrightError as error:
            self.tell("answer", {"number": number, "problems": told(error)})
        except NotYet as missing:
            if self.planning:
                self.later.append((number, kind, given))
                return
            right = "put right first what the plan stumbles over"
            short = HillwrightError(kind, f"the plan does not go so far ({missing})", right)
            self.tell("answer", {"number": number, "problems": told(short)})
        except Exception as error:
            self.tell("answer", {"number": number, "problems": told(_fault(error))})


def check_text(folder: Path) -> None:
    """Refuse a job file longer than any that a person writes: reading it would take for ever."""
    from hillwright.store.toml import LARGEST

    if (folder / JOB_FILE).stat().st_size > LARGEST:
        raise JobError(JOB_FILE, "is larger than 256 kB", "a job file is a page or two of text")


def check_beside(folder: Path) -> None:
    """Refuse a job that names a file outside its own folder.

    Raises
    ------
    JobError
        Names the text in the job file.
    """
    import tomllib

    for text in _texts(tomllib.loads((folder / JOB_FILE).read_text("utf-8-sig"))):
        if "/" not in text and "\\" not in text and text != "..":
            continue
        try:
            path = (folder / text).resolve()
            outside = path.exists() and folder.resolve() not in path.parents
        except (OSError, ValueError):
            continue
        if outside:
            what = f"{text!r} lies outside the job"
            raise JobError(JOB_FILE, what, "add the file to the job and name it without a folder")


def _texts(value: Any) -> list[str]:
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return [text for each in value for text in _texts(each)]
    return [value] if isinstance(value, str) else []


def told(error: HillwrightError) -> list[dict[str, str]]:
    """Give the problems of an error as they are sent."""
    return [{"where": p.where, "what": p.what, "right": p.right} for p in error.problems]


def _fault(error: Exception) -> HillwrightError:
    """Say that it was the program's fault; where, goes to the terminal."""
    traceback.print_exception(error, file=sys.stderr)
    kind = type(error).__name__
    right = "please report it with the job; the terminal says where it happened"
    return HillwrightError("Hillwright", f"a fault of the program ({kind}: {error})", right)
