"""The two bonds: which crossings of the net make a cell, and which cells are clipped together."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.layout.model import Net


def cells_of(net: Net, half_offset: bool, start: int = 0) -> tuple[Array, Index, Index]:
    """Give every whole cell of a net.

    Parameters
    ----------
    net : Net
        Stacked bond: edges of one cell. Half-offset bond: ``net.across`` is half a cell, and the
        rows at an odd number of lines from the top string are moved by one column.
    half_offset : bool
        Which bond.
    start : int
        Half-offset bond: a column on which the rows that are not moved have a joint.

    Returns
    -------
    corners : (n, 4, 3) array
        Upper left, upper right, lower right, lower left, looking uphill [m].
    line, column : (n,) arrays
        Of each cell's upper left crossing in ``net.nodes``; ordered by line, then column.
    """
    width = 2 if half_offset else 1
    p = net.nodes
    quads = np.stack((p[:-1, :-width], p[:-1, width:], p[1:, width:], p[1:, :-width]), axis=2)
    whole = np.isfinite(quads[..., 0]).all(axis=2)
    if half_offset:
        i, j = np.indices(whole.shape)
        whole &= (i - net.line0 + j - start) % 2 == 0
        # the crossing under the middle of the wall above must be there too
        whole &= np.isfinite(p[:-1, 1:-1, 0])
    line, column = np.nonzero(whole)
    return quads[whole], line, column


def clip_pairs(line: Index, column: Index, half_offset: bool) -> Index:
    """Give the pairs of cells that share an edge, or half of one in half-offset bond.

    Parameters
    ----------
    line, column : (n,) arrays
        Of each cell's upper left crossing; no two alike.
    half_offset : bool
        Which bond.

    Returns
    -------
    (m, 2) array
        Indices of the cells: left and right, or upper and lower.
    """
    steps = ((0, 2), (1, -1), (1, 1)) if half_offset else ((0, 1), (1, 0))
    if not len(line):
        return np.empty((0, 2), np.intp)
    stride = int(np.ptp(column)) + 5  # wide enough that a step off one end meets no other line
    key = (line - line.min()) * stride + column - column.min() + 2
    order = np.argsort(key)
    ranked = key[order]
    pairs = []
    for below, beside in steps:
        wanted = key + below * stride + beside
        at = np.minimum(np.searchsorted(ranked, wanted), len(ranked) - 1)
        first = np.flatnonzero(ranked[at] == wanted)
        pairs.append(np.column_stack((first, order[at[first]])))
    return np.concatenate(pairs)


def pieces(count: int, pairs: Index) -> Index:
    """Tell apart the pieces that ``count`` cells make when the pairs (m, 2) hold together.

    Returns
    -------
    (count,) array
        For each cell the lowest cell of its piece.
    """
    label = np.arange(count)
    a, b = pairs[:, 0], pairs[:, 1]
    while True:
        lowest = np.minimum(label[a], label[b])
        found = label.copy()
        np.minimum.at(found, label[a], lowest)  # hang whole pieces, not cells: few rounds
        np.minimum.at(found, label[b], lowest)
        found = found[found]
        if np.array_equal(found, label):
            return label
        label = found
