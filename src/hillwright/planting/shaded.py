"""A planting in the shade of its own trees: where these stand, and what grows in their shade.

Trees are chosen in the sun that is there. Then they are set where their shade costs least, without
the smaller plants with a canopy too where others of the same kind have none; the rest is chosen
again exactly, in the light that is left, and the path is looked at once more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.planting.anneal import anneal
from hillwright.planting.frame import Ground
from hillwright.planting.onpath import PATH_GAP, best_plants
from hillwright.planting.pose import Posed, prices
from hillwright.planting.shadeplace import place_wide
from hillwright.planting.stage import carried, grown_up, pinned_cells
from hillwright.planting.sun import SunTable
from hillwright.planting.worth import worth

WARM = 0.25  # how hot the search of a path is that starts from a good one


@dataclass(frozen=True, slots=True, eq=False)
class Grown:
    """A planting whose trees are grown up."""

    posed: Posed  # the problem in the light that they leave
    walking: Mask
    chosen: Index
    limit: float  # no planting on this path, with these trees, is worth more
    sun: SunTable | None  # None = there are no trees
    worth: float


def in_shade(
    ground: Ground, posed: Posed, walking: Mask, chosen: Index, seed: int, moves: int
) -> Grown | None:
    """Find the best planting with the trees of a choice; None where it has none.

    Parameters
    ----------
    ground : Ground
        What it rests on.
    posed : Posed
        The problem in the sun that is there.
    walking, chosen
        A path and placements, the best in that sun.
    seed, moves : int
        For the search of a path.
    """
    problem = posed.problem
    places, some = problem.places, problem.some
    wide = chosen[some.canopy[places.plant[chosen]]]
    if not len(wide):
        return None
    trees = wide[[some.plants[p].kind == "tree" for p in places.plant[wide]]]
    trees = np.union1d(trees, np.intersect1d(wide, problem.pinned)).astype(np.intp)
    sets = [wide, place_wide(ground, problem, walking, wide)]
    if len(trees) < len(wide):
        sets.append(place_wide(ground, problem, walking, trees))
    found = [_with(ground, posed, walking, chosen, each, seed) for each in sets]
    best = max(found, key=lambda one: one.worth)
    value = prices(best.posed.problem)
    closed = problem.must_open | pinned_cells(best.posed.problem)
    other = anneal(
        problem.field, best.walking, value, problem.weights.walking, problem.must_walk, closed,
        moves, seed, WARM,
    )  # fmt: skip
    on_other = _finished(best, other, seed, whole=False)
    if on_other.worth > best.worth + 1e-9:
        best = on_other
    near = best.limit - best.worth <= PATH_GAP * abs(best.worth)
    return best if near else _finished(best, best.walking, seed, whole=True)


def _with(
    ground: Ground, posed: Posed, walking: Mask, chosen: Index, wide: Index, seed: int
) -> Grown:
    """Choose the rest in the shade of some wide plants."""
    shady, wide, sun = grown_up(ground, posed, wide)
    low = chosen[~posed.problem.some.canopy[posed.problem.places.plant[chosen]]]
    given = carried(posed.problem, shady.problem, np.concatenate([wide, low]))
    kept, limit = best_plants(shady.problem, walking, None, seed, given, whole=False)
    return Grown(shady, walking, kept, limit, sun, worth(shady.problem, walking, kept))


def _finished(one: Grown, walking: Mask, seed: int, whole: bool) -> Grown:
    """Choose the best plants again on a path, from those that are known."""
    problem = one.posed.problem
    same = bool((walking == one.walking).all())
    start: Index | None = one.chosen if same else None
    kept, limit = best_plants(problem, walking, start, seed, one.chosen, whole=whole)
    return Grown(one.posed, walking, kept, limit, one.sun, worth(problem, walking, kept))
