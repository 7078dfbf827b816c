"""Depressions: filled to the level at which they run over, and joined to where they run to.

The ground is cut into the basins that steepest descent makes. A depression fills to the least of
the highest passes on the ways from its basin to the border: the ways lie in the minimum spanning
tree of the basins joined by their passes, found by Boruvka's rounds over all edges at once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.runoff.flowgrid import Cells, FlowGrid, steepest


class Drained(NamedTuple):
    """Ground on which every drop finds its way out."""

    filled: Array  # (ny + 2, nx + 2) heights with depressions filled; infinite outside [m]
    receiver: Cells  # (nodes,) next node by steepest descent, and out of depressions by the pass


class _Passes(NamedTuple):
    """Pairs of neighbouring nodes in different basins, the lowest pass first."""

    a: Cells  # (m,) node in the one basin, in no order
    b: Cells  # (m,) node in the other; itself where the way leads off the border
    order: Index  # (m,) of a and b, the lowest pass first
    basin_a: Cells  # (m,) in that order
    basin_b: Cells  # 0 is the outside


def drain(grid: FlowGrid) -> Drained:
    """Fill the depressions of a grid, and lead the water of each out over its pass."""
    receiver, pit = steepest(grid)
    if not pit.any():
        return Drained(grid.z, receiver)
    basin = _basins(receiver, pit)
    count = int(basin.max()) + 1
    passes = _passes(grid, basin)
    tree = _spanning(passes, count)
    node_a, node_b = passes.a[passes.order[tree]], passes.b[passes.order[tree]]
    height = np.maximum(grid.z.reshape(-1)[node_a], grid.z.reshape(-1)[node_b])
    level, way = _outward(passes.basin_a[tree], passes.basin_b[tree], height, count)
    filled = np.maximum(grid.z.reshape(-1), level.take(basin)).reshape(grid.z.shape)
    leaves = np.flatnonzero(way >= 0)
    taken = way[leaves]
    forth = passes.basin_a[tree][taken] == leaves
    a, b = node_a[taken], node_b[taken]
    _turn_round(receiver, np.where(forth, a, b), np.where(forth, b, a))
    return Drained(filled, receiver)


def _basins(receiver: Cells, pit: Mask) -> Cells:
    """Give the number of the basin that each node lies in; 0 runs off the border."""
    root = receiver
    while not np.array_equal(further := root.take(root), root):
        root = further
    number = np.zeros(len(pit), np.int32)
    pits = np.flatnonzero(pit)
    number[pits] = np.arange(1, len(pits) + 1)
    return number.take(root)


def _passes(grid: FlowGrid, basin: Cells) -> _Passes:
    """Find where basins meet, and where they meet the border."""
    z = grid.z.reshape(-1)
    first, second = [], []
    for step in grid.offsets[:4]:  # the other four are these seen from the neighbour
        low, high = (slice(max(0, -s), len(z) - max(0, s)) for s in (step, -step))
        meets = np.flatnonzero(basin[low] != basin[high]).astype(np.int32) + np.int32(low.start)
        first.append(meets)
        second.append(meets + np.int32(step))
    off = np.flatnonzero(grid.edge.reshape(-1) & (basin > 0)).astype(np.int32)
    a, b = np.concatenate((*first, off)), np.concatenate((*second, off))
    basin_b = basin.take(b)
    basin_b[len(b) - len(off) :] = 0
    # passes to nodes outside are infinitely high and come last: the border lies lower
    order = np.argsort(np.maximum(z.take(a), z.take(b)))
    return _Passes(a, b, order, basin.take(a.take(order)), basin_b.take(order))


def _spanning(passes: _Passes, count: int) -> Index:
    """Give the passes of the minimum spanning tree of the basins."""
    group = np.arange(count, dtype=np.int32)
    edge = np.arange(len(passes.order), dtype=np.int32)
    kept: list[Index] = []
    while True:
        one, other = group[passes.basin_a[edge]], group[passes.basin_b[edge]]
        apart = one != other
        edge, one, other = edge[apart], one[apart], other[apart]
        if not len(edge):
            return np.unique(np.concatenate(kept)) if kept else np.empty(0, np.intp)
        # passes come lowest first, and the last one written stays: write them backwards
        best = np.full(count, -1, np.int32)
        both = np.stack((one, other), axis=1)[::-1]
        best[both.reshape(-1)] = np.repeat(edge[::-1], 2)
        group_of = np.flatnonzero(best >= 0)
        chosen = best[group_of]
        kept.append(chosen.astype(np.intp))
        ends = group[passes.basin_a[chosen]], group[passes.basin_b[chosen]]
        towards = np.arange(count, dtype=np.int32)
        towards[group_of] = np.where(ends[0] == group_of, ends[1], ends[0])
        # two that chose each other are joined under the lower number
        mutual = (towards[towards] == np.arange(count)) & (np.arange(count) < towards)
        towards[mutual] = np.flatnonzero(mutual)
        while not np.array_equal(further := towards.take(towards), towards):
            towards = further
        group = towards.take(group)


def _outward(one: Cells, other: Cells, height: Array, count: int) -> tuple[Array, Index]:
    """Give the level (basins,) to which each must fill, and the pass (basins,) it leaves by.

    The passes (count - 1,) are those of a tree; basin 0 is the outside.
    """
    start = np.concatenate((one, other))
    by = np.argsort(start, kind="stable")
    towards, edge = np.concatenate((other, one))[by], by % len(one)
    ends = np.searchsorted(start[by], np.arange(count + 1))
    level, way = np.full(count, np.inf), np.full(count, -1)
    level[0] = -np.inf
    known = np.zeros(count, bool)
    known[0] = True
    front = np.array([0])
    while len(front):
        many = ends[front + 1] - ends[front]
        origin = np.repeat(front, many)
        place = np.repeat(ends[front] - np.cumsum(many) + many, many) + np.arange(many.sum())
        new = ~known[towards[place]]
        origin, place = origin[new], place[new]
        front = towards[place]
        level[front] = np.maximum(level[origin], height[edge[place]])
        way[front] = edge[place]
        known[front] = True
    return level, way


def _turn_round(receiver: Cells, inner: Cells, outer: Cells) -> None:
    """Lead each depression out: from its lowest node back up to the pass and over it."""
    here, onward = inner.copy(), outer.copy()
    onward[inner == outer] = inner[inner == outer]  # off the border
    while len(here):
        after = receiver[here]
        receiver[here] = onward
        more = after != here
        here, onward = after[more], here[more]
