"""Valves: plants grouped by hydrozone, and each hydrozone cut by height and by the flow at hand."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange


def bands(flow: Array, height: Array, most_flow: float, most_height: float) -> Index:
    """Cut rows, in order down the slope, into the fewest valves and even out their flows.

    Parameters
    ----------
    flow : (r,) array
        That each row takes [m3/s].
    height : (r,) array
        Of each row [m].
    most_flow : float
        One valve may take [m3/s].
    most_height : float
        Between the highest and the lowest row of one valve [m].

    Returns
    -------
    (r,) array
        Number of each row's valve, from 0.

    Raises
    ------
    OutOfRange
        A row takes more than the supply gives: says what would do.
    """
    if (bad := np.flatnonzero(flow > most_flow * (1 + 1e-9))).size:
        worst = float(flow[bad].max())
        raise OutOfRange(
            "supply.flow",
            f"one row alone takes {6e4 * worst:.2f} L/min and {6e4 * most_flow:.2f} L/min are at "
            "hand",
            f"find a supply of which {6e4 * worst:.2f} L/min are at hand, take smaller emitters "
            "that run longer, or give the two halves of the row hydrozones of their own",
        )
    found = _greedy(flow, height, most_flow, most_height)
    # the least flow that still needs no more valves: the valves' shares come out even
    low, high = float(flow.max()), most_flow
    for _ in range(30):
        middle = (low + high) / 2
        tried = _greedy(flow, height, middle, most_height)
        if tried[-1] > found[-1]:
            low = middle
        else:
            high = middle
    return _greedy(flow, height, high, most_height)


def _greedy(flow: Array, height: Array, most_flow: float, most_height: float) -> Index:
    """Fill valve after valve; no cut into neighbouring rows needs fewer."""
    zone, number = np.zeros(len(flow), np.intp), 0
    total, low, high = 0.0, np.inf, -np.inf
    for r in range(len(flow)):
        low_new, high_new = min(low, height[r]), max(high, height[r])
        over = total + flow[r] > most_flow * (1 + 1e-9)
        if r and (over or high_new - low_new > most_height + 1e-9):
            number += 1
            total, low_new, high_new = 0.0, height[r], height[r]
        total, low, high = total + float(flow[r]), float(low_new), float(high_new)
        zone[r] = number
    return zone
