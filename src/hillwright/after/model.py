"""What the room gives: chores by month, and what was built beside what was planned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from hillwright.method import Working

Gravity = Literal["note", "with measures", "stop"]


@dataclass(frozen=True, slots=True)
class Chore:
    """Something to do in some months; lengths and volumes in SI, for :func:`in_units`."""

    key: str
    what: str
    months: tuple[int, ...]  # 1 to 12
    much: str  # how much of it, "" where there is nothing to count
    where: str  # rows, valves, plants
    why: str
    source: str
    first_year: bool = False  # only in the first year
    storms: bool = False  # after every storm of those months too
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Upkeep:
    """The years after."""

    chores: tuple[Chore, ...]  # in the order of the year
    rainy: tuple[int, ...]  # months, 1 to 12
    frost: tuple[int, ...]  # months with a risk of frost
    storm: float  # rain in a day after which everything is looked at; 0 not known [m]
    notes: tuple[str, ...]  # what it rests on
    workings: tuple[Working, ...]
    warnings: tuple[str, ...] = ()

    def of(self, month: int) -> tuple[Chore, ...]:
        """Give the chores of a month, 1 to 12."""
        return tuple(c for c in self.chores if month in c.months)


@dataclass(frozen=True, slots=True)
class Count:
    """Planned beside recorded and built, of one kind; amounts in SI."""

    kind: str  # "cell", "bar", "soil", "hours", "emitter"
    name: str
    unit: str  # "each" or a tag
    planned: float
    recorded: float  # of the planned, what the record tells of
    built: float


@dataclass(frozen=True, slots=True)
class Difference:
    """Something that was built otherwise, and what follows."""

    question: int  # of the ten
    gravity: Gravity
    what: str
    right: str


@dataclass(frozen=True, slots=True)
class Built:
    """What was really built."""

    file: str  # of the record, "" none
    counts: tuple[Count, ...]
    differences: tuple[Difference, ...]
    workings: tuple[Working, ...] = ()
    warnings: tuple[str, ...] = ()
