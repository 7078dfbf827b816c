"""Who is there and what each may do; and how many can be asked for at once."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Index, Mask, frozen

KINDS = ("drive", "lift", "carry", "set", "pipe", "plant", "light")
NOT_FOR_CHILDREN = ("drive", "lift", "carry", "set", "pipe")


@dataclass(frozen=True, slots=True)
class Person:
    """One of the crew; times are minutes after midnight, None where the crew's hold."""

    name: str
    role: str
    may: tuple[str, ...]  # kinds of work
    pace: float  # 1 for the hours of the table, less for a slower hand [-]
    days: tuple[str, ...] = ()  # "Mon" ...; () = every working day
    begin: int | None = None
    end: int | None = None
    away: tuple[str, ...] = ()  # dates


@dataclass(frozen=True, slots=True)
class Tool:
    """Something of which there are few, needed all the while."""

    name: str
    count: int


@dataclass(frozen=True, slots=True, eq=False)
class Groups:
    """Sets of people that tasks can run short of, for Hall's condition."""

    members: Mask  # (groups, people)
    names: tuple[str, ...]  # the kinds of work that only they may do

    def demand(self, people: Sequence[Person], team: Mapping[str, int]) -> tuple[int, ...]:
        """Give how many of each group a task takes that needs so many for each kind of work."""
        found = []
        for row in self.members:
            inside = {p.name for p, m in zip(people, row, strict=True) if m}
            found.append(
                sum(n for kind, n in team.items() if {p.name for p in able(people, kind)} <= inside)
            )
        return tuple(found)


def able(people: Sequence[Person], kind: str) -> tuple[Person, ...]:
    """Give those who may do a kind of work."""
    return tuple(p for p in people if kind in p.may)


def groups(people: Sequence[Person], kinds: Sequence[str]) -> Groups:
    """Give the sets of people that must each be large enough for what is asked of it.

    Tasks can be given people, each to one, if and only if for every set of kinds of work those who
    may do any of them are at least as many as the tasks need for these kinds (Hall's condition).
    Sets that come to the same people are held once.
    """
    who = {k: frozenset(i for i, p in enumerate(people) if k in p.may) for k in kinds}
    distinct: dict[frozenset[int], list[str]] = {}
    for kind, members in who.items():
        distinct.setdefault(members, []).append(kind)
    found: dict[frozenset[int], str] = {}
    for size in range(1, len(distinct) + 1):
        for chosen in itertools.combinations(distinct, size):
            union = frozenset().union(*chosen)
            name = ", ".join(sorted({k for c in chosen for k in distinct[c]}, key=KINDS.index))
            found.setdefault(union, name)
    mask = np.zeros((len(found), len(people)), bool)
    for row, members in zip(mask, found, strict=True):
        row[list(members)] = True
    return Groups(frozen(mask), tuple(found.values()))


def seats(
    wanted: Sequence[tuple[int, str]],
    people: Sequence[Person],
    present: Mask,
    held: Mapping[tuple[int, str, int], int],
    worked: Index,
) -> dict[tuple[int, str, int], int]:
    """Give each seat of a task a person, keeping those who sit there already.

    Parameters
    ----------
    wanted : sequence of (task, kind)
        One entry for each seat.
    people : sequence of Person
        The crew.
    present : (people,) bool array
        Who is there.
    held : mapping
        (task, kind, which) to person, as it was just before.
    worked : (people,) array of int
        How much each has done so far: who has done least is asked first.

    Returns
    -------
    dict
        (task, kind, which) to person; a seat that nobody can fill is left out.
    """
    count: dict[tuple[int, str], int] = {}
    places = []
    for task, kind in wanted:
        which = count.get((task, kind), 0)
        count[task, kind] = which + 1
        places.append((task, kind, which))
    owner: dict[int, tuple[int, str, int]] = {}
    for place in places:
        who = held.get(place)
        if who is not None and present[who] and who not in owner:
            owner[who] = place
    taken = set(owner.values())
    order = sorted(range(len(people)), key=lambda i: (len(people[i].may), int(worked[i]), i))

    def give(place: tuple[int, str, int], seen: set[int]) -> bool:
        for i in order:
            if i in seen or not present[i] or place[1] not in people[i].may:
                continue
            seen.add(i)
            if i not in owner or give(owner[i], seen):
                owner[i] = place
                return True
        return False

    for place in places:
        if place not in taken:
            give(place, set())
    return {place: who for who, place in owner.items()}
