"""The lattice that cells are laid on, and which of its cells lie whole inside the strings.

Row i of the lattice has its upper edge at v = dv + i * run; cell j of it has its left edge at
u = du + j * width, and half a width further right in every odd row of a half-offset bond.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.layout.erosion import Anchors

CHUNK = 200_000  # lattice rows looked at in one go: bounds the memory


@dataclass(frozen=True, slots=True, eq=False)
class CellGrid:
    """The cells of one placing, as a grid of r rows and c columns around the strings."""

    inside: Mask  # (r, c) the whole cell lies inside
    u: Array  # (r, c) left edge [m]
    v: Array  # (r, c) upper edge [m]
    row0: int  # lattice number of the first row
    column0: int  # lattice number of the first column
    first_shifted: bool  # the first row stands half a cell to the right of the next


def cell_grid(
    E: Anchors, width: float, run: float, half_offset: bool, du: float, dv: float
) -> CellGrid:
    """Say for each cell of one placing whether it lies whole inside the strings.

    Parameters
    ----------
    E : Anchors
        Where a cell's upper left corner may lie.
    width, run : float
        Step of the lattice along a row and down the slope [m].
    half_offset : bool
        Odd rows stand half a cell to the right.
    du, dv : float
        Shift of the lattice [m].
    """
    if E.empty:
        none = np.zeros((0, 0))
        return CellGrid(none.astype(bool), none, none, 0, 0, False)
    low_u, low_v, high_u, high_v = E.closed.bounds
    row0, last = int(np.ceil((low_v - dv) / run)), int(np.floor((high_v - dv) / run))
    i = np.arange(row0, max(last, row0) + 1)
    column0, end = int(np.floor((low_u - du) / width)) - 1, int(np.floor((high_u - du) / width))
    j = np.arange(column0, end + 1)
    odd = (i % 2) * (width / 2 if half_offset else 0.0)
    u = du + odd[:, None] + j * width
    v = np.broadcast_to((dv + i * run)[:, None], u.shape)
    inside = shapely.contains_xy(E.closed, u, v)
    some = np.flatnonzero(inside.any(axis=0))
    keep = slice(some[0], some[-1] + 1) if some.size else slice(0, 1)
    return CellGrid(
        inside[:, keep],
        u[:, keep],
        v[:, keep].copy(),
        row0,
        column0 + int(keep.start),
        bool(half_offset and row0 % 2 == 1),
    )


def counts(E: Anchors, width: float, run: float, half_offset: bool, offsets: Array) -> Index:
    """Count the cells that lie whole inside the strings, for many shifts of the lattice at once.

    Every lattice row is cut with the edges of E; the cells of a row are those whose corner lies
    between the first cut and the second, the third and the fourth, and so on. The work goes with
    the rows, not with the cells.

    Parameters
    ----------
    E : Anchors
        Where a cell's upper left corner may lie.
    width, run : float
        Step of the lattice along a row and down the slope [m].
    half_offset : bool
        Odd rows stand half a cell to the right.
    offsets : (m, 2) array
        Shifts (du, dv) of the lattice [m].

    Returns
    -------
    (m,) int array
        Whole cells; touching a string counts as inside.
    """
    offsets = np.asarray(offsets, dtype=float).reshape(-1, 2)
    found = np.zeros(len(offsets), dtype=np.intp)
    if E.empty or not len(offsets):
        return found
    _, low, _, high = E.closed.bounds
    rows = int(np.floor((high - low) / run)) + 2  # no shift puts more rows between low and high
    edges = _edges(E)
    step = max(1, CHUNK // rows)
    for start in range(0, len(offsets), step):
        du, dv = offsets[start : start + step].T
        first = np.ceil((low - dv) / run).astype(np.intp)
        i = first[:, None] + np.arange(rows)
        shift = du[:, None] + ((i % 2) * (width / 2) if half_offset else np.zeros(i.shape))
        each = _row_counts(edges, (dv[:, None] + i * run).ravel(), shift.ravel(), width)
        found[start : start + step] = each.reshape(i.shape).sum(axis=1)
    return found


def _edges(E: Anchors) -> tuple[Array, Array]:
    """Give the upper and the lower end of every edge of E that is not level."""
    rings = shapely.get_rings(shapely.get_parts(E.closed))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    p, q = xy[:-1][same], xy[1:][same]
    slanted = p[:, 1] != q[:, 1]
    p, q = p[slanted], q[slanted]
    down = (p[:, 1] < q[:, 1])[:, None]
    return np.where(down, p, q), np.where(down, q, p)


def _row_counts(edges: tuple[Array, Array], v: Array, shift: Array, width: float) -> Index:
    """Count the lattice points of each row that lie inside; `shift` is where one of them lies."""
    top, bottom = edges
    order = np.argsort(v, kind="stable")
    level = v[order]
    # an edge cuts the rows from its upper end to just above its lower end: corners count once
    a, b = np.searchsorted(level, top[:, 1]), np.searchsorted(level, bottom[:, 1])
    cuts = b - a
    edge = np.repeat(np.arange(len(top)), cuts)
    row = np.arange(cuts.sum()) - np.repeat(np.cumsum(cuts) - cuts, cuts) + np.repeat(a, cuts)
    share = (level[row] - top[edge, 1]) / (bottom[edge, 1] - top[edge, 1])
    u = top[edge, 0] + share * (bottom[edge, 0] - top[edge, 0])
    by_row = np.lexsort((u, row))
    u, row = u[by_row], order[row[by_row]]
    left, right, row = u[0::2], u[1::2], row[0::2]
    cells = np.floor((right - shift[row]) / width) - np.ceil((left - shift[row]) / width) + 1
    return np.bincount(row, weights=np.maximum(cells, 0), minlength=len(v)).astype(np.intp)
