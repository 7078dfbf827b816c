"""The rules that every planting keeps, looked at once more when it is done.

Written apart from the programs that the solver is given: from cells, neighbours and angles alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

import numpy as np

from hillwright.planting.field import Field
from hillwright.planting.model import OPEN, PLANTED, USE_WORDS, WALKING, Asked, Planting
from hillwright.planting.palette import sun_range, water_class


def broken_rules(planting: Planting, field: Field, asked: Asked) -> tuple[str, ...]:
    """Name every rule that a planting breaks, and where; none is what is wanted."""
    return (
        *_cells(planting, field),
        *_walks(planting, field),
        *_sun(planting, field),
        *_spread(planting),
        *_thirst(planting, field, asked),
        *_by_hand(planting, field, asked),
        *_limits(planting, asked),
    )


def _cells(planting: Planting, field: Field) -> Iterator[str]:
    taken = np.zeros(field.count, int)
    for group in planting.groups:
        taken[group.cells] += 1
        if (planting.plant[group.cells] != group.plant).any():
            yield f"{field.name(int(group.cells[0]))} holds another plant than its group"
    for i in np.flatnonzero(taken > 1):
        yield f"{field.name(int(i))} holds two plants"
    for i in np.flatnonzero((taken > 0) != (planting.use == PLANTED)):
        yield f"{field.name(int(i))} is planted by one account and not by the other"


def _walks(planting: Planting, field: Field) -> Iterator[str]:
    walking = planting.use == WALKING
    near: dict[int, list[int]] = {}
    for a, b in field.steps.tolist():
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    seen = {int(r) for r in field.roots if walking[r]}
    todo = list(seen)
    while todo:
        for j in near.get(todo.pop(), []):
            if walking[j] and j not in seen:
                seen.add(j)
                todo.append(j)
    for i in np.flatnonzero(walking):
        if int(i) not in seen:
            yield f"{field.name(int(i))} is walked and cannot be walked to"
    tended = np.zeros(field.count, bool)
    for i in np.flatnonzero(walking):
        tended[field.tended_from(int(i))] = True
    for i in np.flatnonzero((planting.use == PLANTED) & ~tended):
        yield f"{field.name(int(i))} is planted and out of reach"


def _sun(planting: Planting, field: Field) -> Iterator[str]:
    for group in planting.groups:
        plant = planting.plants[group.plant]
        if plant.canopy:
            continue  # its crown rises above the shade that others cast on the soil
        least, most = sun_range(plant.sun)
        for i in group.cells:
            if not least - 60 <= planting.season[i] <= most + 60:
                yield f"{field.name(int(i))} has not the sun for {plant.id}"


def _spread(planting: Planting) -> Iterator[str]:
    wide = [g for g in planting.groups if planting.plants[g.plant].canopy]
    for a, b in combinations(wide, 2):
        one, two = planting.plants[a.plant], planting.plants[b.plant]
        if np.hypot(*(a.centre - b.centre)[:2]) < (one.width + two.width) / 2 - 1e-5:
            yield f"{one.id} and {two.id} stand closer than their spread"


def _thirst(planting: Planting, field: Field, asked: Asked) -> Iterator[str]:
    for name in np.unique(field.stretch):
        row = sorted(np.flatnonzero(field.stretch == name), key=lambda i: field.number[i])
        wants = [
            water_class(planting.plants[planting.plant[i]].factor)
            for i in row
            if planting.use[i] == PLANTED
        ]
        if sum(a != b for a, b in pairwise(wants)) > asked.zones_per_row - 1:
            yield f"row {field.row[row[0]]} changes its thirst too often"


def _by_hand(planting: Planting, field: Field, asked: Asked) -> Iterator[str]:
    at = {(int(r), int(n)): i for i, (r, n) in enumerate(zip(field.row, field.number, strict=True))}
    for cell in asked.open:
        if planting.use[at[cell]] != OPEN:
            yield f"R{cell[0]}-{cell[1]} was to stay open"
    for cell in asked.bare:
        if planting.use[at[cell]] != OPEN:
            yield f"R{cell[0]}-{cell[1]} has no soil and is {USE_WORDS[planting.use[at[cell]]]}"
    for cell in asked.walk:
        if planting.use[at[cell]] != WALKING:
            yield f"R{cell[0]}-{cell[1]} was to be walked"
    for row, number, plant in asked.pins:
        i = planting.plant[at[row, number]]
        if i < 0 or planting.plants[i].id != plant:
            yield f"R{row}-{number} was to hold {plant}"
    for group in planting.groups:
        grown = planting.plants[group.plant]
        if grown.tags() & set(asked.avoid):
            yield f"{grown.id} was to be avoided"


def _limits(planting: Planting, asked: Asked) -> Iterator[str]:
    for group in planting.groups if asked.hardiness else ():
        plant, zone = planting.plants[group.plant], int(asked.hardiness.strip("ab"))
        if plant.zones and not plant.annual and not plant.zones[0] <= zone <= plant.zones[1]:
            yield f"{plant.id} is not hardy in zone {asked.hardiness}"
    for wish in asked.wishes:
        if wish.at_most is None:
            continue
        have = sum(
            g.plants for g in planting.groups if wish.plant in planting.plants[g.plant].tags()
        )
        if have > wish.at_most:
            yield f"{have} of {wish.plant}, and {wish.at_most} at most were wanted"
