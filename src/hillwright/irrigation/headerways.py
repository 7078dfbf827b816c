"""Ways of the header through the rows: up and down between rows, along a row, round what is shut.

All ways are least-cost: a matrix holds for two rows what the header costs from each station of one
to each station of the other, going from row to row with steps along any of them.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.irrigation.rounds import GAP

if TYPE_CHECKING:
    from hillwright.irrigation.routes import Field

Point = tuple[int, int]  # row of the field, number of the station


class Ways:
    """What the header costs between stations of rows not too far apart."""

    def __init__(self, field: Field, most: int) -> None:
        self.field = field
        k, s = field.rows, len(field.stations)
        open_along = np.ones((k, s - 1), bool) if field.along is None else field.along
        open_down = np.ones((k - 1, s), bool) if field.down is None else field.down
        self.along = [self._along(open_along[r]) for r in range(k)]
        self._tapped: dict[tuple[int, int], Array] = {}
        step = field.header * field.gap
        self.step = [np.where(open_down[r], step[r], np.inf) for r in range(k - 1)]
        self.cost: dict[tuple[int, int], Array] = {}
        for a in range(k):
            self.cost[a, a] = self.along[a]
            for b in range(a + 1, min(a + most, k - 1) + 1):
                before = self.cost[a, b - 1] + self.step[b - 1]
                self.cost[a, b] = plus(before, self.along[b])

    def _along(self, open_: Array) -> Array:
        """Give what a step along a row costs between any two of its stations."""
        x = self.field.stations
        shut = np.concatenate([[0.0], np.cumsum(~np.asarray(open_, bool))])
        free = shut[:, None] == shut[None, :]
        return np.where(free, self.field.header * np.abs(x[:, None] - x[None, :]), np.inf)

    def by_tap(self, a: int, b: int) -> Array:
        """Give the cost from row a to row b, the tap joined at the foot between them."""
        if (a, b) not in self._tapped:
            foot = self.field.foot
            self._tapped[a, b] = plus(self.cost[a, foot] + self.field.reached, self.cost[foot, b])
        return self._tapped[a, b]

    def joins(self, a: int, b: int, i: int, j: int) -> int:
        """Give the station at which the tap joins on the way from (a, i) to (b, j)."""
        foot = self.field.foot
        return int((self.cost[a, foot][i] + self.field.reached + self.cost[foot, b][:, j]).argmin())

    def points(self, start: Point, end: Point) -> list[Point]:
        """Give the corners of the cheapest way down from one point to another, both with it."""
        (a, i), (b, j) = start, end
        at, back = j, [end]
        for r in range(b, a, -1):
            # where the header comes down into row r, before it steps along it
            into = self.cost[a, r - 1][i] + self.step[r - 1] + self.along[r][:, at]
            here = int(into.argmin())
            if here != at:
                back.append((r, here))
            back.append((r - 1, here))
            at = here
        if at != i:
            back.append(start)
        return back[::-1]


def plus(a: Array, b: Array) -> Array:
    """Give the least sum over the middle of two matrices of costs."""
    return np.asarray((a[:, :, None] + b[None, :, :]).min(axis=1))


def straightened(points: list[Point], kept: set[Point]) -> list[Point]:
    """Leave out points at which a way only goes on, and those that come twice."""
    once = [p for k, p in enumerate(points) if not k or p != points[k - 1]]
    found = []
    for k, p in enumerate(once):
        inner = 0 < k < len(once) - 1
        if inner and p not in kept:
            before, after = once[k - 1], once[k + 1]
            if before[1] == p[1] == after[1] or before[0] == p[0] == after[0]:
                continue
        found.append(p)
    return found


def shut_by(
    row: Index, station: Array, wide: float, rows: range, stations: Array, beside: bool
) -> tuple[Mask, Mask, Mask]:
    """Say between which rows, and along which rows, the header may go at each station.

    Within a row it needs a cell to go through; past the ends of a row it lies on open ground.

    Parameters
    ----------
    row, station : (n,) array
        Of every cell of the hill [-], [m].
    wide : float
        Of a cell [m].
    rows : range
        Of the field, by their numbers.
    stations : (s,) array
        Where the header may climb [m].
    beside : bool
        It may lie beside the rows, outside of them.

    Returns
    -------
    down : (k-1, s) array of bool
        From each row to the next.
    along : (k, s-1) array of bool
        From each station to the next.
    free : (k, s) array of bool
        Whether it may stand there.
    """
    free = np.ones((len(rows), len(stations)), bool)
    along = np.ones((len(rows), len(stations) - 1), bool)
    for k, r in enumerate(rows):
        mine = np.sort(station[row == r])
        if not mine.size:
            free[k], along[k] = beside, False
            continue
        half = 0.51 * wide
        near = np.abs(stations[:, None] - mine[None, :]).min(axis=1) <= half
        past = (stations < mine[0] - half) | (stations > mine[-1] + half)
        free[k] = near | (past & beside)
        # a hole between two cells that are not neighbours
        holes = [(a, b) for a, b in pairwise(mine) if b - a > GAP * wide]
        for a, b in holes:
            along[k] &= ~((stations[:-1] < b) & (stations[1:] > a))
    along &= free[:, :-1] & free[:, 1:]
    return free[:-1] & free[1:], along, free
