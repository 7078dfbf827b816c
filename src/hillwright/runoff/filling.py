"""Depressions: filled to the level at which they run over, and joined to where they run to.

The ground is cut into the basins that steepest descent makes. A depression fills to the least of
the highest passes on the ways from its basin to the border: the ways lie in the minimum spanning
tree of the basins joined by their passes, found by Boruvka's rounds over all edges at once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from hillwright.arrays import Array, Index, Mask
from hillwright.runoff.flowgrid import STEPS, Cells, FlowGrid, steepest

# for each way (8 is none), one bit for each way whose node touches that of the first
_NEXT_TO = np.array(
    [
        sum(1 << (7 - k) for k, (x, y) in enumerate(STEPS) if max(abs(x - dx), abs(y - dy)) <= 1)
        for dx, dy in STEPS
    ]
    + [0],
    np.uint8,
)


class Drained(NamedTuple):
    """Ground on which every drop finds its way out."""

    filled: Array  # (ny + 2, nx + 2) heights with depressions filled; infinite outside [m]
    receiver: Cells  # (nodes,) next node by steepest descent, and out of depressions by the pass


class _Passes(NamedTuple):
    """Pairs of neighbouring nodes in different basins, the lowest pass first."""

    a: Cells  # (m,) the higher node of the two: the pass is as high as it
    b: Cells  # (m,) the other, or a node outside
    basin_a: Cells  # (m,)
    basin_b: Cells  # (m,) 0 is the outside


def drain(grid: FlowGrid) -> Drained:
    """Fill the depressions of a grid, and lead the water of each out over its pass."""
    receiver, way = steepest(grid)
    pit = ((way == 8).reshape(grid.z.shape) & grid.inside & ~grid.edge).reshape(-1)
    if not pit.any():
        return Drained(grid.z, receiver)
    basin = _basins(receiver, pit)
    count = int(basin.max()) + 1
    passes = _passes(grid, basin, way)
    tree = _spanning(passes, count)
    node_a, node_b = passes.a[tree], passes.b[tree]
    height = grid.z.reshape(-1)[node_a]
    level, exit_ = _outward(passes.basin_a[tree], passes.basin_b[tree], height, count)
    filled = np.maximum(grid.z.reshape(-1), level.take(basin)).reshape(grid.z.shape)
    leaves = np.flatnonzero(exit_ >= 0)
    taken = exit_[leaves]
    forth = passes.basin_a[tree][taken] == leaves
    a, b = node_a[taken], node_b[taken]
    inner, outer = np.where(forth, a, b), np.where(forth, b, a)
    leaves_ground = ~grid.inside.reshape(-1)[outer]
    _turn_round(receiver, inner, np.where(leaves_ground, inner, outer))
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


def _passes(grid: FlowGrid, basin: Cells, way: NDArray[np.int8]) -> _Passes:
    """Find the passes where basins meet, and where they meet the outside."""
    z = np.where(grid.inside, grid.z, -np.inf).reshape(-1)  # outside lies below every border
    meets = np.zeros(len(z), np.uint8)  # one bit for each lower neighbour in another basin
    for k, step in enumerate(grid.offsets[:4]):  # the other four are these from the other side
        one, other = (slice(max(0, -s), len(z) - max(0, s)) for s in (step, -step))
        apart = basin[one] != basin[other]
        higher = z[one] > z[other]
        meets[one] |= (apart & higher).view(np.uint8) << np.uint8(7 - k)
        meets[other] |= (apart & ~higher).view(np.uint8) << np.uint8(3 - k)
    # from the node that this one runs to, a neighbour of both is reached over a lower pass
    meets &= ~_NEXT_TO.take(way)
    # nodes are put in order, not their passes: they are fewer
    node = np.flatnonzero(meets).astype(np.int32)
    # stable: of passes of equal height the choice must not hang on the processor
    node = node.take(np.argsort(z.take(node), kind="stable"))
    bits = np.flatnonzero(np.unpackbits(meets.take(node)))
    a = node.take(bits >> 3)
    b = a + np.array(grid.offsets, np.int32).take(bits & 7)
    return _Passes(a, b, basin.take(a), basin.take(b))


def _spanning(passes: _Passes, count: int) -> Index:
    """Give the passes of the minimum spanning tree of the basins."""
    group = np.arange(count, dtype=np.int32)
    number = np.arange(count, dtype=np.int32)
    edge = np.arange(len(passes.a), dtype=np.int32)
    one, other = passes.basin_a, passes.basin_b
    kept = [np.empty(0, np.int32)]
    while len(edge):
        # passes come lowest first, and the last one written stays: write them backwards
        best, second = (np.full(count, len(passes.a), np.int32) for _ in range(2))
        best[one[::-1]] = edge[::-1]
        second[other[::-1]] = edge[::-1]
        np.minimum(best, second, out=best)
        joins = np.flatnonzero(best < len(passes.a))
        chosen = best[joins]
        kept.append(chosen)
        ends = group.take(passes.basin_a.take(chosen)), group.take(passes.basin_b.take(chosen))
        towards = number.copy()
        towards[joins] = np.where(ends[0] == joins, ends[1], ends[0])
        # two that chose each other are joined under the lower number
        mutual = (towards.take(towards) == number) & (number < towards)
        towards[mutual] = number[mutual]
        while not np.array_equal(further := towards.take(towards), towards):
            towards = further
        group = towards.take(group)
        one, other = towards.take(one), towards.take(other)
        apart = np.flatnonzero(one != other)
        edge, one, other = edge.take(apart), one.take(apart), other.take(apart)
    return np.unique(np.concatenate(kept)).astype(np.intp)


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
    here, onward = inner, outer
    while len(here):
        after = receiver[here]
        receiver[here] = onward
        more = after != here
        here, onward = after[more], here[more]
