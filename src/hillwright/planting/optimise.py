"""The planting made better and proven: the best plants on a path, a better path, and a bound."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.job.site import Site
from hillwright.layout.model import Layout
from hillwright.planting.anneal import anneal
from hillwright.planting.assemble import assemble
from hillwright.planting.bound import joint_bound
from hillwright.planting.dive import dive
from hillwright.planting.frame import make_ground
from hillwright.planting.kept import recall
from hillwright.planting.model import Asked, Planting, Proof
from hillwright.planting.path import path_worth
from hillwright.planting.pose import prices
from hillwright.planting.program import path_program
from hillwright.planting.solver import solve
from hillwright.planting.stage import carried, only_trees, pinned_cells, quick, settle
from hillwright.planting.worth import Problem, worth
from hillwright.terrain.model import Surface

PATH_GAP = 0.005  # plants on the path are proven to within this share
SMALL_GAP = 0.0045  # the solver's own, of a sum that has no walking in it
FEW = 1500  # placements up to which the solver is quick enough by itself
NODES, GUARD = 400, 3600.0  # what ends a proof is counted in nodes; time is a guard only [s]
MOVES, RUNS = 1_000_000, 4  # changes of the path that are tried, from so many seeds
FRESH, WARM = 0.45, 0.25  # how hot the first search of a path is, and one from a good path
Tell = Callable[[str, float], None]  # what is being done, and the share done


def optimise(
    layout: Layout, surface: Surface, site: Site, asked: Asked, tell: Tell | None = None,
    moves: int = MOVES, rounds: int | None = None,
) -> Planting:  # fmt: skip
    """Find a good planting and prove how good it is.

    The plants on a path are found exactly; paths are searched from several seeds; a bound holds
    for all paths. It starts from the planting that is kept beside the job, where there is one.

    Parameters
    ----------
    layout, surface, site, asked
        As for the stage.
    tell : callable, optional
        Told what is being done, and the share done.
    moves : int
        Changes of the path that are tried in each search.
    rounds : int, optional
        Of cuts for the bound; as many as usual when left out.

    Raises
    ------
    OutOfRange
        As the stage.
    """
    said = tell or (lambda what, share: None)
    said("a first planting", 0.0)
    ground = make_ground(layout, surface, site, asked)
    posed = ground.pose()
    problem = posed.problem
    walking, chosen = quick(problem)
    warm = False
    if site.kept is not None:
        start, given, _ = recall(problem, site.kept)
        again = quick(problem, start, given)
        warm = worth(problem, *again) >= worth(problem, walking, chosen)
        if warm:
            walking, chosen = again
    first = (walking, chosen)
    limit = float("inf")
    if warm:
        said("the best plants on the path that was kept", 0.05)
        chosen, limit = best_plants(problem, walking, chosen, asked.seed)
    best = worth(problem, walking, chosen)
    for path, share in _paths(problem, walking, asked.seed, moves, warm, said):
        said("the best plants on a better path", share)
        found, bound = best_plants(problem, path, None, asked.seed)
        value = worth(problem, path, found)
        if value > best + 1e-9:
            best, walking, chosen, limit = value, path, found, bound
    if limit == float("inf"):  # the first path is still the best
        chosen, limit = best_plants(problem, walking, chosen, asked.seed)
    sun = ground.shaded(problem, chosen)
    final, kept = posed, chosen
    if sun is not None:
        said("the rest in the shade of the trees", 0.6)
        final = only_trees(ground.pose(ground.growing_sun(sun)), posed, chosen)
        given = carried(problem, final.problem, chosen)
        kept, limit = best_plants(final.problem, walking, None, asked.seed, given)
    # what was there already stays, where the shade of other trees has made the new one worse
    before, old, other = settle(ground, posed, *first)
    if worth(before.problem, first[0], old) > worth(final.problem, walking, kept) + 1e-9:
        final, walking, kept, sun = before, first[0], old, other
        kept, limit = best_plants(before.problem, walking, old, asked.seed)
    said("a bound for all paths", 0.62)

    def heard(share: float, _: float) -> bool:
        said("a bound for all paths", 0.62 + 0.37 * share)
        return False

    more = {} if rounds is None else {"rounds": rounds}
    bound = joint_bound(problem, walking, tell=heard, **more)
    found_worth = worth(final.problem, walking, kept)
    proof = Proof(found_worth, max(limit, found_worth), max(min(bound, 1e12), found_worth), True)
    said("done", 1.0)
    return assemble(ground, final, walking, kept, proof, sun, False)


def best_plants(
    problem: Problem, walking: Mask, chosen: Index | None, seed: int, given: Index | None = None
) -> tuple[Index, float]:
    """Find the best plants on one path, and what none on it can be worth more than."""
    from hillwright.planting.quick import quick_planting

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
        if bound - value <= PATH_GAP * abs(value):
            return start, bound
        program, at = path_program(problem, walking, start)
    found = solve(program, gap=SMALL_GAP, seconds=GUARD, nodes=NODES, seed=seed)
    if found.x is None:
        return start, bound
    picked = at.keep[np.flatnonzero(found.x[: len(at.keep)] > 0.5)]
    return picked, min(bound, found.bound - walked)


def _paths(
    problem: Problem, walking: Mask, seed: int, moves: int, warm: bool, said: Tell
) -> list[tuple[Mask, float]]:
    """Search for better paths from several seeds; give the best by what they could bring."""
    closed = problem.must_open | pinned_cells(problem)
    value, cost = prices(problem), problem.weights.walking
    found: list[Mask] = []
    for run in range(RUNS):
        share = 0.1 + 0.4 * run / RUNS

        def heard(part: float, share: float = share) -> bool:
            said("a better path", share + 0.4 * part / RUNS)
            return False

        hot = WARM if warm or run == RUNS - 1 else FRESH
        start = (
            max([walking, *found], key=lambda p: path_worth(problem.field, p, value, cost))
            if run == RUNS - 1
            else walking
        )
        found.append(
            anneal(
                problem.field, start, value, cost, problem.must_walk, closed, moves,
                seed * 1000 + run, hot, heard,
            )
        )  # fmt: skip
    found.sort(key=lambda p: -path_worth(problem.field, p, value, cost))
    return [(found[0], 0.5)]
