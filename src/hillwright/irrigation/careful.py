"""The slow road to a steady flow that always arrives: heads lowered down a convex bowl.

With heads as unknowns the flows balance where a convex function has its least value, whatever
emitters hang on the tree. Newton's direction with a search along it cannot cycle, as the quick
scheme can where many emitters are about to close.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.irrigation.chains import Chains
from hillwright.irrigation.losses import Loss

_ROUNDS = 150
_HALVINGS = 40


def descend(
    chains: Chains,
    loss: Loss,
    law: Callable[[Array], tuple[Array, Array]],
    at: Index,
    height: Array,
    source_head: float,
    eliminate: Callable[[Chains, Array, Array, Array], Array],
) -> Array:
    """Give the heads at all places (n-1,) where the flows of every node balance."""
    places = len(chains.order)
    above = _above(chains)
    head = np.full(places, float(source_head))
    q = np.zeros(places)

    def balance(heads: Array, guess: Array) -> tuple[Array, Array, Array, Array]:
        """Give what flows in too much at each place, link flows, and both slopes."""
        over = np.where(above >= 0, heads[above], source_head)
        flow, slope = _flow(loss, over - heads, guess)
        drawn, steep = law(heads[at] - height)
        excess = flow - np.bincount(at, drawn, places)
        inner = above >= 0
        excess -= np.bincount(above[inner], flow[inner], places)
        return excess, flow, slope, np.asarray(np.bincount(at, steep, places), float)

    excess, q, slope, steep = balance(head, q)
    for _ in range(_ROUNDS):
        through = float(np.abs(q).max()) + 1e-300
        if float(np.abs(excess).max()) < 1e-13 * through:
            break
        # a law that rises straight up at zero pressure must not stop the step altogether
        way = eliminate(chains, slope, np.minimum(steep, 1e12), excess)
        begin = float(excess @ way)
        low, high, step = 0.0, np.inf, 1.0
        for _ in range(_HALVINGS):
            tried = balance(head + step * way, q)
            along = float(tried[0] @ way)
            if abs(along) <= 0.5 * begin:
                break
            low, high = (step, high) if along > 0 else (low, step)
            step = 2 * step if high == np.inf else (low + high) / 2
        if not begin > 0:
            break
        head = head + step * way
        excess, q, slope, steep = tried
    return head


def _above(chains: Chains) -> Index:
    """Give the place each place hangs on; -1 is the source."""
    above = np.arange(1, len(chains.order) + 1)
    for level in chains.levels:
        above[level.head] = level.hangs
    return above


def _flow(loss: Loss, drop: Array, guess: Array) -> tuple[Array, Array]:
    """Invert the losses: the flow of each link that loses ``drop``, and dQ/dh there."""
    wanted = np.abs(drop)
    _, first = loss(np.zeros_like(drop))
    low, high = np.zeros_like(drop), wanted / first * (1 + 1e-12)  # no loss is below laminar
    # a power law starts flat: its flow may lie beyond; widen until it is held
    for _ in range(200):
        short = loss(high)[0] < wanted
        if not short.any():
            break
        high = np.where(short, 2 * high + 1e-12, high)
    q = np.clip(np.abs(guess), low, high)
    for _ in range(100):
        lost, slope = loss(q)
        off = lost - wanted
        low, high = np.where(off < 0, q, low), np.where(off > 0, q, high)
        step = off / slope
        new = q - step
        q_new = np.where((new < low) | (new > high), (low + high) / 2, new)
        done = np.abs(q_new - q) <= 1e-15 * np.abs(q_new)
        q = q_new
        if done.all():
            break
    slope = loss(q)[1]
    return np.copysign(q, drop), 1 / slope
