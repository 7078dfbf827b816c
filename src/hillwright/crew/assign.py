"""Who does what when: the seats of the tasks that go on are given to people who are there."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Index
from hillwright.crew.people import Person, seats
from hillwright.crew.workdays import SLOT, Calendar, clock

Team = tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Stint:
    """One person at one task without a break; slots of working time."""

    person: int
    task: int
    kind: str
    start: int
    finish: int


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of a day: of one person at one task, or of a task."""

    day: int
    begin: int  # minutes after midnight
    end: int

    @property
    def text(self) -> str:
        """Write it as in "07:30-09:15"."""
        return f"{clock(self.begin)}-{clock(self.end)}"


def assign(
    people: Sequence[Person],
    calendar: Calendar,
    start: Index,
    finish: Index,
    teams: Sequence[Team],
) -> tuple[Stint, ...]:
    """Give each task its people from start to finish; they stay where they can."""
    turns = {0, *start.tolist(), *finish.tolist()}
    if len(calendar.day):
        changed = (calendar.present[:, 1:] != calendar.present[:, :-1]).any(axis=0)
        turns |= {int(t) + 1 for t in np.flatnonzero(changed)}
    times = sorted(t for t in turns if t <= int(finish.max(initial=0)))
    held: dict[tuple[int, str, int], int] = {}
    worked = np.zeros(len(people), np.intp)
    open_: dict[tuple[int, int, str], int] = {}
    found: list[Stint] = []
    for at, until in itertools.pairwise(times):
        on = np.flatnonzero((start <= at) & (finish > at)).tolist()
        wanted = [(i, kind) for i in on for kind, n in teams[i] for _ in range(n)]
        held = seats(wanted, people, calendar.present[:, at], held, worked)
        now = {(who, task, kind) for (task, kind, _), who in held.items()}
        found += [Stint(*key, open_.pop(key), at) for key in [k for k in open_ if k not in now]]
        for key in now:
            open_.setdefault(key, at)
            worked[key[0]] += until - at
    end = times[-1] if times else 0
    found += [Stint(*key, began, end) for key, began in open_.items()]
    return tuple(sorted(found, key=lambda s: (s.person, s.start, s.task)))


def spells(calendar: Calendar, start: int, finish: int) -> tuple[Spell, ...]:
    """Cut a stretch of working time where the clock jumps: breaks, evenings, days off."""
    if finish <= start:
        return ()
    day, minute = calendar.day[start:finish], calendar.minute[start:finish]
    jump = np.flatnonzero((np.diff(day) != 0) | (np.diff(minute) != SLOT)) + 1
    edges = [0, *jump.tolist(), finish - start]
    return tuple(
        Spell(int(day[a]), int(minute[a]), int(minute[b - 1]) + SLOT)
        for a, b in itertools.pairwise(edges)
    )
