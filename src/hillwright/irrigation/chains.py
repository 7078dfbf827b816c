"""A tree of links cut into chains, so that whole levels of it are worked by array operations.

Every node continues into its heaviest child; what hangs on the side starts a chain of its own.
Chains lie leaf to root one behind another, level by level, so that the equations of a level are
one tridiagonal matrix without couplings between its chains. No path crosses more than log2(n)
levels.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.errors import OutOfRange


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """Chains that hang on the same number of others: one slice of the order."""

    begin: int
    end: int
    head: Index  # (k,) place of each chain's last node, next to what the chain hangs on
    hangs: Index  # (k,) place of the node it hangs on, -1 is the source
    first: Index  # (k,) place of each chain's first node, its leaf


@dataclass(frozen=True, slots=True, eq=False)
class Chains:
    """The order of the nodes but the source, deepest level first."""

    order: Index  # (n-1,) node at each place
    place: Index  # (n,) of each node; -1 for the source
    levels: tuple[Level, ...]  # from the deepest to the one at the source
    inside: Mask  # (n-1,) the link leads to the next place, not out of the chain

    @classmethod
    def of(cls, parent: Index) -> Chains:
        """Cut a tree whose node 0 is the source and whose parents come before their children.

        Raises
        ------
        OutOfRange
            A node comes before its parent, or hangs on nothing.
        """
        n = len(parent)
        bad = np.flatnonzero((parent[1:] < 0) | (parent[1:] >= np.arange(1, n))) + 1
        if bad.size or n == 0 or parent[0] != -1:
            which = int(bad[0]) if bad.size else 0
            raise OutOfRange(
                f"node {which}",
                "does not hang on a node before it",
                "number the nodes from the source outwards; the source is node 0 with parent -1",
            )
        ancestors = parent.tolist()
        size, heavy = [1] * n, [-1] * n
        for i in range(n - 1, 0, -1):
            size[ancestors[i]] += size[i]
        most = [0] * n
        for i in range(1, n):
            p = ancestors[i]
            if size[i] > most[p]:
                most[p], heavy[p] = size[i], i
        # heads of chains: children of the source, and all but the heaviest of the others
        level = [0] * n
        heads: list[tuple[int, int]] = []
        for i in range(1, n):
            p = ancestors[i]
            if p == 0:
                heads.append((0, i))
            elif heavy[p] == i:
                level[i] = level[p]
            else:
                level[i] = level[p] + 1
                heads.append((level[i], i))
        heads.sort(key=lambda h: (-h[0], h[1]))
        return _placed(n, parent, heavy, heads)

    def gathered(self, values: Array) -> Array:
        """Put values of all n nodes into the order of the chains."""
        return np.asarray(values[self.order])

    def summed(self, own: Array) -> Array:
        """Sum from the leaves: own value and all that hangs on each place."""
        total = own.copy()
        for level in self.levels:
            part = total[level.begin : level.end]
            np.cumsum(part, out=part)
            before = np.zeros(len(level.head))
            before[1:] = part[level.head[:-1] - level.begin]
            part -= np.repeat(before, level.head - level.first + 1)
            out = level.hangs >= 0
            np.add.at(total, level.hangs[out], total[level.head[out]])
        return total

    def swept(self, source: float, drop: Array) -> Array:
        """Go from the source to the leaves: head at each place after the drops on the way."""
        heads = np.empty_like(drop)
        for level in reversed(self.levels):
            part = np.cumsum(drop[level.begin : level.end][::-1])[::-1]
            after = np.zeros(len(level.head))
            after[:-1] = part[level.first[1:] - level.begin]
            above = np.where(level.hangs >= 0, heads[level.hangs], source)
            long = level.head - level.first + 1
            heads[level.begin : level.end] = np.repeat(above + after, long) - part
        return heads


def _placed(n: int, parent: Index, heavy: list[int], heads: list[tuple[int, int]]) -> Chains:
    order: list[int] = []
    spans: list[tuple[int, int, int, int]] = []  # level, first, head place, head node
    for depth, node in heads:
        chain = [node]
        while (node := heavy[node]) >= 0:
            chain.append(node)
        spans.append((depth, len(order), len(order) + len(chain) - 1, chain[0]))
        order += chain[::-1]
    placed = np.full(n, -1, np.intp)
    sequence = np.array(order, np.intp)
    placed[sequence] = np.arange(len(sequence))
    inside = np.ones(len(sequence), bool)
    levels = []
    all_spans = np.array(spans, np.intp).reshape(-1, 4)
    for depth in dict.fromkeys(all_spans[:, 0].tolist()):
        mine = all_spans[all_spans[:, 0] == depth]
        hangs = placed[parent[mine[:, 3]]]
        begin, end = int(mine[0, 1]), int(mine[-1, 2]) + 1
        levels.append(Level(begin, end, frozen(mine[:, 2]), frozen(hangs), frozen(mine[:, 1])))
        inside[mine[:, 2]] = False
    return Chains(frozen(sequence), frozen(placed), tuple(levels), frozen(inside))
