"""Which rows carry a lateral, which rows hang on it, and where the header climbs.

A row hangs whole on one lateral: its own, or that of a row at most two away. So the rows fall into
blocks of neighbours with one lateral each. The header climbs from row to row at any station and
may step along any row, through cells and round what is shut. The cheapest blocks and the cheapest
header are found together, exactly, by walking down the rows for every station at once. The bound
is for any header of that kind and any way at all of hanging single plants on laterals (see
``routebound``).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.irrigation.headerways import Point, Ways, straightened
from hillwright.irrigation.rounds import Beside, Hole

REACH = 2  # rows that small tubing may cross: more is in the way of planting (our choice)


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Plants of one valve as the router sees them: k rows in order, q plants."""

    row: Index  # (q,) which of the rows each plant stands in
    station: Array  # (q,) along the row, from the left looking uphill [m]
    weight: Array  # (q,) emitters at it, each with a tube of its own
    gap: Array  # (k-1,) from each row to the next, along the slope [m]
    whip: float  # tubing of a plant on its own row's lateral [m]
    crossing: float  # more of it for each row crossed [m]
    longest: float  # a tube may be [m]
    lateral: float  # cost of a metre, laid
    header: float  # cost of a metre, laid
    small: float  # cost of a metre, laid
    fixed: float  # cost of a lateral's take-off, check valve and flush end
    foot: int  # row where the header arrives
    reached: Array  # (s,) cost of the way from the tap to the foot at each station
    stations: Array  # (s,) where the header may climb [m]
    strip: float  # width of a cell, for the bound [m]
    down: Mask | None = None  # (k-1, s) whether the header may go from a row to the next; all
    bare: frozenset[int] = frozenset()  # rows without a cell: they carry no lateral
    along: Mask | None = None  # (k, s-1) whether it may step from a station to the next; all
    holes: tuple[tuple[Hole, ...], ...] = ()  # (k,) of each row, which its lateral goes round; none
    tees: Mask | None = None  # (k, s) whether a lateral may leave the header there; all

    @property
    def rows(self) -> int:
        """How many rows."""
        return len(self.gap) + 1

    def tube(self, apart: int) -> float:
        """Give the tubing of a plant that hangs so many rows away; infinite if too long [m]."""
        long = self.whip + self.crossing * apart
        return long if long <= self.longest + 1e-9 and apart <= REACH else np.inf

    def tubes(self, apart: Index) -> Array:
        """Give the same for many plants."""
        long = self.whip + self.crossing * apart
        return np.where((long <= self.longest + 1e-9) & (apart <= REACH), long, np.inf)


@dataclass(frozen=True, slots=True, eq=False)
class Routes:
    """The way of the water for one valve."""

    carrier: Index  # (k,) row whose lateral each row hangs on
    leaves: Array  # (k,) station at which the row's lateral leaves the header; NaN without one [m]
    header: tuple[tuple[int, float], ...]  # corners and take-offs from the top: row, station [m]
    joined: int  # which of them the tap is joined to
    cost: float  # of all tubing, fittings and hours that depend on it
    bound: float  # no way of hanging plants on laterals costs less


def best_routes(field: Field) -> Routes:
    """Find the cheapest blocks of rows with the cheapest header, and a bound.

    Raises
    ------
    OutOfRange
        No header reaches the rows: says what would do.
    """
    from hillwright.irrigation.routebound import bound

    k, s, foot = field.rows, len(field.stations), field.foot
    low, high, tubes = _spans(field)
    ways = Ways(field, 4 * REACH + 1)
    beside = [
        [(hole, Beside(field, hole, c, REACH)) for hole in field.holes[c]] if field.holes else []
        for c in range(k)
    ]
    # cheapest way to serve rows 0..j with the last lateral at c, by the station it leaves from;
    # 0 while the tap is still to be joined farther down, 1 once it is
    best = np.full((2, k, k, s), np.inf)
    begun = np.zeros((2, k, k, s), np.intp)
    comes = np.full((2, k, k, s), np.inf)  # by (first row of the block, its lateral)
    before = np.full((2, k, k, s, 3), -1, np.intp)
    for j in range(k):
        _arrive(field, ways, best, comes, before, j)
        for i in range(max(0, j - 2 * REACH), j + 1):
            left, right = low[i : j + 1].min(), high[i : j + 1].max()
            length = np.maximum(right, field.stations) - np.minimum(left, field.stations)
            pipe = field.fixed + field.lateral * length
            for c in range(i, j + 1):
                hung = sum(tubes[r] * field.tube(abs(r - c)) for r in range(i, j + 1) if tubes[r])
                if not np.isfinite(hung) or c in field.bare:
                    continue
                own = pipe + field.small * hung if tubes[i : j + 1].any() else np.zeros(s)
                if tubes[i : j + 1].any():
                    own = own + _past(field, c, beside[c], range(i, j + 1), (left, right))
                total = own + comes[:, i, c]
                better = total < best[:, j, c]
                best[:, j, c][better] = total[better]
                begun[:, j, c][better] = i
    end = best[:, k - 1].copy()
    for c in range(k):
        near = max(0, k - 1 - 2 * REACH) <= c <= foot
        end[0, c] += (ways.cost[c, foot] + field.reached).min(axis=1) if near else np.inf
    on, c, at = (int(v) for v in np.unravel_index(int(end.argmin()), end.shape))
    if not np.isfinite(end[on, c, at]):
        raise OutOfRange(
            "irrigation.beside",
            "no header reaches every row through the cells",
            'write "beside = true" under [irrigation], so that it may climb outside of the rows',
        )
    cost, carrier, taken = float(end[on, c, at]), np.empty(k, np.intp), list[_Taken]()
    j = k - 1
    while j >= 0:
        i = int(begun[on, j, c, at])
        carrier[i : j + 1] = c
        taken.append(((c, at), on))
        j, (on, c, at) = i - 1, (int(v) for v in before[on, i, c, at])
    return _laid(field, ways, carrier, taken[::-1], cost, bound(field))


_Taken = tuple[Point, int]  # where a lateral leaves the header, and whether the tap is joined there


def _arrive(field: Field, ways: Ways, best: Array, comes: Array, before: Index, i: int) -> None:
    """Find the cheapest header to every lateral of a block that begins with row i."""
    k, foot = field.rows, field.foot
    for c in range(i, min(i + 2 * REACH, k - 1) + 1):
        if i == 0:
            if foot >= c:
                comes[0, i, c] = 0.0
            if foot <= c:
                comes[1, i, c] = (field.reached[:, None] + ways.cost[foot, c]).min(axis=0)
            continue
        for last in range(max(0, i - 1 - 2 * REACH), i):
            moves = [(0, 0)] * (foot >= c) + [(1, 1)] * (foot <= last)
            moves += [(0, 1)] * (last <= foot <= c)
            for was, on in moves:
                if not np.isfinite(best[was, i - 1, last]).any():
                    continue
                way = ways.by_tap(last, c) if was != on else ways.cost[last, c]
                total = best[was, i - 1, last][:, None] + way
                arrives, from_ = total.min(axis=0), total.argmin(axis=0)
                better = arrives < comes[on, i, c]
                comes[on, i, c][better] = arrives[better]
                whence = (np.full_like(from_, was), np.full_like(from_, last), from_)
                before[on, i, c][better] = np.stack(whence, axis=1)[better]


def _laid(
    field: Field, ways: Ways, carrier: Index, taken: list[_Taken], cost: float, floor: float
) -> Routes:
    """Give the corners of the header that joins laterals from the top down, and the tap."""
    foot = field.foot
    points: list[Point] = []
    (first, on), (last, done) = taken[0], taken[-1]
    joined = first
    if on:
        joined = foot, int((field.reached + ways.cost[foot, first[0]][:, first[1]]).argmin())
        points += ways.points(joined, first)
    for (a, was), (b, now) in pairwise(taken):
        if was != now:
            joined = foot, ways.joins(a[0], b[0], a[1], b[1])
            points += [*ways.points(a, joined), *ways.points(joined, b)]
        else:
            points += ways.points(a, b)
    if not done:
        joined = foot, int((ways.cost[last[0], foot][last[1]] + field.reached).argmin())
        points += ways.points(last, joined)
    corners = straightened(points or [joined], {joined, *(point for point, _ in taken)})
    leaves = np.full(field.rows, np.nan)
    for (c, at), _ in taken:
        leaves[c] = field.stations[at]
    header = tuple((r, float(field.stations[at])) for r, at in corners)
    return Routes(carrier, leaves, header, corners.index(joined), cost, floor)


def _past(
    field: Field,
    carrier: int,
    holes: list[tuple[Hole, Beside]],
    rows: range,
    span: tuple[float, float],
) -> Array:
    """Give what a lateral pays by the station it leaves from: round holes, none from within one."""
    found = np.zeros(len(field.stations))
    if field.tees is not None:
        found[~field.tees[carrier]] = np.inf
    for hole, beside in holes:
        middle = (hole.left + hole.right) / 2
        for side in (field.stations <= middle, field.stations > middle):
            if side.any():
                at = float(field.stations[side][0])
                found[side] += beside.cost(rows, at, span)
    return found


def _spans(field: Field) -> tuple[Array, Array, Array]:
    """Give of each row its first and last plant's station, and its number of tubes."""
    low, high = np.full(field.rows, np.inf), np.full(field.rows, -np.inf)
    np.minimum.at(low, field.row, field.station)
    np.maximum.at(high, field.row, field.station)
    return low, high, np.asarray(np.bincount(field.row, field.weight, field.rows), float)
