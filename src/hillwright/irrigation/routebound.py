"""What the routes of a valve cost at least, however single plants are hung on laterals.

Cut the field square to the rows into strips as wide as a cell. A lateral that serves a plant of a
strip, or of one farther out, runs at least to the first plant of that strip; so between the first
plants of two strips so many laterals must run that every row with a plant farther out is within
reach of one. What those metres and the tubes of the strip's plants cost at least is found for each
strip by itself; the fixed cost of laterals is laid on the strips next to the header. The header may
bend: it climbs from row to row without turning back, lies somewhere between an outermost station on
the left and one on the right, and runs that far along at least. Between two strips in that range,
rows with plants on both sides are within reach of a line that runs there: where plants of one row
hang on laterals from both sides of the way, the header itself crosses it beside them, and is no
cheaper than a lateral. The sum, at the best pair of stations, is below every plan of the family.

A lateral that goes round a hole in its row is longer than one that goes straight on; only the tubes
of plants over and under the hole may be shorter for it, so each of these is counted as one of its
own row's lateral.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array, Mask

if TYPE_CHECKING:
    from hillwright.irrigation.routes import Field


def bound(field: Field) -> float:
    """Give a cost that no routes of this field go below, over all stations of the header."""
    from hillwright.irrigation.routes import REACH

    k = field.rows
    strip = np.floor((field.station - field.station.min()) / field.strip + 1e-9).astype(np.intp)
    known, strip = np.unique(strip, return_inverse=True)
    strip, n = strip.reshape(-1), len(known)
    tubes = np.zeros((k, n))
    near = _by_holes(field)
    weight = np.where(near, 0.0, field.weight)
    np.add.at(tubes, (field.row, strip), weight)
    first, last = np.full(n, np.inf), np.full(n, -np.inf)
    np.minimum.at(first, strip, field.station)
    np.maximum.at(last, strip, field.station)
    standing = np.zeros((k, n), bool)
    standing[field.row, strip] = True
    # rows with a plant in a strip or beyond it, to the right and to the left
    right = np.logical_or.accumulate(standing[:, ::-1], axis=1)[:, ::-1]
    left = np.logical_or.accumulate(standing, axis=1)
    gap = first[1:] - last[:-1]  # surely run, wherever the header climbs in the strip beside
    shares = (0.0, 0.5 * field.fixed, field.fixed)
    prices = [
        field.lateral * np.append(0.0, np.diff(first)),
        *(field.lateral * np.append(0.0, gap) + f for f in shares),
        field.lateral * np.append(np.diff(last), 0.0),
        *(field.lateral * np.append(gap, 0.0) + f for f in shares),
    ]
    need = np.concatenate([right] * 4 + [left] * 4, axis=1)
    cost = _covered(field, need, np.tile(tubes, 8), np.concatenate(prices)).reshape(8, n)
    r = np.append(np.cumsum(cost[0][::-1])[::-1], [0.0, 0.0])  # of strips from each on
    l_ = np.append(0.0, np.cumsum(cost[4]))  # of strips before each
    down = np.concatenate([[0.0], np.cumsum(field.gap)])
    # the first and the last row are reached by laterals at most REACH rows away
    ends = min(REACH, k - 1)
    up, on = down[field.foot] - down[ends], down[k - 1 - ends] - down[field.foot]
    climb = max(up, 0.0) + max(on, 0.0)
    x, reached = field.stations, field.reached
    ahead = np.searchsorted(first, x, side="right")  # first strip right of each station
    behind = np.searchsorted(last, x, side="left") - 1  # last strip left of it
    inside = ahead != behind + 1  # not in the way between two strips, which it would part
    here = np.append(0.0, np.cumsum(tubes.sum(axis=0))) * field.small * field.whip
    laterals = _fewest(field, np.asarray(standing.any(axis=1), bool))
    # a strip's way to the next with plants on both sides: so many lines run there, of which a
    # header that crosses may be one (a header is dearer than a lateral)
    lines = [_fewest(field, left[:, p] & right[:, p + 1]) for p in range(n - 1)]
    more = field.lateral * gap * np.maximum(np.array(lines, float) - 1, 0)
    crossed = np.append(0.0, np.cumsum(more))
    # tubes of the strips that the header passes, each lateral's fixed cost shared out among them
    price = np.repeat(field.fixed / np.arange(1, n + 1), n)
    shared = _covered(field, np.tile(standing, n), np.tile(tubes, n), price).reshape(n, n)
    shared = np.concatenate([np.zeros((n, 1)), np.cumsum(shared, axis=1)], axis=1)
    nothing, found = np.zeros(3), np.inf
    # a header that bends lies between its outermost stations a and b, all the way along
    for a in range(len(x)):
        j = int(behind[a])
        other = cost[5:8, j] if j >= 0 and (inside[a] or j == n - 1) else nothing
        tap = np.inf
        for b in range(a, len(x)):
            i, tap = int(ahead[b]), min(tap, float(reached[b]))
            one = cost[1:4, i] if i < n and (inside[b] or i == 0) else nothing
            # so many laterals at least, or their fixed cost shared by both sides
            beside = max(
                laterals * field.fixed + one[0] + other[0],
                one[2] + other[0],
                one[0] + other[2],
                one[1] + other[1],
            )
            passed = here[i] - here[j + 1]
            if i > j + 1:
                spread = shared[i - j - 2]
                passed = max(passed + beside, spread[i] - spread[j + 1] + one[0] + other[0])
            else:
                passed += beside
            far = r[i + 1] + l_[max(j, 0)]
            between = crossed[i - 1] - crossed[j + 1] if i - 1 > j + 1 else 0.0
            way = field.header * (climb + float(x[b] - x[a])) + between
            found = min(found, far + passed + tap + way)
    return float(found) + field.small * field.whip * float(field.weight[near].sum())


def _by_holes(field: Field) -> Mask:
    """Say which plants stand over or under a hole of a row that they may hang on."""
    from hillwright.irrigation.rounds import over
    from hillwright.irrigation.routes import REACH

    near = np.zeros(len(field.row), bool)
    for r, holes in enumerate(field.holes):
        for hole in holes:
            near[over(field, hole, range(max(r - REACH, 0), r + REACH + 1))] = True
    return near


def _fewest(field: Field, need: Mask) -> int:
    """Give how few rows have one of them within reach of each row that needs it."""
    from hillwright.irrigation.routes import REACH

    reach = sum(np.isfinite(field.tube(d)) for d in range(1, REACH + 1))
    count, until = 0, -1
    for row in np.flatnonzero(need).tolist():
        if row > until:
            count, until = count + 1, row + 2 * reach
    return count


def _covered(field: Field, need: Array, count: Array, price: Array) -> Array:
    """Give for each column the least cost of rows that reach all that need it.

    ``need`` (k, c) rows that must be in reach of a chosen one, ``count`` (k, c) tubes there,
    ``price`` (c,) of choosing a row.
    """
    from hillwright.irrigation.routes import REACH

    k, columns = need.shape
    tube = np.array([field.tube(d) for d in range(REACH + 1)])
    reach = int(np.isfinite(tube).sum()) - 1
    hung = field.small * count  # times the metres of a tube

    def between(rows: range, chosen: tuple[int, ...]) -> Array:
        return sum(
            (tube[min(abs(r - c) for c in chosen)] * hung[r] for r in rows if 0 <= r < k),
            np.zeros(columns),
        )

    best = np.empty((k, columns))
    # least cost with all rows before t seen to, and none that needs it left behind the last reach
    clear = [np.zeros(columns)]
    for c in range(k):
        far = clear[max(c - reach, 0)] + between(range(max(c - reach, 0), c), (c,))
        for b in range(max(0, c - 2 * reach), c):
            far = np.minimum(far, best[b] + between(range(b + 1, c), (b, c)))
        best[c] = far + price + tube[0] * hung[c]
        on = np.where(need[c], np.inf, clear[c])
        if c >= reach:
            b = c - reach
            on = np.minimum(on, best[b] + between(range(b + 1, c + 1), (b,)))
        clear.append(on)
    end = clear[k]
    for b in range(max(0, k - reach), k):
        end = np.minimum(end, best[b] + between(range(b + 1, k), (b,)))
    return np.where(need.any(axis=0), end, 0.0)
