"""A project with limited hands: activities, the ways each can be done, and who is there when.

Time is counted in slots of working time. What the calendar takes out (nights, days off, lunch) is
taken out before, so that an activity that is not done by the evening goes on the next morning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, frozen
from hillwright.crew.network import arcs_of, checked_durations, in_order, passes
from hillwright.errors import OutOfRange, Problem


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to do an activity: how long, and how much of each resource all the while."""

    duration: int  # [slots]
    demand: tuple[int, ...]  # of each resource


@dataclass(frozen=True, eq=False)
class Project:
    """Activities with their modes, what waits for what, and capacities slot by slot."""

    modes: tuple[tuple[Mode, ...], ...]  # of each activity, at least one
    successors: tuple[tuple[int, ...], ...]  # counted from 0
    release: Index  # (n,) no start before this slot
    capacity: Index  # (resources, slots) what is there in each slot

    @property
    def count(self) -> int:
        """How many activities."""
        return len(self.modes)

    @property
    def horizon(self) -> int:
        """How many slots the calendar reaches."""
        return int(self.capacity.shape[1])

    @cached_property
    def shortest(self) -> Array:
        """Least duration of each activity in any mode [slots]."""
        return np.array([min(m.duration for m in ms) for ms in self.modes], float)

    @cached_property
    def heads(self) -> Array:
        """Soonest start of each activity with hands without limit [slots]."""
        return passes(self.shortest, self.successors, self.release)[0]

    @cached_property
    def tails(self) -> Array:
        """Least time from each activity's start to the end of all [slots]."""
        return passes(self.shortest, self.successors)[1]

    @cached_property
    def predecessors(self) -> tuple[tuple[int, ...], ...]:
        """Activities that each waits for, counted from 0."""
        before: list[list[int]] = [[] for _ in self.modes]
        for i, after in enumerate(self.successors):
            for j in after:
                before[j].append(i)
        return tuple(tuple(b) for b in before)

    @cached_property
    def order(self) -> Index:
        """Activities so that each comes after all that it waits for."""
        return in_order(self.successors)


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """When each activity starts and in which mode it is done."""

    start: Index  # (n,) [slots]
    mode: Index  # (n,) which of its modes
    makespan: int  # [slots]


def project_of(
    durations: ArrayLike,
    demands: ArrayLike,
    successors: Sequence[ArrayLike],
    capacities: ArrayLike,
) -> Project:
    """Give a project with one mode for each activity and the same capacities throughout.

    Raises
    ------
    OutOfRange
        Lists that do not go together, times that are not whole, a capacity or a demand below
        zero, or an activity that needs more than there ever is: all of them together.
    """
    d = checked_durations(durations)
    need = np.atleast_2d(np.asarray(demands, float))
    have = np.atleast_1d(np.asarray(capacities, float))
    if need.shape != (len(d), len(have)):
        what = f"has the shape {need.shape} beside {len(d)} activities and {len(have)} resources"
        raise OutOfRange("demands", what, "give one row for each activity, one column for each")
    wrong = []
    for name, values in (("durations", d), ("demands", need), ("capacities", have)):
        if not np.isfinite(values).all() or (values < 0).any():
            wrong.append(Problem(name, "holds a value below zero or none at all", "give 0 or more"))
        elif (values != np.floor(values)).any():
            wrong.append(Problem(name, "holds a value that is not whole", "count in whole units"))
    if not wrong:
        for i, k in np.argwhere((need > have) & (d > 0)[:, None]).tolist():
            what = f"needs {need[i, k]:g} of resource {k + 1}, and there are {have[k]:g}"
            wrong.append(Problem(f"demands, activity {i + 1}", what, "add some, or ask for less"))
    if wrong:
        raise OutOfRange.all(wrong)
    after = arcs_of(successors, len(d))
    in_order(after)
    slots = max(int(d.sum()), 1)
    modes = tuple(
        (Mode(int(t), tuple(int(v) for v in row)),) for t, row in zip(d, need, strict=True)
    )
    capacity = np.repeat(have.astype(np.intp)[:, None], slots, axis=1)
    return Project(modes, after, frozen(np.zeros(len(d), np.intp)), frozen(capacity))
