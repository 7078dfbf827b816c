"""A planting in a blink: wide plants first, then row by row, whatever brings most next."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.path import tended
from hillwright.planting.shadecost import ShadeCost
from hillwright.planting.thirst import Thirst
from hillwright.planting.worth import Problem

_WORTH_ROOM = 1.5  # a block is held against what its cells would bring one by one


class _Sums:
    """What one more of each plant would change in the wishes, as they fill up."""

    def __init__(self, problem: Problem) -> None:
        terms, p = problem.terms, len(problem.some.plants)
        self._amount = np.array([t.amount for t in terms]).reshape(len(terms), p)
        self._limit = np.array([a for a, _ in problem.limits]).reshape(len(problem.limits), p)
        self._most = np.array([m for _, m in problem.limits])[:, None] + 1e-9
        under, over = np.array([t.under for t in terms]), np.array([t.over for t in terms])
        # the price of being off a target, in two parts: |off|, and what differs by its sign
        self._even, tilt = (under + over) / 2, (over - under) / 2
        self._always = tilt @ self._amount
        self._off = -np.array([t.target for t in terms])
        self._used = np.zeros(len(self._most))
        self.gain = self._gain()  # (p,) of each plant; -inf where a limit bars it

    def take(self, plant: int) -> None:
        """Count one more of a plant in."""
        self._off += self._amount[:, plant]
        self._used += self._limit[:, plant]
        self.gain = self._gain()

    def state(self) -> tuple[Array, Array, Array]:
        """Give what :meth:`back` goes back to."""
        return self._off.copy(), self._used.copy(), self.gain

    def back(self, to: tuple[Array, Array, Array]) -> None:
        """Forget what was counted in since."""
        self._off, self._used, self.gain = to[0].copy(), to[1].copy(), to[2]

    def _gain(self) -> Array:
        off = self._off[:, None]
        more = self._even @ (np.abs(off + self._amount) - np.abs(off))
        found = np.round(-more - self._always, 9)  # what is equal by hand is equal here
        if len(self._most):
            found[(self._used[:, None] + self._limit > self._most).any(axis=0)] = -np.inf
        return np.asarray(found)


class _Bed:
    """What is free, and what stands where, while plants are chosen."""

    def __init__(self, problem: Problem, walking: Mask) -> None:
        self.problem = problem
        self.free = tended(problem.field, walking) & ~walking & ~problem.must_open
        self.sums = _Sums(problem)
        self.thirst = Thirst(problem.field, problem.zones)
        self.chosen: list[int] = []
        self.wide: list[int] = []

    def put(self, k: int) -> None:
        """Plant a placement."""
        places, some = self.problem.places, self.problem.some
        cells, plant = places.of(k), int(places.plant[k])
        self.chosen.append(k)
        self.sums.take(plant)
        self.free[cells] = False
        self.thirst.put(cells, int(some.water[plant]))
        if some.canopy[plant]:
            self.wide.append(k)

    def fits(self, k: int) -> bool:
        """Tell whether a placement has room, and its rows the thirst for it."""
        places = self.problem.places
        cells = places.of(k)
        return (
            bool(self.free[cells].all())
            and bool(self.apart(np.array([k]), self.wide).all())
            and self.thirst.fits(cells, int(self.problem.some.water[places.plant[k]]))
        )

    def apart(self, some: Index, others: list[int]) -> Mask:
        """Tell which placements keep their spread from others, where both have a canopy."""
        places, width = self.problem.places, self.problem.some.width
        found = ~self.problem.some.canopy[places.plant[some]]
        if found.all() or not others:
            return np.ones(len(some), bool)
        here, there = places.centre[some, None, :2], places.centre[None, others, :2]
        gap = np.linalg.norm(here - there, axis=2)
        need = (width[places.plant[some]][:, None] + width[places.plant[others]]) / 2
        return np.asarray(found | (gap >= need - 1e-6).all(axis=1))


def quick_planting(
    problem: Problem, walking: Mask, given: Index | None = None, shade: ShadeCost | None = None
) -> Index:
    """Choose placements beside a path without the solver.

    Parameters
    ----------
    problem : Problem
        What may grow where, and what it is worth.
    walking : (n,) array
        The path.
    given : (k,) array, optional
        Placements to begin with, in this order; those that no longer can be are left out.
    shade : ShadeCost, optional
        Where it is given, plants with a canopy stand where their shade costs least.
    """
    if not len(problem.places.plant):
        return np.empty(0, np.intp)
    bed = _Bed(problem, walking)
    known = [*problem.pinned.tolist(), *(() if given is None else given.tolist())]
    for k in dict.fromkeys(known):
        if bed.fits(k):
            bed.put(k)
    _blocks(bed, shade)
    _singles(bed)
    return np.array(sorted(bed.chosen), np.intp)


def _blocks(bed: _Bed, shade: ShadeCost | None) -> None:
    """Plant what takes several cells or has a canopy, as long as it brings enough for its room."""
    places, some = bed.problem.places, bed.problem.some
    big = np.flatnonzero((places.size > 1) | some.canopy[places.plant])
    big = big[bed.apart(big, bed.wide)]
    cells, free = places.table(big), np.append(bed.free, True)
    room = free[cells].all(axis=1)
    big, cells = big[room], cells[room]
    first, paid = bed.free.copy(), np.zeros(len(big))
    asked: set[int] = set()  # plants whose shade is known
    least = bed.problem.weights.planted * _WORTH_ROOM
    while len(big):
        plant, size = places.plant[big], places.size[big]
        gain = (places.value[big] + bed.sums.gain[plant]) / size
        still = np.ones(len(big), bool)
        while True:
            i = int(np.argmax(gain))
            if gain[i] <= least:
                return
            if shade is not None and some.canopy[plant[i]]:
                # which plant is settled; where it stands is asked of its shade
                mine = np.flatnonzero((plant == plant[i]) & (gain > least))
                if int(plant[i]) not in asked:
                    asked.add(int(plant[i]))
                    all_ = np.flatnonzero(plant == plant[i])
                    paid[all_] = shade.of(big[all_], first)
                i = int(mine[np.argmax(gain[mine] - paid[mine] / size[mine])])
            if bed.fits(int(big[i])):
                break
            # rows do not change their thirst less often with more in them: never again
            gain[i], still[i] = -np.inf, False
        k = int(big[i])
        bed.put(k)
        free[:-1] = bed.free
        still &= free[cells].all(axis=1) & bed.apart(big, [k] if k in bed.wide[-1:] else [])
        big, cells, paid = big[still], cells[still], paid[still]


def _singles(bed: _Bed) -> None:
    """Fill the rows with plants of one cell, those nearest to where one comes in first."""
    field, places = bed.problem.field, bed.problem.places
    single = np.flatnonzero((places.size == 1) & ~bed.problem.some.canopy[places.plant])
    cell = places.cells[places.at[:-1][single]]
    order = np.lexsort((single, cell, field.stretch[cell]))
    single, cell = single[order], cell[order]
    names = _near_first(bed.problem)
    at = np.searchsorted(field.stretch[cell], np.arange(len(names) + 1))
    for name in names:
        mine = slice(at[name], at[name + 1])
        there = bed.free[cell[mine]]
        if there.any():
            _fill_stretch(bed, single[mine][there], cell[mine][there], name)


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


def _fill_stretch(bed: _Bed, single: Index, cell: Index, name: int) -> None:
    """Fill the free cells of one stretch with plants of one thirst, the best of all thirsts.

    ``single`` are placements in it in the order of their ``cell``.
    """
    problem = bed.problem
    plant, some = problem.places.plant[single], problem.some
    cells, row = np.unique(cell, return_inverse=True)
    value = np.full((len(cells), len(some.plants)), -np.inf)  # of each plant in each cell
    value[row, plant] = problem.places.value[single]
    which = np.full(value.shape, -1)
    which[row, plant] = single
    there = bed.thirst.row(name)
    there = np.unique(there[there >= 0])
    classes = there if len(there) >= problem.zones else np.unique(some.water[plant])
    best: tuple[float, list[tuple[int, int]]] = (0.0, [])
    for w in classes.tolist():
        if (there != w).any() and not bed.thirst.fills(name, w):
            continue
        trial = _fill(bed.sums, np.where(some.water == w, value, -np.inf))
        if trial[0] > best[0]:
            best = trial
    for c, p in best[1]:
        bed.put(int(which[c, p]))


def _fill(sums: _Sums, value: Array) -> tuple[float, list[tuple[int, int]]]:
    """Give what filling cells one after the other brings, and with what; nothing is kept."""
    total, taken, before = 0.0, [], sums.state()
    for c, brings in enumerate(value):
        gain = brings + sums.gain
        p = int(gain.argmax())
        if gain[p] > 1e-9:
            total += float(gain[p])
            taken.append((c, p))
            sums.take(p)
    sums.back(before)
    return total, taken
