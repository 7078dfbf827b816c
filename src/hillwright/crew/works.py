"""The table of hand work, put right by what the crew itself was timed at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from hillwright.crew.people import Person, Tool
from hillwright.data import table
from hillwright.errors import OutOfRange, Problem, did_you_mean


@dataclass(frozen=True, slots=True)
class Work:
    """One kind of task: what a unit takes and who is needed."""

    id: str
    name: str
    unit: str
    hours: float  # person-hours a unit, at pace 1 [h]
    low: float  # as good as it is likely to be, times the hours [-]
    high: float  # as bad
    team: tuple[tuple[str, int], ...]  # people by kind of work
    least: int  # teams
    most: int
    source: str
    status: str
    tool: str = ""
    heavy: bool = False
    dig: bool = False
    learned: bool = False
    clear_slope: bool = False  # nobody else on the slope meanwhile


@dataclass(frozen=True, slots=True)
class Measured:
    """The crew's own pace: so much done by so many people in so long."""

    work: str
    done: float  # units of the work
    people: int
    took: float  # [s]


_TIMED = 0.8, 1.3  # spread that is left once the crew itself was timed: common practice, no source


@cache
def works() -> tuple[Work, ...]:
    """Give the table of work."""
    rows: list[dict[str, Any]] = table("crew_work")["work"]
    return tuple(Work(**{**row, "team": tuple(row["team"].items())}) for row in rows)


@cache
def roles() -> dict[str, dict[str, Any]]:
    """Give the table of roles by name."""
    return {row["name"]: row for row in table("crew_work")["role"]}


@cache
def tools() -> tuple[Tool, ...]:
    """Give the shared tools that a crew has if it says nothing else."""
    return tuple(Tool(row["name"], row["count"]) for row in table("crew_work")["tool"])


def unnamed(count: int) -> tuple[Person, ...]:
    """Give a crew of which only the number is known: one leads, the others are willing adults.

    Raises
    ------
    OutOfRange
        A crew of nobody.
    """
    if count < 1:
        raise OutOfRange("crew.people", f"a crew of {count} does nothing", "give 1 or more")
    named = ["lead", *(f"adult {i}" for i in range(1, count))]
    kinds = ["lead", *["adult volunteer"] * (count - 1)]
    return tuple(
        Person(name, role, tuple(roles()[role]["may"]), roles()[role]["pace"])
        for name, role in zip(named, kinds, strict=True)
    )


def adjusted(measured: Sequence[Measured]) -> dict[str, Work]:
    """Give the table with the crew's own rates in place of its hours, by id.

    Several timings of one kind of work are added up.

    Raises
    ------
    OutOfRange
        A kind of work that nobody knows, or a rate of zero: all of them together.
    """
    found = {w.id: w for w in works()}
    wrong = []
    spent: dict[str, tuple[float, float]] = {}
    for i, m in enumerate(measured, 1):
        where = f"measured, number {i}"
        if m.work not in found:
            right = did_you_mean(m.work, found, f"write one of {', '.join(found)}")
            wrong.append(Problem(f"{where}: work", f'"{m.work}" is not in the table', right))
        elif not (m.done > 0 and m.people > 0 and m.took > 0):
            what = "a rate of zero: nothing done, nobody there or no time"
            wrong.append(Problem(where, what, "give what so many people did in what time"))
        else:
            hours, done = spent.get(m.work, (0.0, 0.0))
            spent[m.work] = (hours + m.people * m.took / 3600, done + m.done)
    if wrong:
        raise OutOfRange.all(wrong)
    for work, (hours, done) in spent.items():
        low, high = _TIMED
        found[work] = replace(
            found[work],
            hours=hours / done,
            low=low,
            high=high,
            source="timed by the crew itself",
            status="measured",
        )
    return found
