"""The shortest schedule with a proof: a constraint solver, one thread, the same answer every time.

A limit in seconds would make the answer depend on how busy the machine is. The search is stopped
by the solver's own count of its work instead, which is about a second of a fast core each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, frozen
from hillwright.crew.bound import resource_bound
from hillwright.crew.project import Project, Times, project_of
from hillwright.crew.serial import generate, in_this_order
from hillwright.method import method

_SEED = 11
EFFORT = 4.0  # unless another number is asked for
_COUNT = 0.3  # of the solver's own measure of work in about a second of a fast core


@dataclass(frozen=True, slots=True, eq=False)
class Proven:
    """A schedule, and the length that is proven to be the least possible."""

    times: Times
    bound: int  # no schedule is shorter [slots]

    @property
    def gap(self) -> float:
        """Share of the schedule above the bound; 0 is proven shortest [-]."""
        return (self.times.makespan - self.bound) / max(self.times.makespan, 1)


class Shortest(NamedTuple):
    """What the solver finds."""

    makespan: float
    start: Array
    bound: float
    gap: float


@method(
    title="Shortest schedule with limited hands, proven",
    equation="min max(start + duration) with sum of demand <= capacity at every time",
    source="resource-constrained project scheduling, by constraint programming (OR-Tools CP-SAT)",
)
def shortest_schedule(
    durations: ArrayLike,
    demands: ArrayLike,
    successors: Sequence[ArrayLike],
    capacities: ArrayLike,
    effort: float = 60.0,
) -> Shortest:
    """Give the shortest schedule and the proof of how short one can be.

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
    effort : float
        Most work that the solver puts in, about seconds of a fast core. [-]

    Returns
    -------
    makespan : float
        Length of the schedule, in periods. [-]
    start : (n,) array
        When each starts. [-]
    bound : float
        No schedule is shorter than this: proven. [-]
    gap : float
        Share of the schedule above that bound; 0 is proven shortest. [-]

    Raises
    ------
    OutOfRange
        Lists that do not go together, a ring of activities, or one that needs more than there is.
    """
    found = prove(project_of(durations, demands, successors, capacities), effort)
    start = found.times.start.astype(float)
    return Shortest(float(found.times.makespan), start, float(found.bound), found.gap)


def prove(project: Project, effort: float = EFFORT, first: Times | None = None) -> Proven:
    """Give the shortest schedule that the solver finds, and its bound.

    Parameters
    ----------
    project : Project
        What is to be done, and with whom.
    effort : float
        Most work that the solver puts in; about seconds.
    first : Times, optional
        A schedule to begin with; left out, one is generated.

    Raises
    ------
    OutOfRange
        An activity for which the calendar never has enough hands together for long enough.
    """
    best = first if first is not None else generate(project)
    bound = resource_bound(project)
    if best.makespan <= bound:
        return Proven(best, bound)
    start, mode, proven = _search(project, best, bound, effort)
    if start is None:
        return Proven(best, max(bound, proven))
    # the solver leaves idle gaps where they cost nothing: every activity as soon as it can be
    tidy = in_this_order(project, start.astype(float), mode)
    makespan = int((start + _durations(project, mode)).max())
    found = tidy if tidy.makespan <= makespan else Times(start, mode, makespan)
    if best.makespan < found.makespan:
        found = best
    return Proven(found, max(bound, proven))


def _durations(project: Project, mode: Any) -> Any:
    return np.array([ms[k].duration for ms, k in zip(project.modes, mode.tolist(), strict=True)])


def _search(project: Project, first: Times, bound: int, effort: float) -> tuple[Any, Any, int]:
    """Run the solver; gives starts, modes and the bound, or no starts."""
    from ortools.sat.python import cp_model  # a quarter of a second: only when a proof is wanted

    model = cp_model.CpModel()
    most = first.makespan
    starts, ends, picks = [], [], []
    used: list[list[tuple[Any, int]]] = [[] for _ in range(project.capacity.shape[0])]
    for i, modes in enumerate(project.modes):
        low, high = int(project.heads[i]), most - int(project.tails[i])
        start = model.new_int_var(low, max(high, low), f"s{i}")
        literals, intervals = [], []
        if len(modes) == 1:
            end: Any = start + modes[0].duration
            interval = model.new_fixed_size_interval_var(start, modes[0].duration, f"i{i}")
            intervals.append((interval, modes[0]))
        else:
            sizes = cp_model.Domain.from_values([m.duration for m in modes])
            size = model.new_int_var_from_domain(sizes, f"d{i}")
            end = model.new_int_var(0, most, f"e{i}")
            model.new_interval_var(start, size, end, f"w{i}")
            for k, mode in enumerate(modes):
                literal = model.new_bool_var(f"m{i}.{k}")
                literals.append(literal)
                interval = model.new_optional_fixed_size_interval_var(
                    start, mode.duration, literal, f"i{i}.{k}"
                )
                model.add(size == mode.duration).only_enforce_if(literal)
                intervals.append((interval, mode))
            model.add_exactly_one(literals)
            for k, literal in enumerate(literals):
                model.add_hint(literal, k == int(first.mode[i]))
        model.add_hint(start, int(first.start[i]))
        for interval, mode in intervals:
            for r, need in enumerate(mode.demand):
                if need:
                    used[r].append((interval, need))
        starts.append(start)
        ends.append(end)
        picks.append(literals)
    for i, after in enumerate(project.successors):
        for j in after:
            model.add(starts[j] >= ends[i])
    for r, users in enumerate(used):
        _limit(model, project.capacity[r, :most], users)
    whole = model.new_int_var(bound, most, "makespan")
    for end in ends:
        model.add(whole >= end)
    model.add_hint(whole, most)
    model.minimize(whole)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = _SEED
    solver.parameters.max_deterministic_time = _COUNT * effort
    status = solver.solve(model)
    least = int(np.ceil(solver.best_objective_bound - 1e-6))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, None, max(bound, least)
    began = np.array([solver.value(s) for s in starts], np.intp)
    chosen = np.array(
        [next((k for k, lit in enumerate(ls) if solver.value(lit)), 0) for ls in picks], np.intp
    )
    return frozen(began), frozen(chosen), least


def _limit(model: Any, capacity: Any, users: list[tuple[Any, int]]) -> None:
    """Hold a resource to what is there in each slot; what is away is taken up by fixed blocks."""
    if not users:
        return
    top = int(capacity.max(initial=0))
    intervals, needs = [u[0] for u in users], [u[1] for u in users]
    turns = np.flatnonzero(np.diff(capacity)) + 1
    for low, high in zip([0, *turns], [*turns, len(capacity)], strict=True):
        if away := top - int(capacity[low]):
            block = model.new_fixed_size_interval_var(int(low), int(high - low), "away")
            intervals.append(block)
            needs.append(away)
    model.add_cumulative(intervals, needs, top)
