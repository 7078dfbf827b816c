"""The cells as a field to walk and plant: who touches whom, what an arm reaches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.layout.model import Layout

_NEAR = 0.15  # cells of two panels closer than this are walked across [m]


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """n cells; lists of lists are one flat array with the n + 1 places where each begins."""

    centre: Array  # (n, 3) of the soil's top, in the middle of each cell [m]
    normal: Array  # (n, 3) square to each cell: x, y, up
    steps: Index  # (m, 2) pairs of cells that one may step between, both ways
    sides: Index  # (k, 2) pairs of cells beside each other in a row, left then right
    reach_at: Index  # (n + 1,)
    reach: Index  # cells that can be tended from each cell, itself too
    left: Index  # (n,) the cell to the right of each, -1 = none
    below: Index  # (n,) the cell under each, -1 = none
    edge: Mask  # (n,) on the border of the planting
    roots: Index  # cells that one may step onto from outside
    row: Index  # (n,)
    number: Index  # (n,)
    stretch: Index  # (n,) cells of one row with none missing between share a number

    @property
    def count(self) -> int:
        """How many cells."""
        return len(self.row)

    def tended_from(self, cell: int) -> Index:
        """Give the cells that can be tended from a cell."""
        return self.reach[self.reach_at[cell] : self.reach_at[cell + 1]]

    def name(self, cell: int) -> str:
        """Name a cell by row and number, as "R3-12"."""
        return f"R{self.row[cell]}-{self.number[cell]}"


def make_field(
    layout: Layout, reach: float, max_step: float, entries: Array, depth: float
) -> Field:
    """Work out how the cells of a layout hang together for people.

    Parameters
    ----------
    layout : Layout
        The cells.
    reach : float
        From the edge of the cell that one stands in to the middle of what is tended [m].
    max_step : float
        The highest step between two cells that are walked [m].
    entries : (k, 2) array
        Where one comes in; none = anywhere along the lowest row [m].
    depth : float
        Of the soil in a cell: its top stands so high over the base [m].
    """
    c = layout.corners
    across, down = c[:, 1] + c[:, 2] - c[:, 0] - c[:, 3], c[:, 2] + c[:, 3] - c[:, 0] - c[:, 1]
    normal = np.cross(down, across)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    centre = c.mean(axis=1) + normal * depth
    right, under, pairs = _neighbours(layout, centre)
    height = np.abs(centre[pairs[:, 0], 2] - centre[pairs[:, 1], 2])
    walked = pairs[height <= max_step + 1e-9]
    sides = np.column_stack([np.flatnonzero(right >= 0), right[right >= 0]])
    at, cells = _reach(c, centre, reach)
    edge = _edge(layout, pairs)
    broken = np.ones(len(c), bool)
    broken[right[right >= 0]] = False  # has a neighbour to its left
    return Field(
        frozen(centre),
        frozen(normal),
        frozen(walked),
        frozen(sides),
        frozen(at),
        frozen(cells),
        frozen(right),
        frozen(under),
        frozen(edge),
        frozen(_roots(layout, centre, entries)),
        layout.row,
        layout.number,
        frozen(np.cumsum(broken) - 1),
    )


def _neighbours(layout: Layout, centre: Array) -> tuple[Index, Index, Index]:
    """Give the right and the lower neighbour of each cell, and all pairs that touch."""
    n = len(centre)
    right, under = np.full(n, -1), np.full(n, -1)
    pairs = layout.clips.reshape(-1, 2).astype(np.intp)
    if (seams := _across_seams(layout)) is not None:
        pairs = np.concatenate([pairs, seams])
    pairs = np.unique(np.sort(pairs, axis=1), axis=0)
    a, b = pairs[:, 0], pairs[:, 1]
    c = layout.corners
    # along its row a neighbour lies beside a cell, else above or below it
    side = c[:, 1] - c[:, 0] + c[:, 2] - c[:, 3]
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    fall = c[:, 3] - c[:, 0] + c[:, 2] - c[:, 1]
    fall /= np.linalg.norm(fall, axis=1, keepdims=True)
    to = centre[b] - centre[a]
    along = np.einsum("ij,ij->i", to, side[a]) / layout.cell.width
    drop = np.einsum("ij,ij->i", to, fall[a]) / layout.cell.run
    beside = np.abs(along) > np.abs(drop)
    for i, j, s, d, is_side in zip(a, b, along, drop, beside, strict=True):
        if is_side:
            first, second = (i, j) if s > 0 else (j, i)
            right[first] = second
        else:
            first, second = (i, j) if d > 0 else (j, i)
            # of two cells half under it, the left one carries on the block
            if under[first] < 0 or _leftmost(second, under[first], side, centre):
                under[first] = second
    return right.astype(np.intp), under.astype(np.intp), pairs


def _leftmost(new: int, old: int, side: Array, centre: Array) -> bool:
    return bool((centre[new] - centre[old]) @ side[old] < 0)


def _across_seams(layout: Layout) -> Index | None:
    """Give pairs of cells that face each other over a seam between panels."""
    if len(layout.panel) == 0 or layout.panel.max() == layout.panel.min():
        return None
    shapes = shapely.polygons(layout.corners[:, :, :2])
    tree = shapely.STRtree(shapes)
    i, j = tree.query(shapes, predicate="dwithin", distance=_NEAR)
    far = (layout.panel[i] != layout.panel[j]) & (i < j)
    i, j = i[far], j[far]
    middle = layout.corners.mean(axis=1)
    apart = np.linalg.norm(middle[i] - middle[j], axis=1)
    near = apart <= 1.2 * max(layout.cell.width, layout.cell.run) + _NEAR
    return np.column_stack([i[near], j[near]]).astype(np.intp)


def _reach(corners: Array, centre: Array, reach: float) -> tuple[Index, Index]:
    """List the cells whose middle lies within ``reach`` of each cell's edge, on the slope."""
    n = len(centre)
    base = corners.mean(axis=1)
    size = float(np.linalg.norm(corners[:, 0] - corners[:, 2], axis=1).max(initial=0.0))
    far = reach + size
    i, j = _close(base, far)
    # nearest point of the four edges of i to the middle of j
    best = np.full(len(i), np.inf)
    for k in range(4):
        a, b = corners[i, k], corners[i, (k + 1) % 4]
        run = b - a
        t = np.einsum("ij,ij->i", base[j] - a, run) / np.einsum("ij,ij->i", run, run)
        nearest = a + np.clip(t, 0, 1)[:, None] * run
        best = np.minimum(best, np.linalg.norm(base[j] - nearest, axis=1))
    inside = (best <= reach + 1e-6) | (i == j)
    i, j = i[inside], j[inside]
    at = np.zeros(n + 1, np.intp)
    np.cumsum(np.bincount(i, minlength=n), out=at[1:])
    return at, j.astype(np.intp)


def _close(points: Array, far: float) -> tuple[Index, Index]:
    """Give all pairs of points no further apart than ``far``, in order, both ways."""
    flat = shapely.points(points[:, :2])
    # on the level they are no further apart than they are
    i, j = shapely.STRtree(flat).query(flat, predicate="dwithin", distance=far * (1 + 1e-9))
    order = np.lexsort((j, i))
    i, j = i[order], j[order]
    near = ((points[i] - points[j]) ** 2).sum(axis=1) <= far * far
    return i[near], j[near]


def _edge(layout: Layout, pairs: Index) -> Mask:
    """Tell the cells that have no neighbour on one of their sides."""
    touching = np.bincount(pairs.ravel(), minlength=len(layout.row))
    most = np.bincount(touching).argmax() if len(touching) else 4
    return np.asarray(touching < max(4, int(most)))


def _roots(layout: Layout, centre: Array, entries: Array) -> Index:
    """Give the cells that one comes in by: those nearest to each entry, or all of the last row."""
    if len(entries):
        gap = np.linalg.norm(centre[:, None, :2] - entries[None], axis=2)
        return np.unique(gap.argmin(axis=0)).astype(np.intp)
    return np.flatnonzero(layout.row == layout.rows).astype(np.intp)
