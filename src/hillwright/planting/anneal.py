"""A better path by many small changes: cells of it are added, taken out and moved.

Simulated annealing over connected paths; the number of moves, not the clock, ends it, so that a
seed always gives the same path.
"""

from __future__ import annotations

import math
import random
from collections import deque
from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.planting.field import Field
from hillwright.planting.path import neighbours

HOT, COLD = 1.6, 0.06  # temperatures at the start and at the end, in planted cells
_TOLD = 4096  # moves between two reports


class _Walk:
    """A path that can be changed cell by cell, and what it is worth."""

    def __init__(
        self, field: Field, path: Mask, price: Array, cost: float, must: Mask, closed: Mask
    ) -> None:
        n = field.count
        self.near: list[list[int]] = [a.tolist() for a in neighbours(field)]
        self.reach: list[list[int]] = [field.tended_from(i).tolist() for i in range(n)]
        self.price: list[float] = price.tolist()
        self.cost = cost
        self.must: list[bool] = must.tolist()
        self.closed: list[bool] = closed.tolist()
        root = np.zeros(n, bool)
        root[field.roots] = True
        self.root: list[bool] = root.tolist()
        self.on: list[bool] = path.tolist()
        self.times = [0] * n
        for i in np.flatnonzero(path):
            for j in self.reach[i]:
                self.times[j] += 1

    def gain_of_adding(self, i: int) -> float:
        """Give what the path gains by a cell."""
        times, on, price = self.times, self.on, self.price
        found = -self.cost - (price[i] if times[i] else 0.0)
        for j in self.reach[i]:
            if not times[j] and j != i and not on[j]:
                found += price[j]
        return found

    def gain_of_leaving(self, i: int) -> float:
        """Give what the path gains by taking a cell out."""
        times, on, price = self.times, self.on, self.price
        found = self.cost + (price[i] if times[i] > 1 else 0.0)
        for j in self.reach[i]:
            if times[j] == 1 and not on[j]:
                found -= price[j]
        return found

    def change(self, i: int) -> None:
        """Add a cell, or take it out."""
        step = -1 if self.on[i] else 1
        self.on[i] = step > 0
        times = self.times
        for j in self.reach[i]:
            times[j] += step

    def reachable(self, i: int) -> bool:
        """Tell whether a cell off the path could be walked next."""
        return self.root[i] or any(self.on[j] for j in self.near[i])

    def can_leave(self, i: int) -> bool:
        """Tell whether the rest still hangs together without a cell."""
        on, near, root = self.on, self.near, self.root
        ends = [j for j in near[i] if on[j]]
        if len(ends) + root[i] <= 1:
            return True
        on[i] = False
        held: set[int] = set()
        whole = True
        for end in ends:
            if end in held:
                continue
            seen = {end}
            queue = deque([end])
            safe = False
            while queue:
                k = queue.popleft()
                if root[k] or k in held:
                    safe = True
                    break
                for j in near[k]:
                    if on[j] and j not in seen:
                        seen.add(j)
                        queue.append(j)
            if not safe:
                whole = False
                break
            held |= seen
        on[i] = True
        return whole


def anneal(
    field: Field,
    path: Mask,
    price: Array,
    cost: float,
    must: Mask,
    closed: Mask,
    moves: int,
    seed: int,
    hot: float = HOT,
    tell: Callable[[float], bool] | None = None,
) -> Mask:
    """Look for a better connected path.

    Parameters
    ----------
    field : Field
        The n cells.
    path : (n,) array
        A connected path to start from.
    price : (n,) array
        What each cell is worth planted.
    cost : float
        Of walking on a cell.
    must, closed : (n,) array
        Cells that stay walked, and that are never walked.
    moves : int
        How many changes are tried.
    seed : int
        The same seed tries the same changes.
    hot : float
        How much worse a change may be at the start, in the unit of prices.
    tell : callable, optional
        Told the share of moves done; says whether to stop.
    """
    walk = _Walk(field, path, price, cost, must, closed)
    dice = random.Random(seed)
    n, on = field.count, walk.on
    now = best = 0.0
    kept = path.copy()
    decay = math.log(COLD / hot)
    random_, exp = dice.random, math.exp
    changed = False
    for move in range(moves):
        if move % _TOLD == 0:
            heat = hot * exp(decay * move / moves)
            if tell is not None and tell(move / moves):
                break
        i = int(random_() * n)
        if on[i]:
            if walk.must[i]:
                continue
            gain = walk.gain_of_leaving(i)
            shift = 0 if random_() < 0.5 else 1
            if shift:
                # move the cell: another one of its surroundings is walked instead
                around = walk.near[i]
                j = around[int(random_() * len(around))] if around else i
                more = walk.near[j]
                if more and random_() < 0.5:
                    j = more[int(random_() * len(more))]
                if on[j] or walk.closed[j] or j == i:
                    continue
                if not walk.reachable(j):
                    continue
                walk.change(j)
                if not walk.can_leave(i):
                    walk.change(j)
                    continue
                walk.change(j)
                more_gain = walk.gain_of_adding(j)
                walk.change(j)
                gain = more_gain + walk.gain_of_leaving(i)
                if gain >= 0 or random_() < exp(gain / heat):
                    walk.change(i)
                    now += gain
                    changed = True
                else:
                    walk.change(j)
                    continue
            else:
                if gain < 0 and random_() >= exp(gain / heat):
                    continue
                if not walk.can_leave(i):
                    continue
                walk.change(i)
                now += gain
                changed = True
        else:
            if walk.closed[i] or not walk.reachable(i):
                continue
            gain = walk.gain_of_adding(i)
            if gain < 0 and random_() >= exp(gain / heat):
                continue
            walk.change(i)
            now += gain
            changed = True
        if changed and now > best + 1e-9:
            best = now
            kept = np.array(on)
    return kept
