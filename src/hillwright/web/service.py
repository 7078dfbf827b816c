"""Jobs, edits and plans together: what the routes call. One object for one store."""

from __future__ import annotations

import datetime
import threading
import tomllib
from collections import OrderedDict
from collections.abc import Iterable
from concurrent.futures import TimeoutError as FutureTimeout
from functools import partial
from pathlib import Path
from typing import Any

from hillwright.errors import HillwrightError, JobError, Problem
from hillwright.job.model import Job
from hillwright.job.read import read_job
from hillwright.store.errors import Stale
from hillwright.store.merge import Clash, difference, merge
from hillwright.store.model import JOB_FILE, Revision, Store
from hillwright.store.pack import check_files
from hillwright.store.pointer import Operation, apply, pointer
from hillwright.store.toml import LARGEST, edited
from hillwright.web.attached import Attached
from hillwright.web.hub import Hub
from hillwright.web.places import converted, has_local, written
from hillwright.web.planner import Limits, Planner, Spawned, spawned
from hillwright.web.sheets import SheetFolder

MOST_OPEN = 4  # jobs whose worker is kept running
WAIT = 60.0  # for an answer of the worker [s]


class ClashError(HillwrightError):
    """An edit that lost against another; it is kept aside."""

    def __init__(self, side: int | None, head: int, clashes: tuple[Clash, ...]) -> None:
        self.side, self.head, self.clashes = side, head, clashes
        kept = f"yours is kept as revision {side}" if side else "yours was not kept"
        self.problems = tuple(
            Problem(
                pointer(c.path),
                f"somebody else changed this meanwhile; {kept}",
                "look at what it is now, then change it again",
            )
            for c in clashes
        )
        Exception.__init__(self, "clash")


class Service:
    """What the service does.

    Parameters
    ----------
    store : Store
        Where jobs are kept.
    limits : Limits
        What a plan may take.
    """

    def __init__(self, store: Store, limits: Limits | None = None) -> None:
        self.store, self.limits = store, limits or Limits()
        self.attached: Attached | None = None  # the file that the service was started with
        self._hubs: dict[str, Hub] = {}
        self._planners: OrderedDict[str, Planner] = OrderedDict()
        self._sheets: dict[str, SheetFolder] = {}
        self._spare: Spawned | None = None
        self._spare_lock = threading.Lock()  # its own: a planner asks while it holds another
        self._lock = threading.RLock()

    def warm(self) -> None:
        """Have a worker ready for the job that is opened first."""
        with self._spare_lock:
            if self._spare is None:
                self._spare = spawned(self.limits.memory)

    def _spawn(self) -> Spawned:
        with self._spare_lock:
            spare, self._spare = self._spare, None
        if spare is not None and spare.process.is_alive():
            return spare
        return spawned(self.limits.memory)

    def close(self) -> None:
        """End every worker and let go of the store."""
        with self._spare_lock:
            spare, self._spare = self._spare, None
        if spare is not None:
            spare.end()
        with self._lock:
            for planner in self._planners.values():
                planner.close()
            for sheets in self._sheets.values():
                sheets.close()
            self._planners.clear()
            self._sheets.clear()
        self.store.close()

    # plans

    def hub(self, job: str) -> Hub:
        """Give where a job's events are told."""
        with self._lock:
            if job not in self._hubs:
                self.store.job(job)
                self._hubs[job] = Hub()
            return self._hubs[job]

    def planner(self, job: str) -> Planner:
        """Give the job's planner; the ones not used for longest are ended."""
        with self._lock:
            if job not in self._planners:
                keep = partial(self.store.keep_answers, job)
                given = (self.hub(job), self.store.blob, self.limits, keep, self._spawn)
                self._planners[job] = Planner(*given)
            self._planners.move_to_end(job)
            while len(self._planners) > MOST_OPEN:
                _, idle = self._planners.popitem(last=False)
                idle.close()
            return self._planners[job]

    def plan(self, job: str) -> Planner:
        """See to it that the job is worked out as it stands."""
        revision = self.store.revision(job)
        planner = self.planner(job)
        planner.plan(revision)
        return planner

    def problems(self, job: str) -> list[dict[str, str]]:
        """Give what the newest plan stumbled over, if the job was worked out."""
        with self._lock:
            planner = self._planners.get(job)
        return planner.head().problems if planner else []

    def ask(self, job: str, kind: str, wait: float = WAIT, **given: Any) -> dict[str, Any]:
        """Ask the worker something of the plan as it stands.

        Raises
        ------
        HillwrightError
            What the worker says, or that it did not answer in time.
        """
        future = self.plan(job).ask(kind, **given)
        try:
            return future.result(wait)
        except FutureTimeout:
            future.cancel()
            what = f"did not answer within {wait:.0f} s: it is at a long stage"
            raise HillwrightError("plan", what, "ask again when the plan stands") from None

    def sheets(self, job: str) -> SheetFolder:
        """Give the papers of a job."""
        with self._lock:
            if job not in self._sheets:
                hub = self.hub(job)
                self._sheets[job] = SheetFolder(
                    hub, lambda folder: self.plan(job).ask("sheets", folder=folder)
                )
            return self._sheets[job]

    # changes

    def create(
        self, files: dict[str, bytes], name: str = "", by: str = "", summary: str = "opened"
    ) -> Revision:
        """Keep a new job; raises JobError where its file is none."""
        job = checked(files)
        return self.store.create(name or job.site.name, files, by=by, summary=summary)

    def edit(
        self, job: str, base: int, patch: Iterable[Operation], summary: str, by: str, edit: str
    ) -> tuple[Revision, tuple[Revision, ...]]:
        """Change a job; give the new revision, and those of others that came in between.

        Raises
        ------
        ClashError
            Somebody changed the same key since ``base``.
        JobError, PatchError, PlaceError
            The patch cannot be made, or what it makes is no job. Nothing is kept.
        """
        known = self.store.kept(job, edit)
        if known is not None and not known.aside:
            return known, ()
        # one that lost is looked at again: it may clash no more
        kept = "" if known else edit
        started = self.store.files(job, base)
        steps = self._placed(job, tuple(patch), started)
        mine = tomllib.loads(_text(started))
        changed = apply(mine, steps)
        while True:
            head = self.store.revision(job)
            try:
                return self._save(job, base, head, started, changed, steps, summary, by, kept, edit)
            except Stale:
                continue  # somebody was quicker: look at what they did

    def _save(
        self, job: str, base: int, head: Revision, started: dict[str, bytes], changed: Any,
        steps: tuple[Operation, ...], summary: str, by: str, kept: str, edit: str,
    ) -> tuple[Revision, tuple[Revision, ...]]:  # fmt: skip
        files = self.store.files(job, head.number)
        if head.number != base:
            theirs = tomllib.loads(_text(files))
            merged, clashes = merge(tomllib.loads(_text(started)), changed, theirs)
            if clashes:
                side = self._aside(job, base, started, steps, summary, by, edit)
                raise ClashError(side, head.number, clashes)
            steps = difference(theirs, merged)
        before = _text(files)
        text = edited(before, steps)
        if text == before:
            return head, ()  # somebody else made the same change
        files = {**files, JOB_FILE: text.encode()}
        title = checked(files).site.name
        saved = self.store.save(job, head.number, files, by, summary, title, edit=kept)
        self.told(job, saved)
        others = tuple(
            r for r in self.store.revisions(job) if base < r.number < saved.number and not r.aside
        )
        return saved, others

    def _aside(
        self, job: str, base: int, started: dict[str, bytes], steps: tuple[Operation, ...],
        summary: str, by: str, edit: str,
    ) -> int | None:  # fmt: skip
        """Keep an edit that lost beside the line, so that it can be looked at."""
        files = {**started, JOB_FILE: edited(_text(started), steps).encode()}
        try:
            title = checked(files).site.name
        except HillwrightError:
            return None
        kept = self.store.save(job, base, files, by, summary, title, aside=True, edit=edit)
        return kept.number

    def _placed(
        self, job: str, steps: tuple[Operation, ...], files: dict[str, bytes]
    ) -> tuple[Operation, ...]:
        """Write the places of the map in a patch as the job writes places."""
        if not any(has_local(s.value) for s in steps):
            return steps
        frame = self.ask(job, "frame")
        units: Any = tomllib.loads(_text(files)).get("units", "us")

        def write(place: tuple[float, float]) -> list[str]:
            return written(place, frame, units)

        return tuple(s._replace(value=converted(s.value, write)) for s in steps)

    def replace_file(self, job: str, base: int, name: str, content: bytes, by: str) -> Revision:
        """Put a file beside the job, or another in its place."""
        files = {**self.store.files(job, base), name: content}
        check_files(files)
        title = checked(files).site.name
        saved = self.store.save(job, base, files, by, f"file {name}", title)
        self.told(job, saved)
        return saved

    def replace_all(self, job: str, base: int, files: dict[str, bytes], summary: str) -> Revision:
        """Put other files in the place of all of a job's, as a new revision."""
        title = checked(files).site.name
        saved = self.store.save(job, base, files, "", summary, title)
        self.told(job, saved)
        return saved

    def open_revision(self, job: str, number: int, by: str = "") -> Revision:
        """Go on from a revision: it becomes the newest, and undo goes back from it."""
        files = self.store.files(job, number)
        title = self.store.revision(job, number).title
        while True:
            head = self.store.revision(job)
            try:
                what = f"gone on from revision {number}"
                saved = self.store.save(job, head.number, files, by, what, title)
            except Stale:
                continue
            self.told(job, saved)
            return saved

    def undo(self, job: str, base: int | None) -> Revision:
        """Go back by one revision."""
        saved = self.store.undo(job, base)
        self.told(job, saved, "undo")
        return saved

    def redo(self, job: str, base: int | None) -> Revision:
        """Go forward again."""
        saved = self.store.redo(job, base)
        self.told(job, saved, "redo")
        return saved

    def told(self, job: str, saved: Revision, way: str = "") -> None:
        """Tell every page of a new revision, and have it worked out."""
        summary = f"{way}: {saved.summary}" if way else saved.summary
        self.hub(job).tell("revision", {"number": saved.number, "by": saved.by, "summary": summary})
        with self._lock:
            shown = job in self._planners
        if shown or self.hub(job).listened():  # a job that nobody looks at is not worked out
            self.plan(job)


def checked(files: dict[str, bytes]) -> Job:
    """Check a job file and that it names only files that go with it.

    Raises
    ------
    JobError
        Everything that is wrong in it.
    """
    text = _text(files)
    if len(text) > LARGEST:
        raise JobError(JOB_FILE, "is larger than 256 kB", "a job file is a page or two of text")
    beside = [name for name in files if name != JOB_FILE]
    return read_job(text, Path(JOB_FILE), beside).job


def _text(files: dict[str, bytes]) -> str:
    try:
        return files[JOB_FILE].decode("utf-8-sig")
    except UnicodeDecodeError:
        right = 'save it again as plain text, encoding "UTF-8"'
        raise JobError(JOB_FILE, "is not UTF-8 text", right) from None


def as_written(value: Any) -> Any:
    """Give the tables of a job file as JSON can hold them."""
    if isinstance(value, dict):
        return {k: as_written(v) for k, v in value.items()}
    if isinstance(value, list):
        return [as_written(v) for v in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        return str(value)
    return value
