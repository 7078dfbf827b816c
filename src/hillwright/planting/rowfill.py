"""Rows filled with plants of one cell, then filled again as long as that brings more."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.planting.bed import Bed, Sums
from hillwright.planting.worth import Problem

SWEEPS = 2  # over all rows, the first included; a third brings little
_TINY = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    """What of one cell may stand in an unbroken row of c cells."""

    name: int
    cells: Index  # (c,)
    value: Array  # (c, p) of each plant in each cell, -inf = it cannot be there
    which: Index  # (c, p) the placement


def fill_rows(bed: Bed, sweeps: int = SWEEPS) -> None:
    """Fill what is free, rows nearest to where one comes in first, whatever brings most next.

    What the first rows are filled with is chosen before the wishes fill up: so each row is emptied
    and filled once more, and keeps what brings more.
    """
    rows = _rows(bed.problem)
    for row in rows:
        _fill_row(bed, row, [])
    pinned = set(bed.problem.pinned.tolist())
    for _ in range(1, sweeps):
        better = False
        for row in rows:
            here = [k for k in row.which[row.which >= 0].tolist() if k in bed.chosen]
            better |= _fill_row(bed, row, [k for k in here if k not in pinned])
        if not better:
            break


def _rows(problem: Problem) -> list[_Row]:
    field, places = problem.field, problem.places
    single = np.flatnonzero((places.size == 1) & ~problem.some.canopy[places.plant])
    cell = places.cells[places.at[:-1][single]]
    order = np.lexsort((single, cell, field.stretch[cell]))
    single, cell = single[order], cell[order]
    names = _near_first(problem)
    at = np.searchsorted(field.stretch[cell], np.arange(len(names) + 1))
    rows = []
    for name in names:
        mine = slice(at[name], at[name + 1])
        plant = places.plant[single[mine]]
        cells, i = np.unique(cell[mine], return_inverse=True)
        value = np.full((len(cells), len(problem.some.plants)), -np.inf)
        value[i, plant] = places.value[single[mine]]
        which = np.full(value.shape, -1)
        which[i, plant] = single[mine]
        rows.append(_Row(name, cells, value, which))
    return rows


def _near_first(problem: Problem) -> list[int]:
    """List the stretches of rows, those nearest to where one comes in first."""
    field = problem.field
    count = np.bincount(field.stretch)
    roots = field.centre[field.roots]
    if not len(roots):
        return list(range(len(count)))
    middle = np.stack([np.bincount(field.stretch, c) for c in field.centre.T], axis=1)
    gap = np.linalg.norm((middle / count[:, None])[:, None] - roots[None], axis=2).min(axis=1)
    return [int(i) for i in np.argsort(gap, kind="stable")]


def _fill_row(bed: Bed, row: _Row, old: list[int]) -> bool:
    """Fill the free cells of a row with plants of one thirst, the best of all thirsts.

    ``old`` stands there now and goes if something else brings more; say whether it did.
    """
    problem, places = bed.problem, bed.problem.places
    zone = problem.weights.zone
    had = -zone * bed.thirst.changes(row.name)
    for k in old:
        bed.take_out(k)
        had += float(places.value[k] + bed.sums.gain[places.plant[k]])
    free = bed.free[row.cells]
    best: tuple[float, list[int]] = (had, old)
    if free.any():
        value, which = row.value[free], row.which[free]
        there = bed.thirst.row(row.name)
        there = np.unique(there[there >= 0])
        known = problem.some.water[np.isfinite(value).any(axis=0)]
        classes = there if len(there) >= problem.zones else np.unique(known)
        for w in classes.tolist():
            if (there != w).any() and not bed.thirst.fills(row.name, w):
                continue
            total, taken = _fill(bed.sums, np.where(problem.some.water == w, value, -np.inf))
            some = [int(which[c, p]) for c, p in taken]
            bed.thirst.put(row.cells[free][[c for c, _ in taken]], w)
            total -= zone * bed.thirst.changes(row.name)
            bed.thirst.put(row.cells[free], -1)
            if total > best[0] + _TINY:
                best = (total, some)
    for k in best[1]:
        bed.put(k)
    return best[1] is not old


def _fill(sums: Sums, value: Array) -> tuple[float, list[tuple[int, int]]]:
    """Give what filling cells one after the other brings, and with what; nothing is kept."""
    total, taken, before = 0.0, [], sums.state()
    for c, brings in enumerate(value):
        gain = brings + sums.gain
        p = int(gain.argmax())
        if gain[p] > _TINY:
            total += float(gain[p])
            taken.append((c, p))
            sums.take(p)
    sums.back(before)
    return total, taken
