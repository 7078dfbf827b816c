"""Where people walk: a connected set of cells from which much can be tended and little is lost."""

from __future__ import annotations

from collections import deque
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.field import Field

LEGS = 7  # how many cells a new leg of the path may be long
_TINY = 1e-9


def reach_matrix(field: Field) -> Mask:
    """(n, n) tell which cells (columns) can be tended from which (rows)."""
    found = np.zeros((field.count, field.count), bool)
    found[np.repeat(np.arange(field.count), np.diff(field.reach_at)), field.reach] = True
    return found


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
    reach, near = reach_matrix(field), neighbours(field)
    path = np.zeros(n, bool) if start is None else start.copy()
    for goal in np.flatnonzero(must):
        if not path[goal]:
            _walk_to(field, path, int(goal), closed, near)
    covered = np.asarray(reach[path].any(axis=0))
    both = np.concatenate([field.steps, field.steps[:, ::-1]])
    while True:
        leg = _best_leg(field, path, covered, reach, value, cost, closed, both)
        if leg is None:
            return _pruned(field, path, reach, value, cost, must)
        path[leg] = True
        covered |= reach[leg].any(axis=0)


def _best_leg(
    field: Field, path: Mask, covered: Mask, reach: Mask, price: Array, cost: float,
    closed: Mask, both: Index,
) -> Index | None:  # fmt: skip
    """Give the cells of the leg with the highest gain for its length, None if none gains.

    Legs grow outwards cell by cell; of the ways to a cell, the one that has gained most is kept.
    """
    n = field.count
    new = (reach & ~covered).astype(np.float32)
    before = np.full(n, -1)
    gain_at = np.full(n, -np.inf)
    first = np.zeros(n, bool)
    first[field.roots] = True
    first[both[path[both[:, 0]], 1]] = True
    done = path | closed
    level = np.flatnonzero(first & ~done)
    # what is planted on a cell now is lost when it is walked; so is what could be from now on
    paid = cost + price
    weight = price.astype(np.float32)
    union, spent = new[level], paid[level]
    place = np.full(n, -1)
    best, best_rate = -1, _TINY
    for length in range(1, LEGS + 1):
        if not len(level):
            break
        done[level] = True
        gain = union @ weight - spent
        gain_at[level] = gain
        place[level] = np.arange(len(level))
        k = int(np.argmax(gain))
        if gain[k] / length > best_rate + _TINY:
            best, best_rate = int(level[k]), float(gain[k]) / length
        out = both[(place[both[:, 0]] >= 0) & ~done[both[:, 1]]]
        if not len(out):
            break
        out = out[np.lexsort((out[:, 0], -gain_at[out[:, 0]], out[:, 1]))]
        out = out[np.append(True, out[1:, 1] != out[:-1, 1])]
        old = place[out[:, 0]]
        level = out[:, 1]
        before[level] = out[:, 0]
        union = np.maximum(union[old], new[level])
        spent = spent[old] + paid[level]
        place[:] = -1
    if best < 0:
        return None
    leg = [best]
    while before[leg[-1]] >= 0:
        leg.append(int(before[leg[-1]]))
    return np.array(leg, np.intp)


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


def _pruned(field: Field, path: Mask, reach: Mask, price: Array, cost: float, must: Mask) -> Mask:
    """Take cells out that bring less than they cost, as long as the rest hangs together."""
    path, near = path.copy(), neighbours(field)
    times = reach[path].sum(axis=0).astype(int)
    while True:
        cells = np.flatnonzero(path & ~must)
        lone = reach[cells] & (times == 1) & ~path
        gain = cost + np.where(times[cells] > 1, price[cells], 0.0) - lone @ price
        for k in np.argsort(-gain, kind="stable"):
            if gain[k] <= _TINY:
                return path
            without = path.copy()
            without[cells[k]] = False
            if connected(field, without, near).sum() == without.sum():
                path = without
                times -= reach[cells[k]]
                break
        else:
            return path


def path_worth(field: Field, path: Mask, price: Array, cost: float) -> float:
    """Give what a path is worth where every tended cell is worth its price."""
    planted = tended(field, path) & ~path
    return float(price[planted].sum()) - cost * float(path.sum())
