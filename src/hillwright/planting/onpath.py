"""The best plants beside one path, and the bound that says how near the best they are."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.planting.dive import dive
from hillwright.planting.program import path_program
from hillwright.planting.quick import quick_planting
from hillwright.planting.solver import solve
from hillwright.planting.worth import Problem, worth

PATH_GAP = 0.005  # plants on the path are proven to within this share
SMALL_GAP = 0.0045  # the solver's own, of a sum that has no walking in it
FEW = 1500  # placements up to which the solver is quick enough by itself
NODES, GUARD = 400, 3600.0  # what ends a proof is counted in nodes; time is a guard only [s]


def best_plants(
    problem: Problem, walking: Mask, chosen: Index | None, seed: int, given: Index | None = None,
    whole: bool = True,
) -> tuple[Index, float]:  # fmt: skip
    """Find the best plants on one path, and what none on it can be worth more than.

    Parameters
    ----------
    problem, walking
        What may grow where, and the path.
    chosen, given : (k,) array, optional
        A known planting, or placements to begin one with.
    seed : int
        Of the solver.
    whole : bool
        Hand the program over as a whole where a dive has not come within ``PATH_GAP``.
    """
    if chosen is None:
        chosen = quick_planting(problem, walking, given)
    walked = problem.weights.walking * float(walking.sum())
    program, at = path_program(problem, walking, chosen)
    if not len(at.keep):
        return np.empty(0, np.intp), worth(problem, walking, np.empty(0, np.intp))
    start, bound = chosen, float("inf")
    if len(at.keep) > FEW:
        size = np.full(at.columns, 0.5)  # thirst along rows comes last
        size[: len(at.keep)] = problem.places.size[at.keep]
        known = worth(problem, walking, chosen)
        quick_found = dive(program, size, PATH_GAP * abs(known), seed)
        bound = quick_found.bound - walked
        if quick_found.x is not None:
            dived = at.keep[np.flatnonzero(quick_found.x[: len(at.keep)] > 0.5)]
            start = max((chosen, dived), key=lambda some: worth(problem, walking, some))
        value = worth(problem, walking, start)
        if not whole or bound - value <= PATH_GAP * abs(value):
            return start, bound
        program, at = path_program(problem, walking, start)
    found = solve(program, gap=SMALL_GAP, seconds=GUARD, nodes=NODES, seed=seed)
    if found.x is None:
        return start, bound
    picked = at.keep[np.flatnonzero(found.x[: len(at.keep)] > 0.5)]
    return picked, min(bound, found.bound - walked)
