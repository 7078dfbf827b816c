"""A planting in a blink: wide plants first, then row by row, whatever brings most next."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.planting.bed import Bed
from hillwright.planting.rowfill import fill_rows
from hillwright.planting.shadecost import ShadeCost
from hillwright.planting.worth import Problem

_WORTH_ROOM = 1.5  # a block is held against what its cells would bring one by one


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
    bed = Bed(problem, walking)
    known = [*problem.pinned.tolist(), *(() if given is None else given.tolist())]
    for k in dict.fromkeys(known):
        if bed.fits(k):
            bed.put(k)
    _blocks(bed, shade)
    fill_rows(bed)
    return np.array(sorted(bed.chosen), np.intp)


def _blocks(bed: Bed, shade: ShadeCost | None) -> None:
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
