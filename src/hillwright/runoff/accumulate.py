"""Water added up from node to node, those without anything above them first."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array
from hillwright.runoff.flowgrid import Cells
from hillwright.runoff.schemes import Shares

_NEVER = 1 << 30


def accumulate_tree(receiver: Cells, own: Array) -> Array:
    """Add up what each node gets when each runs to one other (itself: it leaves there).

    Parameters
    ----------
    receiver : (n,) array of int32
        Without circles.
    own : (n,) array
        What falls on each node.

    Returns
    -------
    (n,) array
        What passes each node, its own included.
    """
    n = len(receiver)
    total = own.copy()
    waits = np.bincount(receiver, minlength=n).astype(np.int32)
    waits[receiver == np.arange(n, dtype=np.int32)] = _NEVER
    front = np.flatnonzero(waits == 0).astype(np.int32)
    while len(front) > n >> 5:
        # many at once: cheaper over all nodes than one by one
        to = receiver.take(front)
        total += np.bincount(to, total.take(front), n)
        waits -= np.bincount(to, minlength=n).astype(np.int32)
        waits[front] = _NEVER
        front = np.flatnonzero(waits == 0).astype(np.int32)
    mark, turns = np.empty(n, np.int32), np.arange(n, dtype=np.int32)
    while len(front):
        to = receiver.take(front)
        np.add.at(total, to, total.take(front))
        np.subtract.at(waits, to, 1)
        to = to.compress(waits.take(to) == 0)
        # one that became free by two donors at once goes on once
        turn = turns[: len(to)]
        mark[to] = turn
        front = to.compress(mark.take(to) == turn)
    return total


def accumulate_shares(shares: Shares, own: Array) -> Array:
    """Add up what each node gets when each shares its water among several.

    Parameters
    ----------
    shares : Shares
        Without circles.
    own : (n,) array
        What falls on each node.

    Returns
    -------
    (n,) array
        What passes each node, its own included.
    """
    n, (step, share) = len(own), shares
    total = own.copy()
    node = np.arange(n, dtype=np.int32)
    waits = _donors(shares)
    front = np.flatnonzero((waits == 0) & share.any(axis=1)).astype(np.int32)
    mark = np.empty(n, np.int32)
    while len(front):
        part = share.take(front, axis=0)
        way = step if step.ndim == 1 else step.take(front, axis=0)
        given = np.flatnonzero(part)
        to = (front[:, None] + way).reshape(-1).take(given)
        np.multiply(part, total.take(front)[:, None], out=part)
        np.add.at(total, to, part.reshape(-1).take(given))
        np.subtract.at(waits, to, 1)
        to = to.compress(waits.take(to) == 0)
        # one that became free by two donors at once goes on once
        turn = node[: len(to)]
        mark[to] = turn
        front = to.compress(mark.take(to) == turn)
    return total


def _donors(shares: Shares) -> Cells:
    """Count the nodes (n,) that give water to each."""
    step, share = shares
    n = len(share)
    count = np.zeros(n, np.int32)
    for k in range(share.shape[1]):
        gives = share[:, k] > 0
        if step.ndim == 1:
            # one way for all: the nodes that get are those that give, moved
            far = int(step[k])
            count[max(0, far) : n + min(0, far)] += gives[max(0, -far) : n + min(0, -far)]
        else:
            to = np.flatnonzero(gives).astype(np.int32)
            to += step[to, k]
            count += np.bincount(to, minlength=n).astype(np.int32)
    return count
