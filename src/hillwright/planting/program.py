"""The planting as a program for the solver: on one path, or with the path left free."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.path import tended
from hillwright.planting.solver import INFINITY, Program, Rows
from hillwright.planting.tree import Tree, arcs_of, arcs_of_path, tree_rows
from hillwright.planting.worth import Problem, plants_by_cell

_WIDE = 2000  # placements of wide plants held against all others at once


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Where the columns of a program stand."""

    keep: Index  # the placements that have a column, in order
    classes: Index  # classes of thirst that have columns
    zone: int  # first column of cell by class, n for each class; -1 = one class only
    change: int  # first column of side by class
    slack: tuple[tuple[int, int], ...]  # columns of under and over of each term, -1 = none
    columns: int
    walk: int = -1  # first column of walking cells
    arc: int = -1
    tend: int = -1  # first column of "something grows here"


def _lay_out(problem: Problem, keep: Index, with_path: bool, arcs: int) -> Columns:
    n, sides = problem.field.count, len(problem.field.sides)
    classes = np.unique(problem.some.water[problem.places.plant[keep]])
    at = len(keep)
    zone = change = -1
    if len(classes) > 1:
        zone, at = at, at + n * len(classes)
        change, at = at, at + sides * len(classes)
    slack = []
    for term in problem.terms:
        under, at = at, at + 1
        over, at = (at, at + 1) if term.over > 0 else (-1, at)
        slack.append((under, over))
    walk = arc = tend = -1
    if with_path:
        tend, at = at, at + n
        walk, at = at, at + n
        arc, at = at, at + arcs
    return Columns(keep, classes, zone, change, tuple(slack), at, walk, arc, tend)


def path_program(
    problem: Problem, walking: Mask, chosen: Index | None = None
) -> tuple[Program, Columns]:
    """Give the program of what grows where beside one path; ``chosen`` is a known planting."""
    free = tended(problem.field, walking) & ~walking & ~problem.must_open
    places = problem.places
    inside = free[places.cells]
    keep = (
        np.flatnonzero(np.logical_and.reduceat(inside, places.at[:-1]))
        if len(places.plant)
        else np.empty(0, np.intp)
    )
    at = _lay_out(problem, keep, False, 0)
    program = _program(problem, at)
    if chosen is not None:
        program.start = solution_of(problem, at, chosen)
    return program, at


def joint_program(
    problem: Problem, walking: Mask | None = None, chosen: Index | None = None
) -> tuple[Program, Columns, Tree]:
    """Give the program of path and planting together, as far as it is written down at once."""
    arcs = arcs_of(problem.field)
    keep = np.arange(len(problem.places.plant))
    at = _lay_out(problem, keep, True, len(arcs.head))
    program = _program(problem, at)
    tree = Tree(problem.field, arcs, at.walk, at.arc)
    n = problem.field.count
    cells = np.arange(n)
    tree_rows(program.rows, tree, at.tend, cells)
    # a cell is walked, or something grows there, or neither
    program.rows.add(
        np.tile(cells, 2),
        np.concatenate([at.tend + cells, at.walk + cells]),
        1.0,
        -INFINITY,
        1.0,
        n,
    )
    program.cost[at.walk : at.walk + n] = -problem.weights.walking
    program.low[at.walk + np.flatnonzero(problem.must_walk)] = 1.0
    program.high[at.walk + np.flatnonzero(problem.must_open)] = 0.0
    if walking is not None and chosen is not None:
        x = solution_of(problem, at, chosen)
        x[at.walk : at.walk + n] = walking
        x[at.arc :] = arcs_of_path(tree, walking)
        x[at.tend + np.flatnonzero(plants_by_cell(problem, chosen) >= 0)] = 1.0
        program.start = x
    return program, at, tree


def _program(problem: Problem, at: Columns) -> Program:
    places, keep = problem.places, at.keep
    cost = np.zeros(at.columns)
    cost[: len(keep)] = places.value[keep]
    low, high = np.zeros(at.columns), np.ones(at.columns)
    whole = np.zeros(at.columns, bool)
    whole[: len(keep)] = True
    rows = Rows(at.columns)
    _one_each(rows, problem, at)
    if at.zone >= 0:
        whole[at.zone : at.zone + problem.field.count * len(at.classes)] = True
        _zones(rows, problem, at)
        cost[
            at.change : at.change + len(problem.field.sides) * len(at.classes)
        ] = -problem.weights.zone
    for term, (under, over) in zip(problem.terms, at.slack, strict=True):
        amount = term.amount[places.plant[keep]]
        some = np.flatnonzero(amount)
        columns, values = [*some, under], [*amount[some], 1.0]
        cost[under], high[under] = -term.under, INFINITY
        top = INFINITY
        if over >= 0:
            columns, values = [*columns, over], [*values, -1.0]
            cost[over], high[over], top = -term.over, INFINITY, term.target
        rows.one(columns, values, term.target, top)
    for amount, most in problem.limits:
        each = amount[places.plant[keep]]
        some = np.flatnonzero(each)
        rows.one(some, each[some], -INFINITY, most)
    _spread(rows, problem, at)
    column = np.full(len(places.plant), -1)
    column[keep] = np.arange(len(keep))
    low[column[problem.pinned][column[problem.pinned] >= 0]] = 1.0
    return Program(cost, low, high, whole, rows)


def _covers(problem: Problem, at: Columns) -> tuple[Index, Index]:
    """Give column and cell of each cell that a placement takes."""
    size = problem.places.size[at.keep]
    starts = problem.places.at[at.keep]
    column = np.repeat(np.arange(len(at.keep)), size)
    within = np.arange(len(column)) - np.repeat(np.cumsum(size) - size, size)
    return column, problem.places.cells[starts[column] + within]


def _one_each(rows: Rows, problem: Problem, at: Columns) -> None:
    """One plant in a cell at most, of the thirst that the cell is watered for."""
    n = problem.field.count
    column, cell = _covers(problem, at)
    water = problem.some.water[problem.places.plant[at.keep]][column]
    if at.tend >= 0:
        rows.add(
            np.append(cell, np.arange(n)),
            np.append(column, at.tend + np.arange(n)),
            np.append(np.ones(len(cell)), -np.ones(n)),
            0.0,
            0.0,
            n,
        )
    if at.zone < 0:
        if at.tend < 0:
            rows.add(cell, column, 1.0, -INFINITY, 1.0, n)
        return
    for k, w in enumerate(at.classes):
        some = water == w
        zone = at.zone + k * n + np.arange(n)
        rows.add(
            np.append(cell[some], np.arange(n)),
            np.append(column[some], zone),
            np.append(np.ones(int(some.sum())), -np.ones(n)),
            -INFINITY,
            0.0,
            n,
        )


def _zones(rows: Rows, problem: Problem, at: Columns) -> None:
    """Every cell is watered for one thirst; changes along a row are counted and kept few."""
    field, n, count = problem.field, problem.field.count, len(at.classes)
    cells = np.arange(n)
    rows.add(np.tile(cells, count), at.zone + np.arange(n * count), 1.0, 1.0, 1.0, n)
    sides = field.sides
    m = len(sides)
    each = np.arange(m)
    for k in range(count):
        start = at.zone + k * n
        rows.add(
            np.tile(each, 3),
            np.concatenate([at.change + k * m + each, start + sides[:, 1], start + sides[:, 0]]),
            np.concatenate([np.ones(m), -np.ones(m), np.ones(m)]),
            0.0,
            INFINITY,
            m,
        )
    stretch = field.stretch[sides[:, 0]]
    names, place = np.unique(stretch, return_inverse=True)
    rows.add(
        np.tile(place, count), at.change + np.arange(m * count), 1.0, -INFINITY,
        float(problem.zones - 1), len(names),
    )  # fmt: skip


def _spread(rows: Rows, problem: Problem, at: Columns) -> None:
    """Plants with a canopy keep their spread from one another: one over any place at most.

    For every cell the placements whose spread reaches its middle; then each pair that these do
    not part.
    """
    from scipy.sparse import csr_matrix

    places, some = problem.places, problem.some
    wide = np.flatnonzero(some.canopy[places.plant[at.keep]])
    if len(wide) < 2:
        return
    centre = places.centre[at.keep][wide][:, :2]
    radius = some.width[places.plant[at.keep]][wide] / 2
    cell, over = _within(problem.field.centre[:, :2], centre, radius - 1e-6)
    lines = np.split(over, np.flatnonzero(np.diff(cell)) + 1)
    seen: set[bytes] = set()
    for line in lines:
        if len(line) > 1 and line.tobytes() not in seen:
            seen.add(line.tobytes())
            rows.one(wide[line], np.ones(len(line)), -INFINITY, 1.0)
    shape = (problem.field.count, len(wide))
    reaches = csr_matrix((np.ones(len(cell), np.int32), (cell, over)), shape=shape)
    # for each one, all that it is too close to and that no cell parts it from, as one row
    one, other = _within(centre, centre, radius + radius.max())
    gap = np.linalg.norm(centre[one] - centre[other], axis=1)
    close = (one < other) & (gap < radius[one] + radius[other] - 1e-6)
    one, other = one[close], other[close]
    # a pair that one cell parts has a sum over it in the product
    left = np.ones(len(one), bool)
    for begin in range(0, len(wide), _WIDE):
        mine = slice(*np.searchsorted(one, [begin, begin + _WIDE]))
        parted = (reaches[:, begin : begin + _WIDE].T @ reaches).toarray()
        left[mine] = parted[one[mine] - begin, other[mine]] == 0
    one, other = one[left], other[left]
    first, row, count = np.unique(one, return_inverse=True, return_counts=True)
    rows.add(
        np.append(row, np.arange(len(first))),
        np.append(wide[other], wide[first]),
        np.append(np.ones(len(other)), count),
        -INFINITY,
        count.astype(float),
        len(first),
    )


def _within(places: Array, centre: Array, far: Array) -> tuple[Index, Index]:
    """Give all pairs of a place and a centre that is nearer to it than its own distance, in order.

    Both by their numbers; places first.
    """
    tree = shapely.STRtree(shapely.points(places))
    k, i = tree.query(shapely.points(centre), predicate="dwithin", distance=np.maximum(far, 0.0))
    near = np.linalg.norm(places[i] - centre[k], axis=1) < far[k]
    i, k = i[near], k[near]
    order = np.lexsort((k, i))
    return i[order], k[order]


def solution_of(problem: Problem, at: Columns, chosen: Index) -> Array:
    """Write a planting as the columns of a program."""
    x = np.zeros(at.columns)
    column = np.full(len(problem.places.plant), -1)
    column[at.keep] = np.arange(len(at.keep))
    x[column[chosen]] = 1.0
    if at.zone >= 0:
        _zones_of(problem, at, plants_by_cell(problem, chosen), x)
    for term, (under, over) in zip(problem.terms, at.slack, strict=True):
        off = float(term.amount[problem.places.plant[chosen]].sum()) - term.target
        x[under] = max(-off, 0.0)
        if over >= 0:
            x[over] = max(off, 0.0)
    return x


def _zones_of(problem: Problem, at: Columns, plant: Index, x: Array) -> None:
    """Give cells between plants the thirst of the plant before them in the row."""
    field, n = problem.field, problem.field.count
    place = {int(w): k for k, w in enumerate(at.classes)}
    thirst = np.full(n, -1)
    planted = plant >= 0
    thirst[planted] = [place[int(w)] for w in problem.some.water[plant[planted]]]
    for name in np.unique(field.stretch):
        cells = np.flatnonzero(field.stretch == name)
        cells = cells[np.argsort(field.number[cells], kind="stable")]
        known = thirst[cells]
        there = np.flatnonzero(known >= 0)
        first = known[there[0]] if len(there) else 0
        last = first
        for i, cell in enumerate(cells):
            last = known[i] if known[i] >= 0 else last
            thirst[cell] = last
    x[at.zone + thirst * n + np.arange(n)] = 1.0
    m = len(field.sides)
    left, right = thirst[field.sides[:, 0]], thirst[field.sides[:, 1]]
    moved = np.flatnonzero(left != right)
    x[at.change + right[moved] * m + moved] = 1.0
