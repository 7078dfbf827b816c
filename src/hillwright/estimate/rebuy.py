"""More or less of a line than planned: its bags, loads and packs bought anew, never in parts."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from hillwright.arrays import Array
from hillwright.estimate.order import OrderLine
from hillwright.estimate.packs import NEAR

_MOST = 200_000  # ways to fill the largest need that are laid out; beyond, a pack is no lump


def least_costs(needs: Array, sizes: Sequence[float], prices: Sequence[float]) -> Array:
    """Give what the cheapest packs cost that cover each of many needs.

    What every mix of packs holds and costs is laid out once and sorted; the cheapest that holds
    enough is then looked up. For one need it is what `cheapest_packs` finds.

    Parameters
    ----------
    needs : (n,) array
        What must be covered, 0 or more, in the unit of the sizes.
    sizes, prices : sequence of float
        What each pack holds and costs, both above 0.

    Returns
    -------
    (n,) array
        Cost of whole packs. Where the mixes are too many to lay out, in proportion to the need.
    """
    most = float(needs.max(initial=0.0))
    packs = list(zip(sizes, prices, strict=True))
    size, price = min(packs, key=lambda p: p[1] / p[0])  # the best value: it alone covers all
    # whatever the other packs cost over its rate is saved at most once, by one of it the less
    over = [max(p - s * price / size, 1e-12) for s, p in packs]
    counts = [
        math.ceil(min(most / s, math.inf if (s, p) == (size, price) else price / o)) + 1
        for (s, p), o in zip(packs, over, strict=True)
    ]
    if math.prod(counts) > _MOST:
        return np.asarray(needs * min(p / s for p, s in zip(prices, sizes, strict=True)))
    mixes = np.indices(counts).reshape(len(sizes), -1)
    holds, costs = np.asarray(sizes) @ mixes, np.asarray(prices) @ mixes
    order = np.argsort(holds)
    cheapest = np.minimum.accumulate(costs[order][::-1])[::-1]
    # a billionth of a pack is rounding of the machine, not a need
    at = np.searchsorted(holds[order], needs - NEAR * min(sizes))
    return np.asarray(cheapest[at])


def cost_share(order: OrderLine, times: Array) -> Array:
    """Give what a line costs where so many times as much is needed, over what it costs as planned.

    Parameters
    ----------
    order : OrderLine
        Bought in packs.
    times : (n,) array
        Times the amount that is planned, 0 or more [-].
    """
    line, both = order.line, np.append(times, 1.0)
    if line.lots:  # bags of each kind, loads of each good: each kind is whole by itself
        lots = np.array(line.lots)[:, None] * both
        need = np.ceil(np.round(lots, 12) - NEAR).sum(axis=0)
    else:
        need = line.ordered * both
    cost = least_costs(need, *zip(*order.sizes, strict=True)) if order.sizes else need
    return np.asarray(cost[:-1] / cost[-1])
