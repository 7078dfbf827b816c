"""How short a schedule could be at best: no schedule of anybody's beats these bounds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.project import Project, project_of
from hillwright.method import method


@method(
    title="Least length of a schedule with limited hands",
    equation="T >= max(longest path, min T: sum of work of those between head and tail <= hands)",
    source="closed form (longest path, and the work of a resource between head and tail)",
)
def schedule_bound(
    durations: ArrayLike,
    demands: ArrayLike,
    successors: Sequence[ArrayLike],
    capacities: ArrayLike,
) -> float:
    """Give a length that no schedule is shorter than.

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
    bound : float
        No schedule is shorter, in periods. [-]

    Raises
    ------
    OutOfRange
        Lists that do not go together, a ring of activities, or one that needs more than there is.
    """
    return float(resource_bound(project_of(durations, demands, successors, capacities)))


def resource_bound(project: Project) -> int:
    """Give the least makespan: by the longest path, and by the work of each resource [slots]."""
    return binding(project)[0]


def binding(project: Project) -> tuple[int, int]:
    """Give the least makespan, and which resource sets it; -1 where the longest path does.

    For every pair of a head and a tail, the activities that cannot start before the one nor leave
    less than the other behind them must fit between, at the capacity that is there.
    """
    if not project.count:
        return 0, -1
    heads = project.heads
    rest = project.tails - project.shortest  # what is left to do after each
    best, by = float((heads + project.tails).max()), -1
    late, quick = np.unique(heads), np.unique(rest)
    starts = heads[None, :] >= late[:, None]
    ends = rest[None, :] >= quick[:, None]
    for k in range(project.capacity.shape[0]):
        work = _least_work(project, k)
        if not work.any():
            continue
        between = (starts * work) @ ends.T.astype(float)  # (heads, tails) [units x slots]
        done = np.concatenate([[0], np.cumsum(project.capacity[k])]).astype(float)
        # slots from each head on until so much capacity has gone by; the calendar may be too short
        wanted = done[np.minimum(late.astype(int), project.horizon)][:, None] + between
        over = np.searchsorted(done, wanted - 1e-9)
        needed = np.where(between > 0, over + quick[None, :], 0)
        if needed.max() > best:
            best, by = float(needed.max()), k
    return int(np.ceil(best - 1e-9)), by


def _least_work(project: Project, k: int) -> Array:
    """Give the least units x slots of a resource that each activity takes in any mode."""
    return np.array([min(m.duration * m.demand[k] for m in ms) for ms in project.modes], float)
