"""What a planting is worth: one sum for the quick plan, the solver and the proof."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.field import Field
from hillwright.planting.model import Asked, Weights, Wish
from hillwright.planting.palette import Candidates, sun_range
from hillwright.planting.suit import Placements

SHARE = 0.25  # what a cell of a share counts against a plant of a count
EVEN = 1.6  # what one plant may have of a kind's share, over an even part of it
PLANTED = 0.75  # of all cells, as a first guess
IN_BLOOM, IN_HARVEST = 0.03, 0.02  # of all cells, for a month to count as in bloom, in harvest


@dataclass(frozen=True, slots=True, eq=False)
class Term:
    """One sum over what is planted that is held against a target, at a price."""

    name: str
    amount: Array  # (p,) of one planting of each plant
    target: float
    under: float  # price of each unit short
    over: float  # price of each unit too many; 0 = free
    wish: int  # index of the wish, -1 = bloom or harvest
    month: int = -1  # of bloom or harvest


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Everything that the solver and the quick plan need to know."""

    field: Field
    some: Candidates
    places: Placements
    terms: tuple[Term, ...]
    limits: tuple[tuple[Array, float], ...]  # amounts (p,) whose sum is at most a number
    weights: Weights
    zones: int  # stretches of one thirst, at most, in each unbroken row
    must_walk: Mask  # (n,)
    must_open: Mask  # (n,) nobody walks or plants there
    pinned: Index  # placements that must be
    season: Array  # (n,) sun in the growing months [s]


def wishes_by_plant(some: Candidates, wish: Wish) -> Mask:
    """(p,) tell the plants that a wish means."""
    return np.array([wish.plant in p.tags() for p in some.plants], bool)


def closeness(field: Field, near: str) -> Array:
    """(n,) how near each cell is to where a wish wants it, 1 to 0."""
    if near == "edge":
        return field.edge.astype(float)
    if near in ("top", "foot"):
        rows = max(int(field.row.max(initial=1)), 1)
        share = (field.row - 1) / max(rows - 1, 1)
        return np.asarray(share if near == "foot" else 1 - share)
    gap = np.linalg.norm(field.centre[:, None] - field.centre[field.roots][None], axis=2)
    nearest = gap.min(axis=1) if gap.size else np.zeros(field.count)
    return np.asarray(1 - nearest / max(float(nearest.max(initial=0.0)), 1e-9))


def valued(
    field: Field, some: Candidates, places: Placements, asked: Asked, season: Array
) -> Placements:
    """Give each placement its own worth: cells planted, sun, place."""
    w = asked.weights
    n, plants = field.count, len(some.plants)
    cell = np.full((plants, n), w.planted)
    for p, plant in enumerate(some.plants):
        least, most = sun_range(plant.sun)
        middle, half = (least + min(most, 43200.0)) / 2, max((min(most, 43200.0) - least) / 2, 1.0)
        cell[p] += w.sun * np.clip(1 - np.abs(season - middle) / (2 * half), 0.0, 1.0)
        if plant.evergreen and "slope" in plant.uses:
            cell[p] += w.edge * field.edge
    for wish in asked.wishes:
        if wish.near:
            bonus = w.near * wish.weight * closeness(field, wish.near)
            cell[wishes_by_plant(some, wish)] += bonus
    each = cell[np.repeat(places.plant, places.size), places.cells]
    total = np.add.reduceat(each, places.at[:-1]) if len(places.plant) else np.empty(0)
    return replace(places, value=total)


def terms_of(
    field: Field, some: Candidates, asked: Asked
) -> tuple[tuple[Term, ...], tuple[tuple[Array, float], ...]]:
    """Turn wishes, bloom and harvest into sums with prices, and limits."""
    w, size, count = asked.weights, (some.across * some.down).astype(float), some.count
    terms: list[Term] = []
    limits: list[tuple[Array, float]] = []
    for k, wish in enumerate(asked.wishes):
        mine = wishes_by_plant(some, wish)
        on = mine.astype(float)
        price = w.wish * wish.weight
        short = w.must * wish.weight if wish.must else price
        if wish.count is not None:
            unit = max(int(some.count[mine].max(initial=1)), 1)  # plants that one cell may hold
            terms.append(
                Term(wish.plant, on * count, float(wish.count), short / unit, price / unit, k)
            )
        if wish.share is not None:
            amount = on * size - wish.share * size
            terms.append(Term(wish.plant, amount, 0.0, SHARE * short, SHARE * price, k))
        if wish.at_most is not None:
            limits.append((on * count, float(wish.at_most)))
    terms += _mixed(some, asked, field.count)
    kinds = (
        (asked.bloom, "bloom", some.bloom, IN_BLOOM, w.bloom),
        (asked.harvest, "harvest", some.harvest, IN_HARVEST, w.harvest),
    )
    for wanted, name, months, share, price in kinds:
        least = max(1.0, float(round(share * field.count)))
        for month in range(12):
            amount = months[:, month] * size
            if wanted and price > 0 and months[:, month].any():  # the same in shade as without
                terms.append(Term(name, amount, least, price / least, 0.0, -1, month))
    return tuple(terms), tuple(limits)


def _mixed(some: Candidates, asked: Asked, cells: int) -> list[Term]:
    """Keep any one plant of a kind from filling the share of all of them."""
    found: dict[int, Term] = {}
    for wish in asked.wishes:
        mine = np.flatnonzero(wishes_by_plant(some, wish))
        if wish.share is None or len(mine) < 2 or asked.weights.mixed <= 0:
            continue
        most = max(1.0, EVEN * wish.share * PLANTED * cells / len(mine))
        for p in mine:
            amount = np.where(np.arange(len(some.plants)) == p, some.across * some.down, 0.0)
            found.setdefault(int(p), Term("mixed", amount, most, 0.0, asked.weights.mixed, -1))
    return list(found.values())


def changes(field: Field, problem: Problem, plant_of: Index) -> int:
    """Count the changes of thirst along rows, over cells with no plant between."""
    return len(change_places(field, problem.some, plant_of))


def change_places(field: Field, some: Candidates, plant_of: Index) -> list[int]:
    """List the stretches in which thirst changes, once for each change."""
    found = []
    planted = np.flatnonzero(plant_of >= 0)
    order = planted[np.lexsort((field.number[planted], field.stretch[planted]))]
    water = some.water[plant_of[order]]
    for a, b, wa, wb in zip(order[:-1], order[1:], water[:-1], water[1:], strict=True):
        if field.stretch[a] == field.stretch[b] and wa != wb:
            found.append(int(field.stretch[a]))
    return found


def worth(problem: Problem, walking: Mask, chosen: Sequence[int] | Index) -> float:
    """Give what walking cells and placements are worth together."""
    picked = np.asarray(chosen, np.intp)
    total = float(problem.places.value[picked].sum())
    total -= problem.weights.walking * float(walking.sum())
    for term in problem.terms:
        off = float(term.amount[problem.places.plant[picked]].sum()) - term.target
        total -= term.under * max(-off, 0.0) + term.over * max(off, 0.0)
    plant_of = plants_by_cell(problem, picked)
    return total - problem.weights.zone * changes(problem.field, problem, plant_of)


def plants_by_cell(problem: Problem, chosen: Index) -> Index:
    """(n,) the plant in each cell, -1 = none."""
    found = np.full(problem.field.count, -1)
    for k in chosen:
        found[problem.places.of(int(k))] = problem.places.plant[k]
    return found.astype(np.intp)
