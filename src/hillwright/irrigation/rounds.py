"""Laterals round what is shut: where a row has a hole, along a neighbouring row and back.

At the last cell before the hole the tubing turns up or down the slope, through the cells of the
rows between, runs along a row that has cells all the way, and comes back to the first cell beyond.
Plants over and under the hole hang on the way round; those at its edges there or on a corner,
by the shorter tube. A hole that no cells lead round is crossed straight, and told.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.irrigation.ground import Rows

if TYPE_CHECKING:
    from hillwright.irrigation.routes import Field

GAP = 1.6  # cells farther apart than so many widths have a hole between them
_NEAREST = 3  # ways looked at on each side of a hole
_ASIDE = (0.0, -0.25, 0.25, -0.45, 0.45)  # of a cell's width: where the tubing may turn in it


@dataclass(frozen=True, slots=True)
class Round:
    """A way round a hole along another row."""

    row: int  # that it runs along, by its number in the field; may be outside of it
    begin: float  # station of its left corner [m]
    end: float  # and of its right one [m]
    rise: float  # up or down the slope, the mean of both corners [m]


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole in a row, between the cells left and right of it."""

    left: float  # station of the last cell before it [m]
    right: float  # and of the first beyond [m]
    ways: tuple[Round, ...]  # none: nothing leads round it through the cells


class Passed(NamedTuple):
    """How a lateral gets past a hole, or into it."""

    cost: float  # more than straight on, with the tubes that get longer or shorter
    way: Round | None  # None: straight on, or no farther than its edge
    through: bool  # it comes out beyond, as plants hang there


def holes_of(rows: Rows, row: int, first: int, wide: float) -> tuple[Hole, ...]:
    """Find the holes of a row of the layout; rows are numbered from ``first``.

    Where it is known what to keep off, a gap between cells with nothing of it is no hole.
    """
    if row not in rows.of:
        return ()
    stations = rows.station[rows.of[row]]
    found = []
    for a, b in pairwise(stations.tolist()):
        if b - a > GAP * wide and (rows.off is None or rows.crosses(_line(rows, row, a, b))):
            found.append(Hole(a, b, _ways(rows, row, first, a, b, wide)))
    return tuple(found)


def _line(rows: Rows, row: int, a: float, b: float) -> Array:
    """Give the line of a row from one station to another (k, 3)."""
    x = rows.station[rows.of[row]]
    return rows.point(row, np.array([a, *x[(x > a) & (x < b)], b]), 0.0)


def _ways(rows: Rows, row: int, first: int, a: float, b: float, wide: float) -> tuple[Round, ...]:
    """Find the nearest ways round a hole, over it and under it."""
    found, turns = [], _Turns(rows, a, b, wide)
    for side in (-1, 1):
        ways: list[Round] = []
        d = row + side
        while d in rows.of and len(ways) < _NEAREST:
            way = _round(turns, row, d)
            if way is not None:
                ways.append(Round(d - first, way.begin, way.end, way.rise))
            d += side
        found += ways
    return tuple(found)


class _Turns:
    """Stations at which tubing may turn off before and behind a hole, and their points by row."""

    def __init__(self, rows: Rows, a: float, b: float, wide: float) -> None:
        self.rows, self.wide = rows, wide
        self.stations = np.array([near + step * wide for near in (a, b) for step in _ASIDE])
        self._points: dict[int, Array] = {}

    def line(self, between: range, k: int) -> Array:
        """Give the way from row to row at the k-th station (r, 3)."""
        for r in between:
            if r not in self._points:
                self._points[r] = self.rows.point(r, self.stations, 0.0)
        return np.array([self._points[r][k] for r in between])

    def corner(self, between: range, behind: bool) -> tuple[float, Array] | None:
        """Give the first station that lets the tubing through, and the way there."""
        many = len(_ASIDE)
        for k in range(many * behind, many * (behind + 1)):
            x = float(self.stations[k])
            if self.rows.off is None:
                if not all(_cell_at(self.rows, r, x, self.wide) for r in between):
                    continue
                return x, self.line(between, k)
            up = self.line(between, k)
            if not self.rows.crosses(up):
                return x, up
        return None


def _round(turns: _Turns, row: int, along: int) -> Round | None:
    """Find the corners of a way along another row, if the ground lets it through."""
    rows, wide = turns.rows, turns.wide
    between = range(min(row, along), max(row, along) + 1)
    begin, end = turns.corner(between, False), turns.corner(between, True)
    if begin is None or end is None:
        return None
    x = rows.station[rows.of[along]]
    inside = x[(x > begin[0] - wide) & (x < end[0] + wide)]
    if rows.off is None and (np.diff(inside) > GAP * wide).any():
        return None
    if begin[0] < x[0] - wide or end[0] > x[-1] + wide:
        return None  # past the ends of that row is no way that is known
    if rows.crosses(_line(rows, along, begin[0], end[0])):
        return None
    up = [float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for _, line in (begin, end)]
    return Round(along, begin[0], end[0], sum(up) / 2)


def _cell_at(rows: Rows, row: int, station: float, wide: float) -> bool:
    return bool((np.abs(rows.station[rows.of[row]] - station) <= 0.5 * wide + 1e-9).any())


def tubes_by(
    field: Field, hole: Hole, way: Round | None, carrier: int, plants: Index
) -> tuple[Array, Array, Mask]:
    """Give the tubes of plants beside a hole of their lateral.

    Returns
    -------
    tube : (p,) array
        To each; infinite where it would be too long [m].
    station : (p,) array
        Of its punched hole [m].
    round_ : (p,) array of bool
        It is punched into the way round.
    """
    x = field.station[plants]
    left, right = (hole.left, hole.right) if way is None else (way.begin, way.end)
    near = np.where(x <= (hole.left + hole.right) / 2, np.minimum(x, left), np.maximum(x, right))
    own = field.tubes(np.abs(field.row[plants] - carrier))
    own = own + np.abs(near - x)
    half = 0.5 * field.strip + 1e-9
    own[(own > field.longest + 1e-9) | ((x > hole.left + half) & (x < hole.right - half))] = np.inf
    if way is None:
        return own, near, np.zeros(len(x), bool)
    there = field.tubes(np.abs(field.row[plants] - way.row))
    there[(x < left) | (x > right)] = np.inf
    on = there < own
    return np.where(on, there, own), np.where(on, x, near), on


def over(field: Field, hole: Hole, rows: range) -> Index:
    """Give the plants of rows that stand over or under a hole, or at its edges."""
    x, mine = field.station, (field.row >= rows.start) & (field.row < rows.stop)
    edge = 0.5 * field.strip
    return np.flatnonzero(mine & (x > hole.left - edge) & (x < hole.right + edge))


def _goes(field: Field, hole: Hole, station: float, span: tuple[float, float]) -> tuple[bool, bool]:
    """Tell whether a lateral from a station comes out beyond a hole, and whether it goes in."""
    half = 0.5 * field.strip + 1e-9
    if station <= (hole.left + hole.right) / 2:
        return span[1] >= hole.right - half, span[1] > hole.left + half
    return span[0] <= hole.left + half, span[0] < hole.right - half


class Beside:
    """What a lateral pays at a hole of its row, for any block of rows that hangs on it.

    The same as the cost of :func:`passed`, with the tubes of each row added up once.
    """

    def __init__(self, field: Field, hole: Hole, carrier: int, reach: int) -> None:
        self._field, self._hole = field, hole
        self._first = carrier - reach
        mine = over(field, hole, range(carrier - reach, carrier + reach + 1))
        row, weight = field.row[mine] - self._first, field.weight[mine]

        def by_row(tube: Array) -> Array:
            return np.asarray(np.bincount(row, tube * weight, 2 * reach + 1))

        straight = by_row(field.tubes(np.abs(field.row[mine] - carrier)))
        straight[np.isinf(straight)] = 0.0  # out of reach, with the hole or without it
        self._ways = [
            (
                0.0 if way is None else way.rise,
                by_row(tubes_by(field, hole, way, carrier, mine)[0]) - straight,
            )
            for way in hole.ways or (None,)
        ]

    def cost(self, rows: range, station: float, span: tuple[float, float]) -> float:
        """Give what is paid; as :func:`passed`."""
        field = self._field
        through, into = _goes(field, self._hole, station, span)
        if not into:
            return 0.0
        some = slice(max(rows.start - self._first, 0), max(rows.stop - self._first, 0))
        return min(
            field.lateral * rise * (2 if through else 1) + field.small * float(more[some].sum())
            for rise, more in self._ways
        )


def passed(
    field: Field, hole: Hole, carrier: int, rows: range, station: float, span: tuple[float, float]
) -> Passed:
    """Find the cheapest way of a lateral past a hole of its row.

    Parameters
    ----------
    field : Field
        Of the valve.
    hole : Hole
        In the lateral's row.
    carrier : int
        The lateral's row.
    rows : range
        That hang on it.
    station : float
        Where it leaves the header [m].
    span : (float, float)
        Stations of the outermost plants of those rows [m].

    Returns
    -------
    Passed
        Infinite in cost where a plant beside the hole is out of reach whatever way is taken.
    """
    through, into = _goes(field, hole, station, span)
    if not into:
        return Passed(0.0, None, False)
    mine = over(field, hole, rows)
    straight = float(field.weight[mine] @ field.tubes(np.abs(field.row[mine] - carrier)))
    best = Passed(np.inf, None, through)
    for way in hole.ways or (None,):
        tube, _, _ = tubes_by(field, hole, way, carrier, mine)
        more = 0.0 if way is None else way.rise * (2 if through else 1)
        hung = float((tube * field.weight[mine]).sum())
        cost = field.lateral * more + field.small * (hung - straight)
        if cost < best.cost:
            best = Passed(cost, way, through)
    return best
