"""One job's worker process, as the service sees it: plans asked for, parts that came, what is told.

A newer revision ends an older plan between two stages, and what was worked out so far is kept. A
cancelled plan ends between two stages too; where a stage takes long, the process is ended and the
next plan starts from nothing. A plan that takes too long is ended likewise, and says so.
"""

from __future__ import annotations

import multiprocessing
import sys
import tempfile
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from hillwright.errors import HillwrightError, Problem
from hillwright.store.model import Revision
from hillwright.web import worker
from hillwright.web.hub import Hub
from hillwright.web.packed import Made

State = Literal["none", "working", "done", "problems", "cancelled"]
MOST_PARTS = 192_000_000  # bytes of parts that are kept for pages


@dataclass(frozen=True)
class Limits:
    """What one plan may take."""

    slow: float = 8.0  # after which the page is told that it takes long [s]
    longest: float = 300.0  # after which it is ended [s]
    patience: float = 0.7  # for a cancelled plan to end by itself [s]
    memory: int = 6_000_000_000  # address space of the worker [bytes]


@dataclass
class PlanState:
    """The newest plan, as far as it goes."""

    revision: int = 0
    state: State = "none"
    stages: list[str] = field(default_factory=list)
    parts: dict[str, str] = field(default_factory=dict)
    problems: list[dict[str, str]] = field(default_factory=list)
    ms: float | None = None


class Spawned(NamedTuple):
    """A worker's process, the pipe to it, and its folder."""

    process: Any
    pipe: Any
    folder: tempfile.TemporaryDirectory[str]

    def end(self) -> None:
        """End it, whatever it does."""
        self.process.kill()
        self.process.join()
        self.pipe.close()
        self.folder.cleanup()


def spawned(memory: int) -> Spawned:
    """Start a worker: it loads its libraries while nobody waits for it yet."""
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    folder = tempfile.TemporaryDirectory(prefix="hillwright-", ignore_cleanup_errors=True)
    given = (theirs, folder.name, memory)
    process = context.Process(target=worker.main, args=given, daemon=True)
    process.start()
    theirs.close()
    return Spawned(process, ours, folder)


class Refused(HillwrightError):
    """The worker said no, and why."""


class Planner:
    """The plans of one job.

    Parameters
    ----------
    hub : Hub
        Told what happens.
    blob : callable
        Gives a file of the job by its digest.
    limits : Limits
        What a plan may take.
    answered : callable, optional
        Given the number of a revision and its answers, once its plan stands.
    spawn : callable, optional
        Gives a worker: one that stands ready, or a new one.
    """

    def __init__(
        self,
        hub: Hub,
        blob: Callable[[str], bytes],
        limits: Limits,
        answered: Callable[[int, bytes], None] | None = None,
        spawn: Callable[[], Spawned] | None = None,
    ) -> None:
        self.hub, self.limits, self.state = hub, limits, PlanState()
        self._blob, self._answered = blob, answered
        self._spawn = spawn or (lambda: spawned(limits.memory))
        self._worker: Spawned | None = None
        self._lock = threading.RLock()
        self._parts: OrderedDict[str, Made] = OrderedDict()
        self._size = 0
        self._has: dict[str, str] = {}  # files that the worker has
        self._asked: dict[int, Future[dict[str, Any]]] = {}
        self._number = 0
        self._since: float | None = None  # the plan that is worked out was asked for then
        self._cancelled: float | None = None
        self._told_slow = False
        self._settled = False  # the plan itself found the problems: asked again, it would again
        self._closed = False

    # what the service asks for

    def plan(self, revision: Revision) -> None:
        """Have a revision worked out, in place of whatever is being worked out."""
        with self._lock:
            same = self.state.revision == revision.number
            if same and (self.state.state in ("working", "done") or self._settled):
                return
            self._started()
            files = dict(revision.files)
            bodies = {n: self._blob(d) for n, d in files.items() if self._has.get(n) != d}
            self._has = files
            self.state = PlanState(revision.number, "working", [], dict(self.state.parts))
            self._since, self._cancelled, self._told_slow = time.monotonic(), None, False
            self._settled = False
            self._send(("plan", revision.number, files, bodies))

    def cancel(self) -> bool:
        """Stop the plan that is being worked out; False where none is."""
        with self._lock:
            if self.state.state != "working" or self._worker is None:
                return False
            self._cancelled = time.monotonic()
            self._send(("cancel",))
            return True

    def ask(self, kind: str, **given: Any) -> Future[dict[str, Any]]:
        """Ask the worker something of the newest plan; the future may raise Refused."""
        with self._lock:
            self._started()
            self._number += 1
            future: Future[dict[str, Any]] = Future()
            self._asked[self._number] = future
            self._send(("ask", self._number, kind, given))
            return future

    def part(self, digest: str) -> Made | None:
        """Give a part by its digest; None where it is not kept (any more)."""
        with self._lock:
            if found := self._parts.get(digest):
                self._parts.move_to_end(digest)
            return found

    def head(self) -> PlanState:
        """Give a copy of the newest plan's state."""
        with self._lock:
            s = self.state
            return PlanState(
                s.revision, s.state, list(s.stages), dict(s.parts), list(s.problems), s.ms
            )

    def close(self) -> None:
        """End the worker."""
        with self._lock:
            self._closed = True
            self._end("the service is closing")

    # the process

    def _started(self) -> None:
        if self._worker is not None and self._worker.process.is_alive():
            return
        self._end("it was started again")
        self._worker, self._has = self._spawn(), {}
        reader = threading.Thread(target=self._listen, args=(self._worker,), daemon=True)
        reader.start()

    def _send(self, wish: tuple[Any, ...]) -> None:
        assert self._worker is not None
        try:
            self._worker.pipe.send(wish)
        except (BrokenPipeError, OSError):
            return  # the reader sees the end, and tells

    def _end(self, why: str) -> None:
        """End the process, whatever it does; nothing of the job is lost with it."""
        if self._worker is not None:
            self._worker.end()
            self._worker = None
        self._since = self._cancelled = None
        problem = {"where": "plan", "what": f"was stopped: {why}", "right": "ask again"}
        for future in self._asked.values():
            future.set_exception(_refused([problem]))
        self._asked.clear()

    def _listen(self, mine: Spawned) -> None:
        """Take what the worker tells, until it ends."""
        while True:
            try:
                if mine.pipe.poll(0.1):
                    word, what = mine.pipe.recv()
                    with self._lock:
                        if self._worker is not mine:
                            return
                        self._hear(word, what)
            except (EOFError, OSError):
                break
            with self._lock:
                if self._worker is not mine:
                    return
                self._watch()
        with self._lock:
            if self._worker is mine and not self._closed:
                self._broke()

    def _watch(self) -> None:
        """Tell where a plan takes long; end it where it takes too long."""
        now = time.monotonic()
        if self._cancelled is not None and now - self._cancelled > self.limits.patience:
            self._end("it was cancelled")
            self._stopped("cancelled", [])
            return
        if self._since is None:
            return
        took = now - self._since
        if took > self.limits.longest:
            self._end("it took too long")
            what = f"takes longer than {_minutes(self.limits.longest)}, and was stopped"
            right = "use a smaller survey or a larger cell, or start the service with --longest"
            self._stopped("problems", [{"where": "plan", "what": what, "right": right}])
        elif took > self.limits.slow and not self._told_slow:
            self._told_slow = True
            self.hub.tell("slow", {"revision": self.state.revision, "seconds": round(took)})

    def _broke(self) -> None:
        """Tell that the worker ended by itself: most likely for want of memory."""
        self._end("its process ended")
        what = "was ended by the system, most likely for want of memory"
        right = "use a smaller survey or a larger cell, or close other programs"
        self._stopped("problems", [{"where": "plan", "what": what, "right": right}])

    def _stopped(self, state: State, problems: list[dict[str, str]]) -> None:
        if self.state.state != "working":
            return
        self.state.state, self.state.problems = state, problems
        data: dict[str, Any] = {"revision": self.state.revision, "parts": self.state.parts}
        self.hub.tell(state, data | ({"problems": problems} if problems else {}))

    # what the worker tells

    def _hear(self, word: str, what: dict[str, Any]) -> None:
        if word == "answer":
            self._take_answer(what)
        elif word == "sheets":
            self.hub.tell("sheets", what)
        elif what.get("revision") == self.state.revision:
            self._hear_of_plan(word, what)

    def _hear_of_plan(self, word: str, what: dict[str, Any]) -> None:
        state = self.state
        if word == "stage":
            for digest, made in what.pop("bodies", {}).items():
                self._keep(digest, Made(*made))
            state.parts |= what.setdefault("parts", {})
            if what["stage"] != "done" and not what.get("refining"):
                state.stages.append(what["stage"])
            self.hub.tell("stage", what)
        elif word == "working":
            self.hub.tell("stage", {**what, "parts": {}})
        elif word == "plan":
            state.state, state.ms, state.parts = "done", what["ms"], what["parts"]
            self._since = self._cancelled = None
            self.hub.tell("plan", what)
            if self._answered and (answers := self._parts.get(state.parts.get("answers", ""))):
                try:
                    self._answered(state.revision, answers.body)
                except HillwrightError as error:  # the plan stands all the same
                    print(error, file=sys.stderr)
        elif word in ("problems", "cancelled"):
            self._since = self._cancelled = None
            ended: State = "problems" if word == "problems" else "cancelled"
            self._settled = word == "problems"
            state.parts = what.get("parts", state.parts)
            self._stopped(ended, what.get("problems", []))

    def _take_answer(self, what: dict[str, Any]) -> None:
        future = self._asked.pop(what["number"], None)
        if future is None or future.cancelled():
            return
        if "problems" in what:
            future.set_exception(_refused(what["problems"]))
        else:
            future.set_result(what["found"])

    def _keep(self, digest: str, made: Made) -> None:
        if digest not in self._parts:
            self._size += len(made.body)
        self._parts[digest] = made
        self._parts.move_to_end(digest)
        while self._size > MOST_PARTS and len(self._parts) > 40:
            _, gone = self._parts.popitem(last=False)
            self._size -= len(gone.body)


def _refused(problems: list[dict[str, str]]) -> Refused:
    return Refused.all(Problem(p["where"], p["what"], p["right"]) for p in problems)


def _minutes(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
