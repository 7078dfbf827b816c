"""A planting in a blink: wide plants first, then row by row, whatever brings most next."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.path import tended
from hillwright.planting.worth import Problem


class _Sums:
    """What every placement would bring now, as the wishes fill up."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        q = len(problem.places.plant)
        terms = problem.terms
        self.amount = np.array([t.amount for t in terms]).reshape(len(terms), q)
        self.target = np.array([t.target for t in terms])
        self.under = np.array([t.under for t in terms])
        self.over = np.array([t.over for t in terms])
        self.limit = np.array([a for a, _ in problem.limits]).reshape(len(problem.limits), q)
        self.most = np.array([m for _, m in problem.limits])
        self.total = np.zeros(len(terms))
        self.used = np.zeros(len(self.most))

    def gain(self, some: Index) -> Array:
        """Give what each of some placements would bring now; -inf where a limit bars it."""
        off = self.total[:, None] + self.amount[:, some] - self.target[:, None]
        before = self.total - self.target
        cost = np.maximum(-off, 0) * self.under[:, None] + np.maximum(off, 0) * self.over[:, None]
        was = np.maximum(-before, 0) * self.under + np.maximum(before, 0) * self.over
        found = self.problem.places.value[some] - (cost - was[:, None]).sum(axis=0)
        if len(self.most):
            full = (self.used[:, None] + self.limit[:, some] > self.most[:, None] + 1e-9).any(
                axis=0
            )
            found = np.where(full, -np.inf, found)
        return np.asarray(found)

    def take(self, k: int, sign: int = 1) -> None:
        """Count a placement in, or out again."""
        self.total += sign * self.amount[:, k]
        self.used += sign * self.limit[:, k]


def quick_planting(problem: Problem, walking: Mask, given: Index | None = None) -> Index:
    """Choose placements beside a path without the solver.

    Parameters
    ----------
    problem : Problem
        What may grow where, and what it is worth.
    walking : (n,) array
        The path.
    given : (k,) array, optional
        Placements to begin with, in this order; those that no longer can be are left out.
    """
    field, places, some = problem.field, problem.places, problem.some
    free = tended(field, walking) & ~walking & ~problem.must_open
    if not len(places.plant):
        return np.empty(0, np.intp)
    sums = _Sums(problem)
    chosen: list[int] = []
    thirst = np.full(field.count, -1)
    wide: list[int] = []

    def fits(k: int) -> bool:
        return bool(free[places.of(k)].all()) and _apart(problem, wide, k)

    def put(k: int) -> None:
        chosen.append(k)
        sums.take(k)
        cells = places.of(k)
        free[cells] = False
        thirst[cells] = some.water[places.plant[k]]
        if some.canopy[places.plant[k]]:
            wide.append(k)

    for k in [*problem.pinned, *(() if given is None else given)]:
        if int(k) not in chosen and fits(int(k)) and few_changes(problem, thirst, int(k)):
            put(int(k))
    big = np.flatnonzero((places.size > 1) | some.canopy[places.plant])
    while len(big):
        big = big[np.logical_and.reduceat(free[places.cells], places.at[:-1])[big]]
        gain = sums.gain(big) / places.size[big]
        order = np.argsort(-gain, kind="stable")
        # what a block brings is held against what its cells would bring one by one
        for i in order[:40]:
            k = int(big[i])
            if (
                gain[i] > problem.weights.planted * 1.5
                and fits(k)
                and few_changes(problem, thirst, k)
            ):
                put(k)
                break
        else:
            break
    single = np.flatnonzero((places.size == 1) & ~some.canopy[places.plant])
    cell_of = places.cells[places.at[single]]
    for name in _near_first(problem):
        _fill_stretch(problem, sums, single, cell_of, name, free, thirst, put)
    return np.array(sorted(chosen), np.intp)


def _apart(problem: Problem, wide: list[int], k: int) -> bool:
    places, some = problem.places, problem.some
    if not some.canopy[places.plant[k]] or not wide:
        return True
    gap = np.linalg.norm(places.centre[wide][:, :2] - places.centre[k, :2], axis=1)
    need = (some.width[places.plant[wide]] + some.width[places.plant[k]]) / 2
    return bool((gap >= need - 1e-6).all())


def few_changes(problem: Problem, thirst: Index, k: int) -> bool:
    """Tell whether the rows keep to their changes of thirst with one placement more."""
    field, places = problem.field, problem.places
    cells, mine = places.of(k), problem.some.water[places.plant[k]]
    for name in np.unique(field.stretch[cells]):
        row = np.flatnonzero(field.stretch == name)
        row = row[np.argsort(field.number[row], kind="stable")]
        found = thirst[row].copy()
        found[np.isin(row, cells)] = mine
        found = found[found >= 0]
        if int((found[1:] != found[:-1]).sum()) > problem.zones - 1:
            return False
    return True


def _near_first(problem: Problem) -> list[int]:
    """List the stretches of rows, those nearest to where one comes in first."""
    field = problem.field
    names = np.unique(field.stretch)
    roots = field.centre[field.roots]
    middle = np.array([field.centre[field.stretch == s].mean(axis=0) for s in names])
    if not len(roots):
        return [int(s) for s in names]
    gap = np.linalg.norm(middle[:, None] - roots[None], axis=2).min(axis=1)
    return [int(names[i]) for i in np.argsort(gap, kind="stable")]


def _fill_stretch(
    problem: Problem, sums: _Sums, single: Index, cell_of: Index, name: int, free: Mask,
    thirst: Index, put: object,
) -> None:  # fmt: skip
    """Fill the free cells of one stretch with plants of one thirst, the best of all thirsts."""
    field, some, places = problem.field, problem.some, problem.places
    inside = (field.stretch[cell_of] == name) & free[cell_of]
    mine, at = single[inside], cell_of[inside]
    if not len(mine):
        return
    water = some.water[places.plant[mine]]
    there = thirst[(field.stretch == name) & (thirst >= 0)]
    classes = np.unique(there) if len(np.unique(there)) >= problem.zones else np.unique(water)
    best: tuple[float, list[int]] = (0.0, [])
    for w in classes:
        if len(there) and (there != w).any() and not _may(problem, thirst, name, int(w)):
            continue
        trial = _fill(sums, mine[water == w], at[water == w])
        if trial[0] > best[0]:
            best = trial
    for k in best[1]:
        put(k)  # type: ignore[operator]


def _may(problem: Problem, thirst: Index, name: int, w: int) -> bool:
    """Tell whether a stretch may take plants of one thirst in all its free cells."""
    field = problem.field
    row = np.flatnonzero(field.stretch == name)
    row = row[np.argsort(field.number[row], kind="stable")]
    found = np.where(thirst[row] >= 0, thirst[row], w)
    return int((found[1:] != found[:-1]).sum()) <= problem.zones - 1


def _fill(sums: _Sums, mine: Index, at: Index) -> tuple[float, list[int]]:
    """Give what filling cells one after the other brings, and with what; nothing is kept."""
    total, taken = 0.0, []
    for cell in np.unique(at):
        here = mine[at == cell]
        gain = sums.gain(here)
        k = int(np.argmax(gain))
        if gain[k] > 1e-9:
            total += float(gain[k])
            taken.append(int(here[k]))
            sums.take(taken[-1])
    for k in taken:
        sums.take(k, -1)
    return total, taken
