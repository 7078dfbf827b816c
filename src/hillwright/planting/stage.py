"""Stage: Layout and wishes to Planting: the quick plan, or the one that was kept beside the job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.errors import OutOfRange
from hillwright.job.site import Site
from hillwright.layout.model import Layout
from hillwright.planting.assemble import assemble
from hillwright.planting.frame import Ground, Light, make_ground
from hillwright.planting.kept import recall
from hillwright.planting.legs import table
from hillwright.planting.model import Asked, Planting, Proof
from hillwright.planting.path import grow_path, tended
from hillwright.planting.pose import Posed, prices
from hillwright.planting.quick import quick_planting
from hillwright.planting.shadecost import ShadeCost
from hillwright.planting.sun import SunTable
from hillwright.planting.worth import Problem, worth
from hillwright.terrain.model import Surface


def plant(
    layout: Layout,
    surface: Surface,
    site: Site,
    asked: Asked,
    light: Light | None = None,
    early: Callable[[Planting], None] | None = None,
) -> Planting:
    """Stage: say what grows in which cell.

    A planting that was worked out before and kept beside the job is taken as it is where nothing
    that it rests on has changed; where something has, the quick plan starts from it.

    Parameters
    ----------
    layout : Layout
        The cells.
    surface : Surface
        The ground, for the horizon.
    site : Site
        Latitude, entries, things in the sun, the person's own plants, a kept planting.
    asked : Asked
        Wishes and choices.
    light : Light, optional
        Of the same cells, where it is known already.
    early : callable, optional
        Told what grows before the shade of planned trees is looked at, where there are some.

    Raises
    ------
    OutOfRange
        A plant that nobody knows, a cell that is not there, a pin that cannot be.
    """
    ground = make_ground(layout, surface, site, asked, light)
    posed = ground.pose()
    kept = site.kept
    if kept is not None and kept.key == ground.key:
        walking, chosen, whole = recall(posed.problem, kept)
        if whole:
            found, on_path, anywhere = kept.bounds
            proof = Proof(found, on_path, anywhere, True)
            return assemble(
                ground, posed, walking, chosen, proof, ground.shaded(posed.problem, chosen), False
            )
    shade = ShadeCost(ground, posed.problem)
    walking, chosen = quick(posed.problem, shade=shade)
    if kept is not None:
        start, given, _ = recall(posed.problem, kept)
        again = quick(posed.problem, start, given, shade)
        if worth(posed.problem, *again) > worth(posed.problem, walking, chosen):
            walking, chosen = again
    if early and posed.problem.some.canopy[posed.problem.places.plant[chosen]].any():
        limit = simple_bound(posed.problem)
        proof = Proof(worth(posed.problem, walking, chosen), limit, limit, False)
        early(assemble(ground, posed, walking, chosen, proof, None, kept is not None))
    posed, chosen, sun = settle(ground, posed, walking, chosen)
    found = worth(posed.problem, walking, chosen)
    simple = simple_bound(posed.problem)
    on_path = min(simple, _path_limit(posed.problem, walking))
    proof = Proof(found, on_path, simple, False)
    return assemble(ground, posed, walking, chosen, proof, sun, kept is not None)


def quick(
    problem: Problem,
    start: Mask | None = None,
    given: Index | None = None,
    shade: ShadeCost | None = None,
) -> tuple[Mask, Index]:
    """Give a path and placements without the solver, from an earlier path where there is one."""
    closed = problem.must_open | pinned_cells(problem)
    value, cost = prices(problem), problem.weights.walking
    begin = None if start is None else start & ~closed
    path = grow_path(problem.field, value, cost, problem.must_walk, closed, begin)
    return path, quick_planting(problem, path, given, shade)


def pinned_cells(problem: Problem) -> Mask:
    """(n,) tell the cells that pinned plants take."""
    found = np.zeros(problem.field.count, bool)
    for k in problem.pinned:
        found[problem.places.of(int(k))] = True
    return found


def settle(
    ground: Ground, posed: Posed, walking: Mask, chosen: Index
) -> tuple[Posed, Index, SunTable | None]:
    """Keep the planned trees, and plant the rest again in the light that they leave."""
    shady, chosen, sun = grown_up(ground, posed, chosen)
    if sun is None:
        return posed, chosen, None
    given = carried(posed.problem, shady.problem, chosen)
    return shady, quick_planting(shady.problem, walking, given), sun


def grown_up(ground: Ground, posed: Posed, chosen: Index) -> tuple[Posed, Index, SunTable | None]:
    """Give the problem in the shade of the trees of a choice, and what of the choice is left.

    A tree that takes the sun from a pinned plant goes, the nearest to a pin first.

    Raises
    ------
    OutOfRange
        Pinned plants that take the sun from one another.
    """
    problem, places = posed.problem, posed.problem.places
    while (sun := ground.shaded(problem, chosen)) is not None:
        try:
            return only_trees(ground.pose(ground.growing_sun(sun)), posed, chosen), chosen, sun
        except OutOfRange:
            wide = problem.some.canopy[places.plant[chosen]]
            loose = np.flatnonzero(wide & ~np.isin(chosen, problem.pinned))
            if not len(loose) or not len(problem.pinned):
                raise
            to = places.centre[chosen[loose]][:, None] - places.centre[problem.pinned][None]
            nearest = np.linalg.norm(to, axis=2).min(axis=1).argmin()
            chosen = np.delete(chosen, loose[int(nearest)])
    return posed, chosen, None


def only_trees(shady: Posed, posed: Posed, chosen: Index) -> Posed:
    """Fix the canopy plants of a choice in another posing of the same problem, and allow no other.

    The other posing knows the shade of just these.
    """
    problem, places = shady.problem, shady.problem.places
    mine = carried(posed.problem, problem, chosen)
    wide = mine[problem.some.canopy[places.plant[mine]]]
    barred = problem.some.canopy[places.plant].copy()
    barred[wide] = False
    value = np.where(barred, -1e3, places.value)
    pinned = np.unique(np.concatenate([problem.pinned, wide])).astype(np.intp)
    kept = replace(problem, places=replace(places, value=value), pinned=pinned)
    return replace(shady, problem=kept)


def carried(one: Problem, other: Problem, chosen: Index) -> Index:
    """Give the placements of one problem by their numbers in another, if they are still there."""
    # one row more for plants that are not among those of the other
    there = other.places.begin(len(other.some.plants) + 1, other.field.count)
    ids = {p.id: k for k, p in enumerate(other.some.plants)}
    same = np.array([ids.get(p.id, -1) for p in one.some.plants], np.intp)
    first = one.places.cells[one.places.at[:-1][chosen]]
    found = there[same[one.places.plant[chosen]], first]
    return np.asarray(found[found >= 0])


def _path_limit(problem: Problem, walking: Mask) -> float:
    """Bound what can grow beside a path: every cell in reach with what is worth most there."""
    free = tended(problem.field, walking) & ~walking & ~problem.must_open
    return float(prices(problem)[free].sum()) - problem.weights.walking * float(walking.sum())


def simple_bound(problem: Problem) -> float:
    """Bound the worth of any planting by counting: what one more step can bring into reach.

    Whoever walks k cells tends no more than what all entries reach together and, for each step,
    what the best step brings anew; the dearest cells count first.
    """
    field = problem.field
    n = field.count
    owner = np.repeat(np.arange(n), np.diff(field.reach_at))
    held = np.sort(owner * n + field.reach)
    both = np.concatenate([field.steps, field.steps[:, ::-1]])
    reach = table(field.reach_at, field.reach, -1)[both[:, 1]]  # after a step
    pair = both[:, :1] * n + reach
    place = np.minimum(np.searchsorted(held, pair), len(held) - 1)
    new = (reach >= 0) & (held[place] != pair)
    most = int(new.sum(axis=1).max(initial=0))
    entered = [field.tended_from(int(r)) for r in field.roots]
    first = len(np.unique(np.concatenate(entered))) if entered else 0
    dear = np.append(0.0, np.cumsum(np.sort(prices(problem))[::-1]))
    k = np.arange(n + 1)
    left = np.minimum(np.minimum(n, first + most * k) - k, n - k)
    worths = dear[np.maximum(np.where(k > 0, left, 0), 0)] - problem.weights.walking * k
    return float(worths.max())
