"""What the estimate room gives: what is taken off, ordered, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from hillwright.arrays import Array, Index
from hillwright.method import Working

# "work" is measured, to be read by who does it; its hours are priced, not itself
Kind = Literal["material", "plant", "delivery", "hire", "labour", "work"]
KINDS: tuple[Kind, ...] = ("material", "plant", "delivery", "hire", "labour")


@dataclass(frozen=True, slots=True)
class TakeoffLine:
    """One thing to order, hire or pay, with what it came from."""

    item: str
    count: int | float  # used: a whole number of things, or an amount in SI
    unit: str  # "each", "day", "load", or the tag of an amount: "m3"
    each: str  # what one is, in words
    cells: tuple[tuple[int, int], ...]  # (row, number) of the cells that it came from
    note: str
    kind: Kind = "material"
    group: str = ""  # of [waste]: "clips", "plants"; "" nothing is added
    works: tuple[str, ...] = ()  # kinds of work that use it up
    rows: tuple[tuple[int, float], ...] = ()  # row and its part of the count; () the whole hill
    pieces: tuple[tuple[float, int], ...] = ()  # lengths that it is cut to, and how many [m]
    mass: float = 0.0  # of all of it, 0 where it is not sold by weight [kg]
    traced: tuple[str, ...] = ()  # pipes, tasks, people or drains that it came from
    parts: tuple[tuple[str, float], ...] = ()  # of the count, by what they come from
    figure: str = ""  # that `hillwright why` explains
    waste: float = 0.0  # share that is ordered over the count [-]
    ordered: float = 0.0  # count with waste and spares, before packs
    lots: tuple[float, ...] = ()  # bags or loads of each good before each is rounded up to whole


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Who works when at what: k entries, t tasks."""

    roles: tuple[str, ...]
    role: Index  # (k,) which of them
    task: Index  # (k,)
    day: Index  # (k,) working day
    worked: Array  # (k,) [s]
    paid: Array  # (k,) of whole days, shared over what was done on them [s]
    pace: Array  # (k,) of who works, 1 for one who does it for a living [-]
    spread: Array  # (k, 2) as good and as bad as the kind of work may go, times the hours
    names: tuple[str, ...]  # (t,)
    works: tuple[str, ...]  # (t,) kind of work
    rows: tuple[tuple[int, int], ...]  # (t,) first and last; (0, 0) the whole hill
    question: Index  # (t,) of the ten that the task answers
    start: Index  # (t,) working day
    week: Index  # (days,) calendar week of each working day, the first is 1
    dates: tuple[str, ...]  # (days,) first date of each working day, "" where none is known


@dataclass(frozen=True, slots=True, eq=False)
class Takeoff:
    """Everything to order, hire and pay, counted."""

    lines: tuple[TakeoffLine, ...]
    workings: tuple[Working, ...]
    course: Course | None = None
    rows: tuple[tuple[int, float], ...] = ()  # row and its cells
