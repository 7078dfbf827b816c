"""What was wished for and could not be had, each with its reason."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.frame import Ground
from hillwright.planting.model import Asked, Unmet, Wish
from hillwright.planting.path import tended
from hillwright.planting.pose import Posed
from hillwright.planting.suit import barred, enough_sun
from hillwright.planting.worth import Problem, wishes_by_plant

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August",
          "September", "October", "November", "December")  # fmt: skip
OFF = 0.03  # of the planted cells: a share that is missed by less is met


def unmet_wishes(
    ground: Ground, posed: Posed, walking: Mask, chosen: Index, season: Array
) -> tuple[Unmet, ...]:
    """List the wishes that fall short or go over, months without bloom, and plants ruled out."""
    problem = posed.problem
    found = list(posed.unmet)
    told = {u.plant for u in found}
    found += [
        Unmet(wish.plant, said, wish.must, wish.plant)
        for wish in posed.asked.wishes
        if wish.plant not in told and (said := _of_wish(problem, wish, walking, chosen))
    ]
    found += _named(ground, posed, chosen, season, told)
    found += _months(problem, posed.asked, chosen)
    return tuple(found)


def _named(
    ground: Ground, posed: Posed, chosen: Index, season: Array, told: set[str]
) -> list[Unmet]:
    """Say why plants to choose from find no place: each that cannot, and those outweighed."""
    problem, asked = posed.problem, posed.asked
    places, some = problem.places, problem.some
    wished = {w.plant for w in asked.wishes}
    found, outweighed = [], []
    for p, plant in enumerate(some.plants):
        if plant.id not in asked.plants or plant.id in told | wished or p in places.plant[chosen]:
            continue
        if p in places.plant:
            outweighed.append(plant.common)
            continue
        why = barred(plant, asked.hardiness, float(ground.soil.max(initial=0.0)), season)
        why = why or _no_place(problem, np.arange(len(some.plants)) == p)
        found.append(Unmet(plant.common, why, plant=plant.id))
    if outweighed:
        why = "they could grow here, and others count more: wish for those that are to be there"
        found.append(Unmet(", ".join(outweighed), why))
    return found


def _of_wish(problem: Problem, wish: Wish, walking: Mask, chosen: Index) -> str:
    some, places = problem.some, problem.places
    mine = wishes_by_plant(some, wish)
    on = mine[places.plant[chosen]]
    if wish.count is not None:
        have = int(some.count[places.plant[chosen]][on].sum())
        unit = max(int(some.count[mine].max(initial=1)), 1)
        if have <= wish.count - unit or (have < wish.count and unit == 1):
            return f"{wish.count} wanted, {have} placed: {_why(problem, mine, walking)}"
        if have >= wish.count + unit:
            return f"{wish.count} wanted, {have} placed: the cells had nothing better to hold"
    if wish.share is not None:
        size = places.size[chosen]
        share = float(size[on].sum()) / max(float(size.sum()), 1.0)
        said = f"{100 * wish.share:.0f} % of the planted cells wanted, {100 * share:.0f} % got"
        if share < wish.share - OFF:
            return f"{said}: {_why(problem, mine, walking)}"
        if share > wish.share + OFF:
            return f"{said}: the cells had nothing better to hold"
    return ""


def _why(problem: Problem, mine: Mask, walking: Mask) -> str:
    """Say why no more of some plants was placed, and what would fit."""
    places, some, field = problem.places, problem.some, problem.field
    if not mine.any():
        return "no such plant suits the place"
    there = mine[places.plant]
    if not there.any():
        return _no_place(problem, mine)
    free = tended(field, walking) & ~walking
    cells = np.unique(places.cells[np.repeat(there, places.size)])
    reach = int(free[cells].sum())
    if some.canopy[np.flatnonzero(mine)].all():
        fit = _most_apart(problem, np.flatnonzero(there))
        return f"about {fit} would fit with their spread kept apart; the other wishes count more"
    return (
        f"{reach} cells within reach have the sun and soil for it; the other wishes, and rows of "
        "one thirst, count more (raise its weight, or write must = true)"
    )


def _no_place(problem: Problem, mine: Mask) -> str:
    """Say why there is no way at all to place some plants that the site bars nowhere else."""
    some = problem.some
    sizes = {(int(a), int(d)) for a, d in zip(some.across[mine], some.down[mine], strict=True)}
    a, d = min(sizes)
    sunny = np.any(
        [enough_sun(some.plants[p], problem.season) for p in np.flatnonzero(mine)], axis=0
    )
    if not sunny.any():
        return "no cell has the sun that it wants"
    return f"it takes {a} by {d} whole cells with the sun and soil that it wants: there are none"


def _most_apart(problem: Problem, some: Index) -> int:
    """Count how many fit side by side with their spread kept, taken one after the other."""
    places, width = problem.places, problem.some.width[problem.places.plant]
    count = 0
    free = np.ones(problem.field.count + 1, bool)
    cells = places.table(some)
    while len(some):
        k, count = some[0], count + 1
        free[cells[0]] = False
        free[-1] = True  # stands for "no cell"
        gap = np.linalg.norm(places.centre[some, :2] - places.centre[k, :2], axis=1)
        left = (gap >= (width[some] + width[k]) / 2 - 1e-6) & free[cells].all(axis=1)
        some, cells = some[left], cells[left]
    return count


def _months(problem: Problem, asked: Asked, chosen: Index) -> list[Unmet]:
    found = []
    kinds = (
        ("bloom", "in bloom", asked.bloom and asked.weights.bloom > 0, problem.some.bloom),
        ("harvest", "to pick", asked.harvest and asked.weights.harvest > 0, problem.some.harvest),
    )
    reason = "no plant that suits the place has it then"
    if asked.plants:
        reason = "no plant of planting.plants that suits the place has it then"
    for name, said, wanted, months in kinds:
        never = [MONTHS[m] for m in np.flatnonzero(~months.any(axis=0))]
        if wanted and len(never):
            gap = f"nothing {said} in {', '.join(never)}"
            found.append(Unmet(name, f"{gap}: {reason}"))
        empty = [
            MONTHS[t.month]
            for t in problem.terms
            if t.name == name and not t.amount[problem.places.plant[chosen]].any()
        ]
        if empty:
            gap = f"nothing {said} in {', '.join(empty)}"
            found.append(
                Unmet(
                    name,
                    f"{gap}: what has it then would cost more than it brings",
                )
            )
    return found
