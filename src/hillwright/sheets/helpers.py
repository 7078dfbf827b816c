"""Other processes that help to make a set, so that every core has something to do.

Drawing and most files keep the interpreter to themselves, so threads cannot make them side by side.
A helper is started before the plan is worked out: it reads its libraries on a core that would
otherwise wait, and is ready when there is something to draw.
"""

from __future__ import annotations

import gc
import importlib
import os
import pickle
import signal
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hillwright.plan import Plan

MOST = 3  # helpers; each holds the plan and the libraries, some 300 MB
LIBRARIES = ("ezdxf", "pyogrio", "scipy.optimize", "trimesh", "trimesh.visual", "typst")


class Gone(Exception):
    """A helper is not there any more: it could not start, or something ended it."""


class Helper:
    """One process that makes files of a set."""

    def __init__(self) -> None:
        context = get_context("spawn")  # the same on every system; safe beside threads
        self._line, there = context.Pipe()
        self._process = context.Process(target=_serve, args=(there,), daemon=True)
        self._process.start()
        there.close()
        self._plan = b""

    def take(self, plan: bytes) -> None:
        """Give it the plan, pickled: handed over when it is first asked for a file."""
        self._plan = plan

    def make(self, place: str, path: Path, number: str) -> int:
        """Have it make one file; give its pages, 0 where it has none.

        Raises
        ------
        Gone
            The process has ended.
        Exception
            Whatever went wrong in making the file.
        """
        try:
            if self._plan:  # it may still be reading its libraries: the others need not wait
                self._line.send(self._plan)
                self._plan = b""
            self._line.send((place, str(path), number))
            found = self._line.recv()
        except (EOFError, OSError) as error:
            raise Gone from error
        if isinstance(found, BaseException):
            raise found
        return int(found)

    def end(self) -> None:
        """End the process, whatever it is doing."""
        self._line.close()
        self._process.terminate()
        self._process.join()


@contextmanager
def standing_by(count: int | None = None) -> Iterator[tuple[Helper, ...]]:
    """Start helpers, as many as there are cores to spare, and end them afterwards."""
    found: list[Helper] = []
    try:
        for _ in range(_spare() if count is None else count):
            try:
                found.append(Helper())
            except OSError:  # a machine that lets nobody start a process: we make all ourselves
                break
        yield tuple(found)
    finally:
        for helper in found:
            helper.end()


def handed(plan: Plan, helpers: tuple[Helper, ...]) -> tuple[Helper, ...]:
    """Give helpers that have the plan."""
    packed = pickle.dumps(plan, protocol=5) if helpers else b""
    for helper in helpers:
        helper.take(packed)
    return helpers


def _spare() -> int:
    allowed = getattr(os, "sched_getaffinity", None)
    cores = len(allowed(0)) if allowed else os.cpu_count() or 1
    return min(MOST, cores - 1)


def _serve(line: Connection) -> None:
    """Read libraries, then the plan, then make what is asked for until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who started us hears it and ends us
    gc.set_threshold(200_000, 20, 100)
    try:
        write = importlib.import_module("hillwright.sheets.write")
        for name in LIBRARIES:
            importlib.import_module(name)
        plan = pickle.loads(line.recv())  # from the process that started us
        papers = {paper.place: paper for paper in write.documents(plan)}
        while True:
            place, path, number = line.recv()
            try:
                found = write.write_paper(plan, papers[place], number, Path(path))
            except Exception as error:
                error.add_note(traceback.format_exc())
                line.send(error)
            else:
                line.send(found)
    except Exception:  # whoever started us makes the rest, and meets what is wrong
        return
