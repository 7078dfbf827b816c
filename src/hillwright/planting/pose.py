"""From what is asked to the problem to solve: season, sun, palette, placements, prices."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.errors import Problem as Wrong
from hillwright.planting.agree import contradictions
from hillwright.planting.field import Field
from hillwright.planting.model import Asked, Unmet
from hillwright.planting.palette import Candidates, Plant, candidates
from hillwright.planting.pick import check_names, choose_from, mixed_garden
from hillwright.planting.season import Season, bloom_months, harvest_months
from hillwright.planting.suit import Placements, placements
from hillwright.planting.worth import Problem, terms_of, valued


@dataclass(frozen=True, slots=True, eq=False)
class Posed:
    """A problem, and what was settled on the way to it."""

    problem: Problem
    asked: Asked  # with the wishes that are worked with
    unmet: tuple[Unmet, ...]
    own_wishes: bool  # the job has wishes; else they are those of a mixed garden


_USES = {"planting.walk": "walked", "pin": "planted"}


def cell_index(field: Field, row: int, number: int) -> int | None:
    """Give a cell by its row and number; None where there is none."""
    found = np.flatnonzero((field.row == row) & (field.number == number))
    return int(found[0]) if len(found) else None


def check_cells(field: Field, asked: Asked) -> None:
    """Refuse cells that are named and not there: all of them together.

    Raises
    ------
    OutOfRange
        Each with where it stands, and what cells there are.
    """
    named = [(f"planting.walk[{i}]", cell) for i, cell in enumerate(asked.walk, 1)]
    named += [(f"planting.open[{i}]", cell) for i, cell in enumerate(asked.open, 1)]
    named += [(f"pin[{i}].cell", (r, n)) for i, (r, n, _) in enumerate(asked.pins, 1)]
    problems: list[Wrong] = []
    for where, (row, number) in named:
        if cell_index(field, row, number) is not None:
            continue
        mine = field.number[field.row == row]
        if len(mine):
            right = f"row {row} has the cells R{row}-1 to R{row}-{int(mine.max())}"
        else:
            right = f"there are the rows 1 to {int(field.row.max(initial=0))}"
        problems.append(Wrong(where, f"there is no cell R{row}-{number}", right))
    problems += [
        Wrong(
            where,
            f"R{cell[0]}-{cell[1]} is to be {use}, and fill.empty leaves it without soil",
            "take it out of one of the two",
        )
        for where, cell in named
        if cell in asked.bare and (use := _USES.get(where.partition("[")[0]))
    ]
    if problems:
        raise OutOfRange.all(problems)


def pose(
    field: Field, asked: Asked, palette: tuple[Plant, ...], season: Season, sun: Array,
    soil: Array, shape: tuple[float, float], shaded: Array | None = None, shady: bool = False,
) -> Posed:  # fmt: skip
    """Set up what is to be solved.

    Parameters
    ----------
    field : Field
        The n cells.
    asked : Asked
        What the person asks.
    palette : tuple of Plant
        All plants that are known.
    season : Season
        Frost dates and hemisphere.
    sun : (n,) array
        Direct light in a mean day of the growing months [s].
    soil : (n,) array
        Depth that roots can use [m].
    shape : tuple of float
        Width and run of a cell [m].
    shaded : (n,) array, optional
        The same light where planned trees stand in it [s].
    shady : bool
        Let what wants shade stand in any cell, as if planned trees could shade all of them: what
        is worth most then bounds what can grow in the shade of any trees.

    Raises
    ------
    OutOfRange
        A plant that nobody knows, a cell that is not there, a pin that cannot be, wishes that
        contradict one another.
    """
    _checked(field, asked, palette)
    own = bool(asked.wishes or asked.plants)
    if not own:
        garden = mixed_garden(field.count)
        asked = replace(asked, wishes=tuple(w for w in garden if w.plant not in asked.avoid))
    plants, unmet = choose_from(palette, asked, season, sun, float(soil.max(initial=0.0)))
    some = candidates(
        plants,
        *shape,
        {p.id: bloom_months(p, season) for p in plants},
        {p.id: harvest_months(p, season) for p in plants},
    )
    walk, open_ = _marked(field, asked.walk), _marked(field, (*asked.open, *asked.bare))
    low = sun if shaded is None else shaded
    places = placements(field, some, sun, low, soil, asked.hardiness, walk | open_, shady)
    places = valued(field, some, places, asked, sun)
    pinned = _pins(field, some, places, asked, {u.plant: u.why for u in unmet})
    terms, limits = terms_of(field, some, asked)
    weights = asked.weights
    problem = Problem(
        field, some, places, terms, limits, weights, asked.zones_per_row, walk, open_, pinned, sun
    )
    return Posed(problem, asked, unmet, own)


def _checked(field: Field, asked: Asked, palette: tuple[Plant, ...]) -> None:
    """Refuse names and cells that are not there, all of them together."""
    problems: list[Wrong] = []
    try:
        check_names(palette, asked)
        problems += contradictions(palette, asked.wishes)
    except OutOfRange as error:
        problems += error.problems
    try:
        check_cells(field, asked)
    except OutOfRange as error:
        problems += error.problems
    if problems:
        raise OutOfRange.all(problems)


def _marked(field: Field, cells: tuple[tuple[int, int], ...]) -> Mask:
    found = np.zeros(field.count, bool)
    for row, number in cells:
        found[cell_index(field, row, number)] = True
    return found


def _pins(
    field: Field, some: Candidates, places: Placements, asked: Asked, why: dict[str, str]
) -> Index:
    """Give the placements that are set by hand.

    Raises
    ------
    OutOfRange
        A plant that cannot grow there, with the reason; two that want one cell.
    """
    ids = [p.id for p in some.plants]
    chosen: list[int] = []
    problems: list[Wrong] = []
    taken: dict[int, int] = {}
    for i, (row, number, name) in enumerate(asked.pins, 1):
        where, cell = f"pin[{i}]", cell_index(field, row, number)
        there = f'"{name}" cannot grow in R{row}-{number}'
        if name not in ids:
            reason = why.get(name, "it does not suit the place")
            problems.append(Wrong(where, f"{there}: {reason}", "pin another plant"))
            continue
        p = ids.index(name)
        mine = np.flatnonzero((places.plant == p) & (places.cells[places.at[:-1]] == cell))
        if not len(mine):
            problems.append(Wrong(where, *_no_room(some, p, there)))
            continue
        cells = places.of(int(mine[0])).tolist()
        if other := next((taken[c] for c in cells if c in taken), 0):
            what = f'"{name}" takes a cell that pin {other} takes too'
            problems.append(Wrong(where, what, "set one of them elsewhere"))
            continue
        taken |= dict.fromkeys(cells, i)
        chosen.append(int(mine[0]))
    if problems:
        raise OutOfRange.all(problems)
    return np.array(chosen, np.intp)


def _no_room(some: Candidates, p: int, there: str) -> tuple[str, str]:
    across, down = int(some.across[p]), int(some.down[p])
    if across * down > 1:
        what = f"{there}: it takes {across} by {down} cells to the right of it and below"
        return what, "set it where these are whole, free and in the sun that it wants"
    return f"{there}: the sun there is not what it wants", "pin it elsewhere, or another plant"


def prices(problem: Problem) -> Array:
    """(n,) what each cell is worth planted, with the plant that is worth most there."""
    places = problem.places
    found = np.zeros(problem.field.count)
    if len(places.plant):
        each = np.repeat(places.value / places.size, places.size)
        np.maximum.at(found, places.cells, each)
    return found
