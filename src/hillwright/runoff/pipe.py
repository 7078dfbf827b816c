"""What was spilled in the last steps, kept until the cells below have come to the same step."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.runoff.spill import Spill

_TURNS = 64  # steps kept beyond those that are still wanted, so that rows are seldom moved


class Pipe:
    """The spills of n cells, in order of their stages, over the last ``depth`` steps."""

    def __init__(self, n: int, depth: int, donors: list[Index], weights: list[Array]) -> None:
        self.depth = depth  # steps after which a spill has reached every cell that it goes to
        self._width = n + 1  # the last column is always dry: what a cell without a donor reads
        self._rows = np.zeros((depth + max(_TURNS, depth), self._width))
        self._now = depth
        self._donors, self._weights = donors, weights

    @classmethod
    def of(cls, spill: Spill, sort: Index, stage: Index, area: Array) -> Pipe:
        """Lay the pipe between cells that are sorted by stage.

        Parameters
        ----------
        spill : Spill
            Where each of n cells spills to.
        sort, stage : (n,) arrays of int
            The cells in their new order, and their stages.
        area : (n,) array
            Plan areas in the new order [m2].
        """
        n = len(sort)
        place = np.empty(n, np.intp)
        place[sort] = np.arange(n)
        source, target = place[spill.source], place[spill.target]
        lag = stage[target] - stage[source]
        depth = int(lag.max(initial=1))
        weight = spill.share * area[source] / area[target]  # depth over one to depth over another
        by = np.argsort(target, kind="stable")
        source, target, lag, weight = source[by], target[by], lag[by], weight[by]
        # the first, second, ... donor of each target
        turn = np.arange(len(target)) - np.searchsorted(target, target)
        donors, weights = [], []
        for k in range(int(turn.max(initial=-1)) + 1):
            at, w = np.full(n, n), np.zeros(n)
            mine = turn == k
            at[target[mine]] = (depth - lag[mine]) * (n + 1) + source[mine]
            w[target[mine]] = weight[mine]
            donors.append(at)
            weights.append(w)
        return cls(n, depth, donors, weights)

    def add_to(self, water: Array, first: int, last: int) -> None:
        """Add what their donors spilled in the same step to cells ``first`` to ``last`` [m]."""
        past = self._rows.reshape(-1)[(self._now - self.depth) * self._width :]
        for donors, weights in zip(self._donors, self._weights, strict=True):
            water += past.take(donors[first:last]) * weights[first:last]

    def push(self, spilled: Array, first: int, last: int) -> None:
        """Keep what cells ``first`` to ``last`` spilled, over their plan area [m]."""
        if self._now == len(self._rows):
            self._rows[: self.depth] = self._rows[-self.depth :]
            self._now = self.depth
        self._rows[self._now, first:last] = spilled
        self._now += 1
