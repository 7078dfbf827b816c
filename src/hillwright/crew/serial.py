"""A schedule in milliseconds: one activity after the other, each as soon as its hands are free.

The serial schedule-generation scheme takes activities in an order and gives each the first place
where the resources it needs are free all the while. It is run for several orders, and each result
is justified: pushed as late as it goes, then as soon as it goes, which never makes it longer. The
best is kept. How far it can be from the best of all is told by :mod:`hillwright.crew.bound`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, frozen
from hillwright.crew.bound import resource_bound
from hillwright.crew.project import Mode, Project, Times, project_of
from hillwright.errors import OutOfRange
from hillwright.method import method

_SAMPLES = 8  # orders drawn at random beside the rules
_SEED = 20  # of the draws: the same schedule every time


class Serial(NamedTuple):
    """What the schedule generation finds."""

    makespan: float
    start: Array
    bound: float
    gap: float


@method(
    title="Schedule with limited hands by serial schedule generation and justification",
    equation="each in turn at the first slot where demand <= what is free; then right and left",
    source="Kolisch 1996, EJOR 90(2); Valls, Ballestin & Quintanilla 2005, EJOR 165(2) "
    "(from memory)",
)
def serial_schedule(
    durations: ArrayLike,
    demands: ArrayLike,
    successors: Sequence[ArrayLike],
    capacities: ArrayLike,
) -> Serial:
    """Give a short schedule, and how far from the shortest it can be.

    Parameters
    ----------
    durations : (n,) array
        Whole periods that each activity takes. [-]
    demands : (n, k) array
        What each needs of each resource, all the while. [-]
    successors : sequence of arrays
        For each activity, the numbers (from 1) of those that wait for it. [-]
    capacities : (k,) array
        What there is of each resource. [-]

    Returns
    -------
    makespan : float
        Length of the schedule, in periods. [-]
    start : (n,) array
        When each starts. [-]
    bound : float
        No schedule is shorter than this. [-]
    gap : float
        Share of the schedule above that bound. [-]

    Raises
    ------
    OutOfRange
        Lists that do not go together, a ring of activities, or one that needs more than there is.
    """
    project = project_of(durations, demands, successors, capacities)
    found, bound = generate(project), resource_bound(project)
    gap = (found.makespan - bound) / found.makespan if found.makespan else 0.0
    return Serial(float(found.makespan), found.start.astype(float), float(bound), gap)


def generate(project: Project, samples: int = _SAMPLES) -> Times:
    """Give the shortest schedule that several orders lead to.

    Raises
    ------
    OutOfRange
        An activity for which the calendar never has enough hands together for long enough.
    """
    best: Times | None = None
    bound = resource_bound(project)
    for rank in _ranks(project, samples):
        found = in_this_order(project, rank)
        found = justified(project, found)
        if best is None or found.makespan < best.makespan:
            best = found
        if best.makespan <= bound:
            break
    assert best is not None
    return best


def _ranks(project: Project, samples: int) -> Iterable[Array]:
    """Give priorities of the activities, the most urgent lowest."""
    work = np.array(
        [min(m.duration * max(m.demand, default=0) for m in ms) for ms in project.modes]
    )
    after = np.array([_all_after(project, i) for i in range(project.count)], float)
    yield -project.tails
    yield -(project.tails + 1e-3 * work)
    yield -after
    yield project.heads
    rng = np.random.default_rng(_SEED)
    for _ in range(samples):
        yield -project.tails * rng.uniform(0.7, 1.3, project.count)


def _all_after(project: Project, i: int) -> int:
    seen, todo = set[int](), [i]
    while todo:
        for j in project.successors[todo.pop()]:
            if j not in seen:
                seen.add(j)
                todo.append(j)
    return len(seen)


def in_this_order(project: Project, rank: Array, modes: Index | None = None) -> Times:
    """Schedule the most urgent first among those whose forerunners have a place.

    Parameters
    ----------
    project : Project
        What is to be done.
    rank : (n,) array
        Urgency, the lowest first.
    modes : (n,) array of int, optional
        Which mode each activity keeps to; left out, the one that is done soonest is taken.
    """
    n = project.count
    free = project.capacity.copy()
    start, mode = np.zeros(n, np.intp), np.zeros(n, np.intp)
    finish = np.zeros(n, np.intp)
    waits = [len(p) for p in project.predecessors]
    ready = [i for i in range(n) if not waits[i]]
    ranked = rank.tolist()
    while ready:
        i = min(ready, key=lambda j: (ranked[j], j))
        ready.remove(i)
        soonest = max([int(project.release[i]), *(int(finish[p]) for p in project.predecessors[i])])
        choice: tuple[int, int, int] | None = None
        for m in range(len(project.modes[i])) if modes is None else (int(modes[i]),):
            each = project.modes[i][m]
            at = _first_place(free, each, soonest)
            if at is not None and (choice is None or at + each.duration < choice[0]):
                choice = (at + each.duration, m, at)
        if choice is None:
            raise never_enough(project, i)
        finish[i], mode[i], start[i] = choice
        _take(free, project.modes[i][choice[1]], choice[2])
        for j in project.successors[i]:
            waits[j] -= 1
            if not waits[j]:
                ready.append(j)
    return Times(frozen(start), frozen(mode), int(finish.max(initial=0)))


def never_enough(project: Project, i: int) -> OutOfRange:
    """Give the error that an activity has no place in the calendar."""
    what = "there are never enough hands or tools together for as long as it takes"
    right = "add people, tools or days, or let more of them do this work"
    return OutOfRange(f"activity {i + 1}", what, right)


def justified(project: Project, times: Times) -> Times:
    """Push a schedule as late as it goes, then as soon as it goes; never longer than it was."""
    best = times
    for _ in range(3):
        late = _pushed_late(project, best)
        found = in_this_order(project, late.astype(float), best.mode)
        if found.makespan >= best.makespan:
            return found if found.makespan == best.makespan else best
        best = found
    return best


def _pushed_late(project: Project, times: Times) -> Index:
    """Give starts pushed right, from the last finish back, within the same makespan."""
    modes = [ms[k] for ms, k in zip(project.modes, times.mode.tolist(), strict=True)]
    finish = times.start + np.array([m.duration for m in modes])
    free = project.capacity.copy()
    start = times.start.copy()
    # a successor finishes no sooner than what it waits for; ties are broken along the arrows
    place = np.empty(project.count, int)
    place[project.order] = np.arange(project.count)
    for i in sorted(range(project.count), key=lambda j: (-finish[j], -place[j])):
        latest = min([times.makespan, *(int(start[j]) for j in project.successors[i])])
        start[i] = _last_place(free, modes[i], latest, int(times.start[i]))
        _take(free, modes[i], int(start[i]))
    return start


def _take(free: Index, mode: Mode, at: int) -> None:
    for k, need in enumerate(mode.demand):
        if need:
            free[k, at : at + mode.duration] -= need


def _shut(free: Index, mode: Mode, low: int, high: int) -> list[int]:
    """Give the slots from low on where something that the mode needs is not there."""
    bad = None
    for k, need in enumerate(mode.demand):
        if need:
            short = free[k, low:high] < need
            bad = short if bad is None else bad | short
    return [] if bad is None else (np.flatnonzero(bad) + low).tolist()


def _first_place(free: Index, mode: Mode, soonest: int) -> int | None:
    at = soonest
    for slot in _shut(free, mode, soonest, free.shape[1]):
        if slot - at >= mode.duration:
            return at
        at = slot + 1
    return at if at + mode.duration <= free.shape[1] else None


def _last_place(free: Index, mode: Mode, latest: int, known: int) -> int:
    """Give the last start with the finish no later than latest; one is known to be there."""
    end = latest
    for slot in reversed(_shut(free, mode, 0, latest)):
        if end - slot - 1 >= mode.duration:
            return end - mode.duration
        end = slot
    return end - mode.duration if end >= mode.duration else known
