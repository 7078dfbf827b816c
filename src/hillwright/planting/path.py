"""Where people walk: a connected set of cells from which much can be tended and little is lost."""

from __future__ import annotations

from collections import deque
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.field import Field
from hillwright.planting.legs import DIGITS, TINY, Legs


def neighbours(field: Field) -> list[Index]:
    """List the cells that one may step to from each cell, in order."""
    both = np.concatenate([field.steps, field.steps[:, ::-1]])
    both = both[np.lexsort((both[:, 1], both[:, 0]))]
    cut = np.searchsorted(both[:, 0], np.arange(field.count + 1))
    return [both[a:b, 1] for a, b in pairwise(cut.tolist())]


def connected(field: Field, walking: Mask, near: list[Index] | None = None) -> Mask:
    """(n,) tell the walking cells that one can walk to from where one comes in."""
    near = near or neighbours(field)
    seen = np.zeros(field.count, bool)
    queue = deque(int(r) for r in field.roots if walking[r])
    seen[list(queue)] = True
    while queue:
        for j in near[queue.popleft()]:
            if walking[j] and not seen[j]:
                seen[j] = True
                queue.append(int(j))
    return seen


def tended(field: Field, walking: Mask) -> Mask:
    """(n,) tell the cells that can be tended from a walking cell."""
    owner = np.repeat(np.arange(field.count), np.diff(field.reach_at))
    found = np.zeros(field.count, bool)
    found[field.reach[walking[owner]]] = True
    return found


def far_from(field: Field) -> Index:
    """(n,) count the steps from where one comes in; -1 = cannot be walked to."""
    near = neighbours(field)
    found = np.full(field.count, -1)
    queue = deque(int(r) for r in field.roots)
    found[field.roots] = 0
    while queue:
        i = queue.popleft()
        for j in near[i]:
            if found[j] < 0:
                found[j] = found[i] + 1
                queue.append(int(j))
    return found.astype(np.intp)


def grow_path(
    field: Field, value: Array, cost: float, must: Mask, closed: Mask, start: Mask | None = None
) -> Mask:
    """Grow a path leg by leg, each time the leg that brings most for each cell walked.

    Parameters
    ----------
    field : Field
        The n cells.
    value : (n,) array
        What each cell is worth planted.
    cost : float
        Of walking on a cell, beside what could grow there.
    must, closed : (n,) array
        Cells that must be walked, and that cannot be.
    start : (n,) array, optional
        A connected path to go on from.
    """
    n = field.count
    near = neighbours(field)
    path = np.zeros(n, bool) if start is None else start.copy()
    for goal in np.flatnonzero(must):
        if not path[goal]:
            _walk_to(field, path, int(goal), closed, near)
    legs = Legs(field, path, price=value, cost=cost, closed=closed)
    while (leg := legs.best()) is not None:
        path[leg] = True
        legs.take(leg)
    return _pruned(field, path, value, cost, must)


def _walk_to(field: Field, path: Mask, goal: int, closed: Mask, near: list[Index]) -> None:
    """Lead the path to a cell by the shortest way; leave it where there is none."""
    back = np.full(field.count, -2)
    queue = deque([goal])
    back[goal] = -1
    ends = path.copy()
    ends[field.roots] = True
    while queue:
        i = queue.popleft()
        if ends[i] and not (closed[i] and i != goal):
            while i >= 0:
                path[i] = True
                i = int(back[i])
            return
        for j in near[i]:
            if back[j] == -2 and not closed[j]:
                back[j] = i
                queue.append(int(j))


def _pruned(field: Field, path: Mask, price: Array, cost: float, must: Mask) -> Mask:
    """Take cells out that bring less than they cost, as long as the rest hangs together."""
    path, near = path.copy(), [a.tolist() for a in neighbours(field)]
    at, reach = field.reach_at, field.reach
    each = np.diff(at)
    owner = np.repeat(np.arange(field.count), each)
    times = np.bincount(reach[path[owner]], minlength=field.count)
    while True:
        lone = np.where((times == 1) & ~path, price, 0.0)[reach]
        lost = np.add.reduceat(lone, at[:-1]) if field.count else np.empty(0)
        gain = np.round(cost + np.where(times > 1, price, 0.0) - lost, DIGITS)
        some = np.flatnonzero(path & ~must & (gain > TINY))
        if not len(some):
            return path
        held = holding(near, path, field.roots)
        some = some[~held[some]]
        if not len(some):
            return path
        worst = some[np.argmax(gain[some])]
        path[worst] = False
        times[reach[at[worst] : at[worst + 1]]] -= 1


def holding(near: list[list[int]], path: Mask, roots: Index) -> Mask:
    """(n,) tell the cells of a path without which some of the rest could not be walked to.

    All of them, where some cannot be walked to already. By depth-first search: a cell holds what
    is found behind it and leads to nothing found before it (Tarjan 1972).
    """
    n = len(path)
    found, low = [-1] * n, [0] * n
    held = np.zeros(n, bool)
    on = path.tolist()
    ends = set(roots[path[roots]].tolist())  # from each of them one is outside at once
    clock = 0
    for root in sorted(ends):
        if found[root] >= 0:
            continue
        stack = [(root, -1, iter(near[root]))]
        while stack:
            i, before, more = stack[-1]
            if found[i] < 0:
                clock += 1
                found[i], low[i] = clock, 0 if i in ends else clock
            for j in more:
                if not on[j] or j == before:
                    continue
                if found[j] < 0:
                    stack.append((j, i, iter(near[j])))
                    break
                low[i] = min(low[i], found[j])
            else:
                stack.pop()
                if before >= 0:
                    low[before] = min(low[before], low[i])
                    held[before] |= low[i] >= found[before]
    if clock < int(path.sum()):
        return path.copy()
    return held


def path_worth(field: Field, path: Mask, price: Array, cost: float) -> float:
    """Give what a path is worth where every tended cell is worth its price."""
    planted = tended(field, path) & ~path
    return float(price[planted].sum()) - cost * float(path.sum())
