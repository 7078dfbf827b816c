"""The planting made better and proven: the best plants on a path, a better path, and a bound."""

from __future__ import annotations

from collections.abc import Callable

from hillwright.arrays import Mask
from hillwright.job.site import Site
from hillwright.layout.model import Layout
from hillwright.planting.anneal import anneal
from hillwright.planting.assemble import assemble
from hillwright.planting.bound import joint_bound
from hillwright.planting.frame import make_ground
from hillwright.planting.kept import recall
from hillwright.planting.model import Asked, Planting, Proof
from hillwright.planting.onpath import best_plants
from hillwright.planting.path import path_worth
from hillwright.planting.pose import prices
from hillwright.planting.shadecost import ShadeCost
from hillwright.planting.shaded import WARM, in_shade
from hillwright.planting.stage import pinned_cells, quick, settle
from hillwright.planting.worth import Problem, worth
from hillwright.terrain.model import Surface

MOVES, RUNS = 1_000_000, 4  # changes of the path that are tried, from so many seeds
FRESH = 0.45  # how hot the first search of a path is
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
    shade = ShadeCost(ground, problem)
    walking, chosen = quick(problem, shade=shade)
    warm = False
    if site.kept is not None:
        start, given, _ = recall(problem, site.kept)
        again = quick(problem, start, given, shade)
        warm = worth(problem, *again) >= worth(problem, walking, chosen)
        if warm:
            walking, chosen = again
    first = (walking, chosen)
    bare = not problem.some.canopy.any()  # else the plants are chosen once more, in the shade
    limit = float("inf")
    if warm:
        said("the best plants on the path that was kept", 0.05)
        chosen, limit = best_plants(problem, walking, chosen, asked.seed, whole=bare)
    best = worth(problem, walking, chosen)
    for path, share in _paths(problem, walking, asked.seed, moves, warm, said):
        said("the best plants on a better path", share)
        found, bound = best_plants(problem, path, None, asked.seed, whole=bare)
        value = worth(problem, path, found)
        if value > best + 1e-9:
            best, walking, chosen, limit = value, path, found, bound
    if limit == float("inf"):  # the first path is still the best
        chosen, limit = best_plants(problem, walking, chosen, asked.seed)
    final, kept, sun = posed, chosen, None
    said("trees where their shade costs least, and the rest in it", 0.55)
    grown = in_shade(ground, posed, walking, chosen, asked.seed, moves // 2)
    if grown is None and not bare:
        kept, limit = best_plants(problem, walking, chosen, asked.seed)
    elif grown is not None:
        final, walking, kept, limit, sun = (
            grown.posed, grown.walking, grown.chosen, grown.limit, grown.sun
        )  # fmt: skip
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
    # what wants shade may grow under trees that this planting does not have
    loose = problem if bare else ground.pose(shady=True).problem
    bound = joint_bound(loose, walking, tell=heard, **more)
    found_worth = worth(final.problem, walking, kept)
    proof = Proof(found_worth, max(limit, found_worth), max(min(bound, 1e12), found_worth), True)
    said("done", 1.0)
    return assemble(ground, final, walking, kept, proof, sun, False)


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
