"""Where the water of each cell goes when it spills: over its lowest lips, to what lies there.

A cell spills where its lip is lowest, not at its mean height: a sagging string decides where
water goes. The wet lip is what lies under a thin sheet (``lip_head``) standing on the lowest
place; its length over each neighbour is that neighbour's share.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.runoff.border import Border, border
from hillwright.runoff.cellstore import checked_corners, lip_corners

EXITS = ("toe", "left", "right")
_TIE = 1e-9  # heights that differ by less are one [m]


@dataclass(frozen=True, slots=True, eq=False)
class Spill:
    """Where the n cells spill to; no water ever comes back to where it was."""

    source: Index  # (m,) cell that spills
    target: Index  # (m,) cell that it spills to
    share: Array  # (m,) of what the source spills [-]
    exits: Array  # (3, n) share that leaves the grid at the toe, the left and the right [-]
    level: Array  # (n,) level at which it spills [m]
    order: Index  # (n,) stage: every cell spills to cells of a higher stage only

    def twice(self) -> Spill:
        """Give two such hills side by side, each with ways out of its own: (6, 2 n) exits."""
        n, none = len(self.level), np.zeros_like(self.exits)
        return Spill(
            np.concatenate((self.source, self.source + n)),
            np.concatenate((self.target, self.target + n)),
            np.tile(self.share, 2),
            np.block([[self.exits, none], [none, self.exits]]),
            np.tile(self.level, 2),
            np.tile(self.order, 2),
        )


def spill_paths(
    corners: Array,
    row: Index,
    clips: Index,
    depth: Array,
    lip_head: float = 1e-3,
    reach: float | None = None,
) -> Spill:
    """Find where each cell spills to.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Base corners: upper left, upper right, lower right, lower left [m].
    row : (n,) array of int
        1 is the top row.
    clips : (m, 2) array of int
        Cells that are clipped together.
    depth : (n,) array
        Of the walls, square to the base [m].
    lip_head : float
        Water that stands on the lowest lip while it spills [m].
    reach : float, optional
        How far water that leaves the grid is followed down the slope to the next cell; three
        times the longest side of a cell when not given [m].

    Returns
    -------
    Spill
        Shares sum to 1 for each cell, what leaves included.
    """
    c = checked_corners(corners)
    lips = lip_corners(c, np.broadcast_to(np.asarray(depth, float), (len(c),)))
    edges = border(c, np.asarray(row), np.asarray(clips, np.intp).reshape(-1, 2), lips, reach)
    level, hops = spill_levels(edges, len(c))
    share = _shares(edges, level, hops, lip_head, c)
    out = edges.target < 0
    exits = np.zeros((len(EXITS), len(c)))
    np.add.at(exits, (-1 - edges.target[out], edges.cell[out]), share[out])
    inside = ~out & (share > 0)
    key = edges.cell[inside] * len(c) + edges.target[inside]
    pair, place = np.unique(key, return_inverse=True)
    source, target = np.divmod(pair.astype(np.intp), len(c))
    joined = np.asarray(np.bincount(place, share[inside], len(pair)), float)
    return Spill(source, target, joined, exits, level, stages(source, target, len(c)))


def spill_levels(edges: Border, n: int) -> tuple[Array, Index]:
    """Give the level (n,) at which each cell spills [m], and how far it is from where that goes.

    Mostly its own lowest lip; where all round it is higher, the level to which a pool must rise
    before it runs out of the grid (the least of the highest lips on the ways out).
    """
    inside = edges.target >= 0
    lowest = np.full(n, np.inf)
    np.minimum.at(lowest, edges.cell, edges.sill)
    to = np.where(inside, edges.target, 0)
    falls = (edges.sill <= lowest[edges.cell] + _TIE) & (
        ~inside | (lowest[to] < lowest[edges.cell] - _TIE)
    )
    free = np.zeros(n, bool)
    free[edges.cell[falls]] = True
    if free.all():
        return lowest, np.zeros(n, np.intp)
    level, hops = np.full(n, np.inf), np.zeros(n, np.intp)
    by = np.argsort(edges.cell, kind="stable")
    sill, to, inside = edges.sill[by], to[by], inside[by]
    first = np.flatnonzero(np.diff(edges.cell[by], prepend=-1))
    owner = edges.cell[by][first]
    for turn in range(1, n + 2):
        beyond = np.maximum(sill, np.where(inside, level[to], -np.inf))
        new = np.full(n, np.inf)
        new[owner] = np.minimum.reduceat(beyond, first)
        changed = new < level
        if not changed.any():
            break
        hops[changed] = turn
        level = np.where(changed, new, level)
    return level, hops


def _shares(edges: Border, level: Array, hops: Index, head: float, c: Array) -> Array:
    """Share what a cell spills by the wet length of its lip over each lower neighbour (m,)."""
    cell, n = edges.cell, len(level)
    inside = edges.target >= 0
    to = np.where(inside, edges.target, 0)
    here = level[cell]
    with np.errstate(invalid="ignore"):
        lower = ~inside | (level[to] < here - _TIE)
        # a pool runs out along the way that it is nearest to
        nearer = inside & (level[to] <= here + _TIE) & (hops[to] < hops[cell])
    open_ = lower & (edges.sill <= here + _TIE)
    has = np.zeros(n, bool)
    has[cell[open_]] = True
    # where a lower neighbour lies beyond the lowest lip, nothing passes to one of equal level
    usable = np.where(has[cell], lower, nearer & (edges.sill <= here + _TIE))
    wet = np.where(usable, edges.wet_length(here + head), 0.0)
    total = np.bincount(cell, wet, n)
    return np.asarray(np.where(total[cell] > 0, wet / np.where(total > 0, total, 1.0)[cell], 0.0))


def stages(source: Index, target: Index, n: int) -> Index:
    """Put cells in stages (n,): a target stands at least one stage after all its sources."""
    stage = np.zeros(n, np.intp)
    if not len(source):
        return stage
    by = np.argsort(target, kind="stable")
    source, target = source[by], target[by]
    first = np.flatnonzero(np.diff(target, prepend=-1))
    reached = target[first]
    for _ in range(n + 1):
        new = np.maximum.reduceat(stage[source], first) + 1
        if np.array_equal(new, stage[reached]):
            return stage
        stage[reached] = new
    raise AssertionError("water runs in a circle")
