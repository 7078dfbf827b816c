"""Packs: bought in the sizes sold. Waste first, then whole packs, never the other way round."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

NEAR = 1e-9  # rounding of the machine before a ceiling: 4.000000001 packs are 4
_LOOKED_AT = 200_000  # counts tried before a choice among packs is given up as too large


@method(
    title="Whole packs",
    equation="packs = ceil(need (1 + waste) / pack)",
    source="closed form",
)
def packs_to_buy(need: ArrayLike, waste: ArrayLike, pack: ArrayLike) -> Array:
    """Give how many packs cover a need.

    Parameters
    ----------
    need : (n,) array
        What is used, 0 or more, in the unit of the pack. [any]
    waste : (n,) array
        Share that is cut off, broken or spilt. [-]
    pack : (n,) array
        What a pack holds, above 0. [any]

    Returns
    -------
    packs : (n,) array
        Whole packs. [-]

    Raises
    ------
    OutOfRange
        A need or a waste below zero, or a pack that holds nothing.

    Notes
    -----
    The tolerance before the ceiling keeps the machine's rounding from buying a pack too many.
    """
    n, w, p = (np.asarray(v, float) for v in (need, waste, pack))
    if (n < 0).any() or (w < 0).any():
        raise OutOfRange("need", "a need or a waste below zero", "give 0 or more")
    if not (p > 0).all():
        raise OutOfRange("pack", "a pack that holds nothing", "give what one holds")
    return np.asarray(np.ceil(np.round(n * (1 + w) / p, 12) - NEAR))


def cheapest_packs(need: float, sizes: Sequence[float], prices: Sequence[float]) -> tuple[int, ...]:
    """Give how many of each pack cover a need at the least price, and of those the fewest packs.

    Parameters
    ----------
    need : float
        What must be covered, in the unit of the sizes.
    sizes, prices : sequence of float
        What each pack holds and costs, both above 0.

    Returns
    -------
    tuple of int
        One count for each pack.
    """
    return covering(need, sizes, prices)[0]


def covering(
    need: float, sizes: Sequence[float], prices: Sequence[float], most_looks: int = _LOOKED_AT
) -> tuple[tuple[int, ...], bool]:
    """Give the cheapest packs that cover a need, and whether all others were ruled out.

    Counts are walked depth first, the best value first, and a branch is left as soon as what is
    still needed would cost too much at the best price there is. After so many looks the best that
    was met is given, and nothing is claimed of it.
    """
    kinds = len(sizes)
    if kinds == 1:
        return (int(packs_to_buy(need, 0.0, sizes[0])),), True
    order = sorted(range(kinds), key=lambda i: (prices[i] / sizes[i], -sizes[i]))
    # the best price for a unit among the packs from here on
    rate = [min(prices[i] / sizes[i] for i in order[k:]) for k in range(kinds)]
    best: list[object] = [math.inf, 0, ()]
    tried = 0

    def enough(left: float, size: float) -> int:
        return max(0, math.ceil(left / size - NEAR))

    def walk(k: int, left: float, cost: float, counts: tuple[int, ...]) -> None:
        nonlocal tried
        tried += 1
        i = order[k]
        most = enough(left, sizes[i])
        if k == kinds - 1:
            counts, cost = (*counts, most), cost + most * prices[i]
            key = (round(cost, 9), sum(counts))
            if key < (best[0], best[1]):
                best[:] = [*key, counts]
            return
        for n in range(most, -1, -1):
            rest = max(left - n * sizes[i], 0.0)
            spent = cost + n * prices[i]
            if tried > most_looks and best[2]:
                return
            if round(spent + rest * rate[k + 1], 9) > best[0]:  # type: ignore[operator]
                if n < most:
                    break  # fewer of the best value cost more still
                continue  # the last of them may be more than is needed
            walk(k + 1, rest, spent, (*counts, n))

    walk(0, need, 0.0, ())
    counts: tuple[int, ...] = best[2]  # type: ignore[assignment]
    found = [0] * kinds
    for i, n in zip(order, counts, strict=True):
        found[i] = n
    return tuple(found), tried <= most_looks
