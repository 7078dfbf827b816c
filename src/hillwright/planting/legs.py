"""Legs by which a path may go on, kept up to date as it grows: only what is near it is looked at.

A leg leads from the path, or from where one comes in, outwards by the fewest steps; of the cells
that it may come by, the one that has gained most is kept. A new leg of the path changes only legs
that pass within a few steps of it, so the rest is left as it is.
"""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.field import Field

LEGS = 7  # how many cells a new leg of the path may be long
TINY = 1e-9
DIGITS = 9  # of a gain: what is equal by hand is equal here, in any order of adding up


def table(at: Index, cells: Index, none: int) -> Index:
    """(n, k) lists of lists as one table: short ones are filled up with ``none``."""
    each = np.diff(at)
    found = np.full((len(each), int(each.max(initial=1))), none)
    found[np.arange(found.shape[1]) < each[:, None]] = cells
    return found


def near_table(field: Field) -> Index:
    """(n + 1, k) cells that one may step to from each cell, in order; n = none."""
    n = field.count
    both = np.concatenate([field.steps, field.steps[:, ::-1]])
    both = both[np.lexsort((both[:, 1], both[:, 0]))]
    found = table(np.searchsorted(both[:, 0], np.arange(n + 1)), both[:, 1], n)
    return np.concatenate([found, np.full((1, found.shape[1]), n)])


def seen_from(field: Field) -> tuple[Index, Index]:
    """List the cells from which each cell can be tended: where each begins, and the cells."""
    n = field.count
    owner = np.repeat(np.arange(n), np.diff(field.reach_at))
    order = np.argsort(field.reach, kind="stable")
    at = np.zeros(n + 1, np.intp)
    np.cumsum(np.bincount(field.reach, minlength=n), out=at[1:])
    return at, owner[order]


class Legs:
    """The best leg to every cell off a path.

    Parameters
    ----------
    field : Field
        The n cells.
    path : (n,) array
        To begin with.
    price : (n,) array
        What each cell is worth planted.
    cost : float
        Of walking on a cell, beside what could grow there.
    closed : (n,) array
        Cells that cannot be walked.
    """

    def __init__(self, field: Field, path: Mask, price: Array, cost: float, closed: Mask) -> None:
        n = field.count
        # one more cell at the end stands for "none": worth nothing, and never walked
        self.near = near_table(field)
        self.reach = table(field.reach_at, field.reach, n)
        self.seen_from = table(*seen_from(field), n)
        self.left = np.append(price, 0.0)  # what a cell brings that comes into reach
        # what is planted on a cell now is lost when it is walked; so is what could be from now on
        self.paid = price + cost
        self.open = np.append(~(closed | path), False)
        self.level = np.full(n + 1, LEGS + 1)  # cells of the leg
        self.gain = np.full(n + 1, -np.inf)
        self.rate = np.full(n + 1, -np.inf)  # gain for each cell walked
        self.chain = np.full((n + 1, LEGS), n)  # cells of the leg, from the path on
        self.old = np.zeros(n + 1, bool)  # to be worked out again
        roots = field.roots[self.open[field.roots]]
        self.level[roots] = 1
        self.old[roots] = True
        self._nearer(roots, 2)
        self.take(np.flatnonzero(path))

    def best(self) -> Index | None:
        """Give the cells of the leg with the highest gain for its length, None if none gains."""
        top = float(self.rate.max())
        if top <= TINY:
            return None
        # of equals the shortest, and of these the one to the first cell
        alike = np.flatnonzero(self.rate >= top - TINY)
        k = alike[np.argmin(self.level[alike])]
        return np.asarray(self.chain[k, : self.level[k]])

    def take(self, leg: Index) -> None:
        """Make a leg part of the path."""
        self.open[leg] = False
        self.level[leg] = 0
        self.rate[leg] = -np.inf
        new = np.unique(self.reach[leg])
        new = new[self.left[new] != 0]
        self.left[new] = 0.0
        self.old[self.seen_from[new]] = True
        self._nearer(leg, 1)
        for length in range(1, LEGS + 1):
            some = np.flatnonzero(self.old & (self.level == length) & self.open)
            if len(some):
                self._work_out(some, length)
        self.old[:] = False

    def _nearer(self, ends: Index, length: int) -> None:
        """Shorten the legs that new ends lie nearer to."""
        for k in range(length, LEGS + 1):
            if not len(ends):
                return
            next_ = np.unique(self.near[ends])
            ends = next_[self.open[next_] & (self.level[next_] > k)]
            self.level[ends] = k
            self.old[ends] = True

    def _work_out(self, some: Index, length: int) -> None:
        """Find the best legs to some cells, all of one length, from those to cells before them."""
        before = self.near[some]
        if length > 1:
            known = self.level[before] == length - 1
            k = np.argmax(np.where(known, self.gain[before], -np.inf), axis=1)
            self.chain[some, : length - 1] = self.chain[before[np.arange(len(some)), k]][
                :, : length - 1
            ]
        self.chain[some, length - 1] = some
        legs = self.chain[some, :length]
        new = np.sort(self.reach[legs].reshape(len(some), -1), axis=1)
        brings = self.left[new]
        brings[:, 1:][new[:, 1:] == new[:, :-1]] = 0.0  # each cell once
        gain = np.round(brings.sum(axis=1) - self.paid[legs].sum(axis=1), DIGITS)
        self.gain[some] = gain
        self.rate[some] = gain / length
        # legs that go on from here
        on = before[self.level[before] == length + 1]
        self.old[on] = True
