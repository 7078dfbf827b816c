"""The plain critical path: what must be done before what, with as many hands as anyone likes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange, Problem
from hillwright.method import method


class CriticalPath(NamedTuple):
    """When each activity can and must be, and how long the whole takes at least."""

    duration: float
    early_start: Array
    early_finish: Array
    late_start: Array
    late_finish: Array
    total_float: Array
    free_float: Array
    critical: Mask


def arcs_of(successors: Sequence[ArrayLike], count: int) -> tuple[tuple[int, ...], ...]:
    """Give the successors of each activity counted from 0, from lists that count from 1.

    Raises
    ------
    OutOfRange
        Lists that are not one for each activity, or name an activity that is not there: all of
        them together.
    """
    if len(successors) != count:
        what = f"has {len(successors)} lists beside {count} activities"
        raise OutOfRange("successors", what, "give one list for each, empty for the last")
    found, wrong = [], []
    for i, each in enumerate(successors, 1):
        numbers = np.asarray(each, float).ravel()
        for n in numbers[~np.isin(numbers, np.arange(1, count + 1))].tolist():
            what = f"names activity {n:g}, and there are {count}"
            wrong.append(Problem(f"successors, list {i}", what, f"give numbers from 1 to {count}"))
        found.append(tuple(int(n) - 1 for n in dict.fromkeys(numbers.tolist())))
    if wrong:
        raise OutOfRange.all(wrong)
    return tuple(found)


def in_order(successors: Sequence[Sequence[int]]) -> Index:
    """Give the activities, counted from 0, so that each comes after all that it waits for.

    Raises
    ------
    OutOfRange
        Activities that wait for each other in a ring; names them.
    """
    waits = np.zeros(len(successors), int)
    for after in successors:
        for j in after:
            waits[j] += 1
    ready = [i for i, w in enumerate(waits) if w == 0]
    order = []
    while ready:
        i = ready.pop(0)
        order.append(i)
        for j in successors[i]:
            waits[j] -= 1
            if waits[j] == 0:
                ready.append(j)
    if len(order) < len(successors):
        ring = sorted(set(range(len(successors))) - set(order))
        named = ", ".join(str(i + 1) for i in ring[:6]) + (" ..." if len(ring) > 6 else "")
        what = f"wait for each other in a ring (among {named})"
        raise OutOfRange("successors", what, "take out the arrow that closes it")
    return np.asarray(order, np.intp)


def passes(
    durations: Array, successors: Sequence[Sequence[int]], release: ArrayLike = 0.0
) -> tuple[Array, Array]:
    """Give early starts, and the longest time from each start to the end of all (tails)."""
    order = in_order(successors)
    early = np.broadcast_to(np.asarray(release, float), durations.shape).copy()
    tail = durations.astype(float).copy()
    for i in order:
        for j in successors[i]:
            early[j] = max(early[j], early[i] + durations[i])
    for i in order[::-1]:
        if after := successors[i]:
            tail[i] = durations[i] + max(tail[j] for j in after)
    return early, tail


def checked_durations(durations: ArrayLike) -> Array:
    """Pass durations on: a list of finite numbers, none below zero."""
    d = np.asarray(durations, float)
    if d.ndim != 1 or not d.size:
        raise OutOfRange("durations", "is not a list of times", "give one for each activity")
    for i in np.flatnonzero(~np.isfinite(d) | (d < 0))[:1]:
        what = "is negative" if d[i] < 0 else "is not a number"
        raise OutOfRange(f"durations, activity {i + 1}", what, "give 0 or more")
    return d


@method(
    title="Critical path of a network of activities",
    equation="ES_j = max EF_i of those before; LF_i = min LS_j of those after; float = LS - ES",
    source="Kelley & Walker 1959, critical-path planning and scheduling (from memory)",
)
def critical_path(durations: ArrayLike, successors: Sequence[ArrayLike]) -> CriticalPath:
    """Give early and late times, floats, and which activities are critical.

    Parameters
    ----------
    durations : (n,) array
        Time of each activity; 0 for a milestone. [any]
    successors : sequence of arrays
        For each activity, the numbers (from 1) of those that wait for it. [-]

    Returns
    -------
    duration : float
        Least time for the whole, with hands without limit. [any]
    early_start, early_finish, late_start, late_finish : (n,) array
        Soonest, and latest without delay of the whole. [any]
    total_float : (n,) array
        How far it can slip without delay of the whole. [any]
    free_float : (n,) array
        How far it can slip without delay of any other. [any]
    critical : (n,) bool array
        It cannot slip at all. [-]

    Raises
    ------
    OutOfRange
        Times below zero, a number that is no activity, or a ring of activities.

    Notes
    -----
    Any number of starts and ends; several critical paths are all told.
    """
    d = checked_durations(durations)
    after = arcs_of(successors, len(d))
    early, tail = passes(d, after)
    whole = float((early + tail).max())
    finish, late = early + d, whole - tail
    free = np.array([min((early[j] for j in a), default=whole) for a in after]) - finish
    slack = late - early
    tiny = 1e-9 * max(whole, 1.0)
    return CriticalPath(
        whole,
        early,
        finish,
        late,
        late + d,
        np.where(np.abs(slack) < tiny, 0.0, slack),
        np.where(np.abs(free) < tiny, 0.0, free),
        np.abs(slack) < tiny,
    )
