"""Pipe sizes of least cost on a tree with known flows: several sizes to a link, or one to each.

Both walk the tree from its ends to the source and keep, for each node, what the rest below it
costs by the head that stands there. With several sizes to a link that is a convex line, so the
answer is the optimum of the linear program of Karmeli, Gadish and Meyers; with one size it is a
staircase, and the answer is exact to the step that heads are rounded to. The first is a bound on
the second.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.irrigation.slack import Line

_STEP = 1e-3  # heads of the staircase are rounded up to this [m]


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """What each of n links may be made of: what that loses and costs, and what it leaves."""

    parent: Index  # (n,) link that each hangs on; -1 is the source
    loss: tuple[Array, ...]  # each (k,) head lost with each option [m]
    cost: tuple[Array, ...]  # each (k,) [money]
    needed: Array  # (n,) total head that must be left at each link's end [m]


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """Sizes chosen."""

    share: tuple[Array, ...]  # of each link's length by option, summing to 1
    head: Array  # (n,) total head at each link's end [m]
    cost: float


def _ends(parent: Index) -> list[list[int]]:
    children: list[list[int]] = [[] for _ in parent]
    for i, p in enumerate(parent.tolist()):
        if p >= i:
            raise OutOfRange(
                f"link {i}", "hangs on a link behind it", "number them from the source"
            )
        if p >= 0:
            children[p].append(i)
    return children


class Split:
    """Sizes of least cost where a link may change its size on the way, for any head."""

    def __init__(self, choice: Choice) -> None:
        n = len(choice.parent)
        children = _ends(choice.parent)
        self._parent = choice.parent
        # cost of all behind a link's end by the head there, and with the link itself
        self._below: list[Line] = [Line.free(0.0)] * n
        whole: list[Line] = [Line.free(0.0)] * n
        self._own = [Line.of_options(a, c) for a, c in zip(choice.loss, choice.cost, strict=True)]
        for i in range(n - 1, -1, -1):
            rest = (whole[j] for j in children[i])
            self._below[i] = Line.free(float(choice.needed[i])).plus(*rest)
            whole[i] = self._below[i].after(self._own[i])
        self._least = max(whole[i].start for i in range(n) if choice.parent[i] < 0)

    def at(self, source_head: float) -> Chosen:
        """Give the sizes for a total head at the source; as :func:`split_sizes`."""
        n = len(self._parent)
        _enough(source_head, self._least)
        head, share, cost = np.empty(n), [], 0.0
        for i in range(n):
            p = int(self._parent[i])
            before = source_head if p < 0 else head[p]
            lost = self._below[i].spend(self._own[i], before)
            parts, price = self._own[i].parts(lost)
            share.append(parts)
            head[i] = before - lost
            cost += price
        return Chosen(tuple(share), head, cost)


def split_sizes(choice: Choice, source_head: float) -> Chosen:
    """Choose sizes of least cost where a link may change its size on the way.

    Parameters
    ----------
    choice : Choice
        Links and their options.
    source_head : float
        Total head at the source [m].

    Returns
    -------
    Chosen
        The optimum of the split-pipe linear program.

    Raises
    ------
    OutOfRange
        The head is not enough even with the widest sizes; says by how much.
    """
    return Split(choice).at(source_head)


class Single:
    """Sizes of least cost with one size to each link, for any head."""

    def __init__(self, choice: Choice) -> None:
        self._choice = choice
        n = len(choice.parent)
        children = _ends(choice.parent)
        none = (np.empty(0), np.empty(0), np.empty(0, np.intp))
        self._before: list[tuple[Array, Array, Index]] = [none] * n  # steps before each link
        for i in range(n - 1, -1, -1):
            need, price = np.array([choice.needed[i]]), np.zeros(1)
            for j in children[i]:
                need, price = _both(need, price, *self._before[j][:2])
            k = len(choice.loss[i])
            heads = np.ceil((need[:, None] + choice.loss[i]) / _STEP - 1e-9).ravel() * _STEP
            costs = (price[:, None] + choice.cost[i]).ravel()
            option = np.tile(np.arange(k), len(need))
            order = np.lexsort((costs, heads))
            heads, costs, option = heads[order], costs[order], option[order]
            best = np.minimum.accumulate(costs)
            kept = np.append(True, costs[1:] < best[:-1] - 1e-12)
            self._before[i] = heads[kept], costs[kept], option[kept]
        roots = [i for i in range(n) if choice.parent[i] < 0]
        self._least = max(float(self._before[i][0][0]) for i in roots)

    def at(self, source_head: float) -> Chosen:
        """Give the sizes for a total head at the source; as :func:`one_size`."""
        choice, n = self._choice, len(self._choice.parent)
        _enough(source_head, self._least)
        head, share, cost = np.empty(n), [], 0.0
        for i in range(n):
            p = int(choice.parent[i])
            there = source_head if p < 0 else head[p]
            heads, _, option = self._before[i]
            at = int(np.searchsorted(heads, there + 1e-9, side="right")) - 1
            chosen = int(option[max(at, 0)])
            head[i] = there - float(choice.loss[i][chosen])
            cost += float(choice.cost[i][chosen])
            share.append(np.eye(len(choice.loss[i]))[chosen])
        return Chosen(tuple(share), head, cost)


def one_size(choice: Choice, source_head: float) -> Chosen:
    """Choose one size for each link at least cost.

    Heads are rounded up to a millimetre on the way, so the choice always holds and misses the
    exact optimum only where sizes differ by less than that.

    Parameters
    ----------
    choice : Choice
        Links and their options.
    source_head : float
        Total head at the source [m].

    Returns
    -------
    Chosen
        One option for each link.

    Raises
    ------
    OutOfRange
        The head is not enough even with the widest sizes; says by how much.
    """
    return Single(choice).at(source_head)


def _both(need: Array, price: Array, more: Array, extra: Array) -> tuple[Array, Array]:
    """Add two staircases: the head that both need, and what both cost."""
    heads = np.unique(np.concatenate([need, more]))
    heads = heads[heads >= max(need[0], more[0])]
    total = (
        price[np.searchsorted(need, heads, side="right") - 1]
        + extra[np.searchsorted(more, heads, side="right") - 1]
    )
    kept = np.append(True, total[1:] < np.minimum.accumulate(total)[:-1] - 1e-12)
    return heads[kept], total[kept]


def _enough(source_head: float, least: float) -> None:
    if source_head < least - 1e-9:
        raise OutOfRange(
            "source head",
            f"{source_head:.2f} m is {least - source_head:.2f} m less than the network needs even "
            "with the widest pipe offered",
            "offer wider pipe, split the zone by height or flow, or add a booster",
        )
