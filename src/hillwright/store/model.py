"""What a store keeps: jobs, their revisions, and what was ticked off on the hill."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, Protocol

JOB_FILE = "job.toml"  # the name that every job's own file has in the store

Files = Mapping[str, bytes]  # every file of a job by name: the job file, and those beside it
Filter = Literal["open", "archived", "all"]


@dataclass(frozen=True, slots=True)
class Revision:
    """A job as it stood at one time."""

    job: str
    number: int  # counts from 1 within its job, in the order of saving
    parent: int | None
    made: str  # UTC, as "2026-03-01T09:30:00.000Z"
    title: str  # the job's name, as it then was
    by: str  # the device or person that saved it, as it calls itself
    summary: str
    name: str  # given by a person; "" = none
    aside: bool  # kept, though the job went on without it
    edit: str  # the sender's own name of the edit; "" = none
    files: tuple[tuple[str, str], ...]  # name and digest of each file


@dataclass(frozen=True, slots=True)
class JobEntry:
    """A job in the list."""

    id: str
    title: str
    made: str
    changed: str
    head: int  # the revision that the job stands at
    archived: bool
    origin: str  # the file that it was opened from; "" = none
    undo: bool  # there is something to undo
    redo: bool


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark on a list in the field: set, or taken back."""

    uuid: str
    key: str  # what was ticked, as "row 7/placed"
    done: bool
    at: str  # when, by the device's clock, UTC
    device: str


def standing(ticks: Iterable[Tick]) -> dict[str, bool]:
    """Give where each key stands once every device has been heard: the latest mark counts."""
    latest = sorted(ticks, key=lambda t: (t.at, t.uuid))
    return {t.key: t.done for t in latest}


class Store(Protocol):
    """Where jobs are kept; every call that changes something is kept once it returns.

    Each raises :class:`~hillwright.store.errors.NoSuchJob` where the job, or the revision asked
    for, is not there.
    """

    def jobs(self, which: Filter = "open") -> tuple[JobEntry, ...]:
        """List jobs, the one changed last first."""
        ...

    def job(self, job: str) -> JobEntry:
        """Give one job."""
        ...

    def opened_from(self, origin: str) -> JobEntry | None:
        """Give the job that was opened from a file, if there is one that is not archived."""
        ...

    def create(
        self, title: str, files: Files, by: str = "", summary: str = "", origin: str = ""
    ) -> Revision:
        """Keep a new job and give its first revision."""
        ...

    def archive(self, job: str, archived: bool = True) -> None:
        """Take a job out of the list, or put it back; nothing of it is lost."""
        ...

    def save(
        self,
        job: str,
        base: int,
        files: Files,
        by: str = "",
        summary: str = "",
        title: str | None = None,
        aside: bool = False,
        edit: str = "",
    ) -> Revision:
        """Keep a new revision on top of ``base``; raises Stale where the job has gone on since.

        The title stays where none is given. With ``aside`` it is kept beside the job's line,
        which does not move. An ``edit`` that is kept already gives the revision that it became:
        it was sent again because the answer got lost.
        """
        ...

    def kept(self, job: str, edit: str) -> Revision | None:
        """Give the revision that an edit became, by the sender's own name of it."""
        ...

    def revision(self, job: str, number: int | None = None) -> Revision:
        """Give a revision; the one that the job stands at where no number is given."""
        ...

    def revisions(self, job: str) -> tuple[Revision, ...]:
        """List every revision of a job, the newest first."""
        ...

    def files(self, job: str, number: int | None = None) -> dict[str, bytes]:
        """Give every file of a revision."""
        ...

    def blob(self, digest: str) -> bytes:
        """Give a file by its digest."""
        ...

    def undo(self, job: str, base: int | None = None) -> Revision:
        """Go back by one revision; raises NothingToDo at the first, Stale off ``base``."""
        ...

    def redo(self, job: str, base: int | None = None) -> Revision:
        """Go forward again by one revision that was undone."""
        ...

    def name(self, job: str, number: int, name: str) -> Revision:
        """Name a revision; "" takes the name away."""
        ...

    def keep_answers(self, job: str, number: int, answers: bytes) -> None:
        """Keep what the plan of a revision answered, in place of what it answered before."""
        ...

    def answers(self, job: str, number: int) -> bytes | None:
        """Give what the plan of a revision answered; None where it was never worked out."""
        ...

    def tick(self, job: str, ticks: Iterable[Tick]) -> int:
        """Keep marks; one that is known by its uuid is kept once. Gives how many were new."""
        ...

    def ticks(self, job: str) -> tuple[Tick, ...]:
        """Give every mark, in the order of their time."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...
