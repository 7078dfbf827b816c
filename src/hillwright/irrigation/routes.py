"""Which rows carry a lateral, which rows hang on it, and where the header climbs.

A row hangs whole on one lateral: its own, or that of a row at most two away. So the rows fall into
blocks of neighbours with one lateral each, and the cheapest blocks are found exactly by walking
down the rows, for every station of the header at once. The bound is for any way at all of hanging
single plants on laterals (see ``routebound``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index

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

    @property
    def rows(self) -> int:
        """How many rows."""
        return len(self.gap) + 1

    def tube(self, apart: int) -> float:
        """Give the tubing of a plant that hangs so many rows away; infinite if too long [m]."""
        long = self.whip + self.crossing * apart
        return long if long <= self.longest + 1e-9 and apart <= REACH else np.inf


@dataclass(frozen=True, slots=True, eq=False)
class Routes:
    """The way of the water for one valve."""

    carrier: Index  # (k,) row whose lateral each row hangs on
    station: float  # of the header [m]
    cost: float  # of all tubing, fittings and hours that depend on it
    bound: float  # no way of hanging plants on laterals costs less


def best_routes(field: Field) -> Routes:
    """Find the cheapest blocks of rows and the best station of the header, with a bound."""
    from hillwright.irrigation.routebound import bound

    k, s = field.rows, len(field.stations)
    low, high, tubes = _spans(field)
    down = np.concatenate([[0.0], np.cumsum(field.gap)])
    # cheapest way to serve rows 0..j with the last lateral at c, for each station
    best = np.full((k, k, s), np.inf)
    begun, before = np.zeros((k, k, s), np.intp), np.full((k, k, s), -1, np.intp)
    for j in range(k):
        for i in range(max(0, j - 2 * REACH), j + 1):
            left, right = low[i : j + 1].min(), high[i : j + 1].max()
            length = np.maximum(right, field.stations) - np.minimum(left, field.stations)
            pipe = field.fixed + field.lateral * length
            for c in range(i, j + 1):
                hung = sum(tubes[r] * field.tube(abs(r - c)) for r in range(i, j + 1) if tubes[r])
                if not np.isfinite(hung):
                    continue
                own = pipe + field.small * hung if tubes[i : j + 1].any() else np.zeros(s)
                if i == 0:
                    climb = field.header * max(down[c] - down[field.foot], 0.0)
                    total, last = own + field.reached + climb, np.full(s, -1, np.intp)
                else:
                    lo = max(0, i - 1 - 2 * REACH)
                    ways = best[i - 1, lo:i] + (field.header * (down[c] - down[lo:i]))[:, None]
                    total, last = own + ways.min(axis=0), ways.argmin(axis=0) + lo
                better = total < best[j, c]
                best[j, c][better] = total[better]
                begun[j, c][better], before[j, c][better] = i, last[better]
    # a foot below the last lateral still has to climb to it
    end = best[k - 1] + (field.header * np.maximum(down[field.foot] - down, 0))[:, None]
    c, at = (int(v) for v in np.unravel_index(int(end.argmin()), end.shape))
    carrier = np.empty(k, np.intp)
    j, hung_on = k - 1, c
    while j >= 0:
        i = int(begun[j, hung_on, at])
        carrier[i : j + 1] = hung_on
        j, hung_on = i - 1, int(before[j, hung_on, at])
    return Routes(carrier, float(field.stations[at]), float(end[c, at]), bound(field))


def _spans(field: Field) -> tuple[Array, Array, Array]:
    """Give of each row its first and last plant's station, and its number of tubes."""
    low, high = np.full(field.rows, np.inf), np.full(field.rows, -np.inf)
    np.minimum.at(low, field.row, field.station)
    np.maximum.at(high, field.row, field.station)
    return low, high, np.asarray(np.bincount(field.row, field.weight, field.rows), float)
