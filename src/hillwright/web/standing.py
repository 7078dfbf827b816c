"""What stands of a plan so far, and from which of it each part of the page was made.

A part is made as soon as the rooms that it reads stand, and made again only when one of them is not
what it was: which rooms those are is found by watching what is read, so that no list of them can
go wrong.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any, TypeVar

from hillwright.answers.model import Answer
from hillwright.answers.ten import ANSWERS
from hillwright.digest import digest
from hillwright.job.model import OpenJob
from hillwright.method import Working
from hillwright.rooms import Rooms
from hillwright.wording import in_units

T = TypeVar("T")

# what a stage gives, where it is not called as the stage is
ROOM = {
    "ground": "surface",
    "set-out": "setout",
    "drains": "drainage",
    "watering": "wants",
    "program": "unpriced",
    "bill": "watering",
    "crew": "work",
    "price": "estimate",
}
ROOMS = tuple(f.name for f in fields(Rooms))
KEPT = 8  # makings of one part: undo and redo find them again


class NotYet(Exception):
    """A room that does not stand yet was read."""


class Standing:
    """The rooms that stand: read as attributes, as those of a plan.

    Attributes
    ----------
    opened, site, surface, layout, ... :
        As :class:`~hillwright.rooms.Rooms`; one that does not stand yet raises :class:`NotYet`.
    """

    def __init__(self) -> None:
        self._rooms: dict[str, Any] = {}
        self._keys: dict[str, str] = {}
        self._watched: list[dict[str, str | None]] = []
        self._made: dict[str, list[tuple[dict[str, str | None], Any]]] = {}
        self._answers: dict[int, Answer] = {}
        self._whole: tuple[str, ...] = ()  # warnings of the last plan that stood

    def begin(self, opened: OpenJob) -> None:
        """Start a plan: nothing stands but the job."""
        self._rooms = {"opened": _Opened(self, opened)}
        self._keys = {"opened": ""}
        self._job = opened.job

    def stands(self, room: str, result: object, key: str) -> None:
        """Take a result; ``key`` is the digest of what is in it."""
        self._rooms[room], self._keys[room] = result, key

    def __getattr__(self, room: str) -> Any:
        if room.startswith("_"):
            raise AttributeError(room)
        self._note(room, self._keys.get(room))
        if room not in self._rooms:
            raise NotYet(room)
        return self._rooms[room]

    @property
    def job(self) -> Any:
        """The job, section by section."""
        return self.opened.job

    def made(self, name: str, make: Callable[[Standing], T]) -> T:
        """Give what ``make`` makes of the rooms, made again only where one that it read changed.

        Raises
        ------
        NotYet
            One of them does not stand.
        """
        known = self._made.setdefault(name, [])
        same = (k for k, (read, _) in enumerate(known) if self._unchanged(read))
        if (at := next(same, None)) is not None:
            known.insert(0, known.pop(at))
        else:
            known.insert(0, self._watch(make))
            del known[KEPT:]
        read, result = known[0]
        for room, key in read.items():
            self._note(room, key)
        if isinstance(result, NotYet):
            raise NotYet(*result.args)
        found: T = result
        return found

    def _unchanged(self, read: dict[str, str | None]) -> bool:
        return all(self._key(room) == key for room, key in read.items())

    def _watch(self, make: Callable[[Standing], Any]) -> tuple[dict[str, str | None], Any]:
        """Make something, and note what was read for it."""
        self._watched.append({})
        try:
            result = make(self)
        except NotYet as not_yet:
            result = not_yet
        finally:
            read = self._watched.pop()
        return read, result

    def answered(self) -> tuple[Answer, ...]:
        """Give each answer to which all that it rests on stands; else that of the plan before."""
        for number, answer in ANSWERS.items():
            make: Any = answer  # it reads of the rooms what it needs
            try:
                self._answers[number] = self.made(f"answer {number}", make)
            except NotYet:
                continue
        return tuple(self._answers[n] for n in sorted(self._answers))

    def said(self) -> tuple[str, ...]:
        """Give the warnings in the person's units, of the plan before while rooms are missing."""
        if all(room in self._rooms for room in ROOMS):
            self._whole = self._warnings()
        return self._whole or self._warnings()

    def _warnings(self) -> tuple[str, ...]:
        units = self.job.units
        every = (w for room in self._standing() for w in getattr(room, "warnings", ()))
        return tuple(in_units(w, units) for w in dict.fromkeys(every))

    def workings(self) -> dict[str, Working]:
        """Give the working of every figure of the rooms that stand."""
        return {w.figure: w for room in self._standing() for w in getattr(room, "workings", ())}

    def _standing(self) -> list[Any]:
        found = []
        for room in ROOMS:
            self._note(room, self._keys.get(room))
            if room in self._rooms:
                found.append(self._rooms[room])
        return found

    def _note(self, room: str, key: str | None) -> None:
        if self._watched:
            self._watched[-1][room] = key

    def _key(self, room: str) -> str | None:
        if room.startswith("job.") and room not in self._keys:
            self._keys[room] = section_key(self._job, room[4:])
        return self._keys.get(room)

    def _section(self, name: str) -> Any:
        self._note(f"job.{name}", self._key(f"job.{name}"))
        return getattr(self._job, name)


class _Opened:
    """The open job, watched section by section: a changed price makes no new map."""

    def __init__(self, standing: Standing, opened: OpenJob) -> None:
        self.path = opened.path
        self.job = _Job(standing)


class _Job:
    def __init__(self, standing: Standing) -> None:
        self._standing = standing

    def __getattr__(self, name: str) -> Any:
        return self._standing._section(name)


def section_key(job: Any, name: str) -> str:
    """Give the digest of a section of a job; of the whole job for what is not one."""
    value = getattr(job, name)
    return digest(job if callable(value) else value)
