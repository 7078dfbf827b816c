"""What the clips carry: each cell's pull goes up through its clips to an anchored cell.

A clip pulls; it never pushes. So a cell leads what it carries to the cells above that it is
clipped to, in equal shares; one with nothing above hangs between its neighbours in the row like a
beam between two supports. An anchored cell gives all that it carries to its anchor.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.method import method


class ClipLoads(NamedTuple):
    """Where the pull of n cells goes, through m clipped pairs."""

    pair: Array
    carried: Array
    anchor: Array


@method(
    title="Pull through the clips to the anchored cells above",
    equation="C_i = T_i + sum of what hangs from i; clip to each cell above = C_i / (cells above)",
    source="statics: tributary shares, a beam between supports along the row; common practice",
)
def clip_loads(
    row: Index, number: Index, clips: Index, anchored: Mask, pull: ArrayLike
) -> ClipLoads:
    """Add the pull of each cell up through the clips.

    Parameters
    ----------
    row : (n,) array of int
        Row of each cell, 1 is the top row. [-]
    number : (n,) array of int
        Place in its row, from the left looking uphill. [-]
    clips : (m, 2) array of int
        Pairs of clipped cells, counted from 0; between neighbours in a row or to the next row. [-]
    anchored : (n,) bool array
        The cell hangs from an anchor of its own. [-]
    pull : (..., n) array
        Net force of each cell down the slope, >= 0; several states at once if wanted. [N]

    Returns
    -------
    pair : (..., m) array
        Force through each clipped pair, over all its clips. [N]
    carried : (..., n) array
        What each cell hands on: its own pull and what hangs from it. [N]
    anchor : (..., n) array
        Force on the anchor of each cell; 0 where there is none. [N]

    Raises
    ------
    OutOfRange
        A cell that hangs from nothing, a pull below 0, a clip between cells that are not
        neighbours or not there.

    Notes
    -----
    Shares are by count, not by stiffness: a loose clip hands its share to the others. The sum on
    the anchors is the sum of the pulls.
    """
    grid = _read(row, number, clips, anchored, pull)
    carried, through = _climb(grid)[:2]
    anchor = np.where(grid.anchored, np.moveaxis(carried, 0, -1), 0.0)
    return ClipLoads(np.moveaxis(through, 0, -1), np.moveaxis(carried, 0, -1), anchor)


class _Grid(NamedTuple):
    """What hangs where; the cells are the first axis of the pulls."""

    row: Index
    number: Index
    clips: Index
    anchored: Mask
    pull: Array
    lower: Index  # (m,) cell of each pair that hangs from the other; for a pair in a row, any
    upper: Index  # (m,)
    rises: Mask  # (m,) the pair joins two rows


class _Limits(NamedTuple):
    """Most that a clipped pair and the anchors of a cell may carry [N]."""

    pair: Array  # (n,) by the lower cell of the pair
    anchor: Array  # (n,)


def _climb(grid: _Grid, limits: _Limits | None = None) -> tuple[Array, Array, list[int]]:
    """Go up row by row; with limits, anchor each row that would load clips or anchors above them.

    Returns
    -------
    carried : (n, ...) array
    through : (m, ...) array
    added : list of int
        Rows anchored on the way, from the bottom.
    """
    carried, through = grid.pull.copy(), np.zeros((len(grid.clips), *grid.pull.shape[1:]))
    above = np.bincount(grid.lower[grid.rises], minlength=len(grid.row))
    order = np.lexsort((grid.number, grid.row))
    starts = np.flatnonzero(np.diff(grid.row[order], prepend=-1))
    added = []
    for cells in reversed(np.split(order, starts[1:]) if len(order) else []):
        held = grid.anchored[cells] | (above[cells] > 0)
        load, pairs, beside = _sideways(cells, held, grid, carried[cells])
        up = np.flatnonzero(
            grid.rises & (grid.row[grid.lower] == grid.row[cells[0]]) & ~grid.anchored[grid.lower]
        )
        after = carried.copy()
        after[cells] = load
        share = (after[grid.lower[up]].T / above[grid.lower[up]]).T
        np.add.at(after, grid.upper[up], share)
        if limits is not None and not grid.anchored[cells].all():
            heads = np.concatenate([cells[grid.anchored[cells]], grid.upper[up]])
            if (
                _over(share, limits.pair[grid.lower[up]])
                or _over(beside, limits.pair[grid.lower[pairs]])
                or _over(after[heads], limits.anchor[heads])
            ):
                added.append(int(grid.row[cells[0]]))
                continue
        carried, through[pairs], through[up] = after, beside, share
    return carried, through, added


def _over(load: Array, limit: Array) -> bool:
    return bool((load > limit * (1 + 1e-12)).any())


def _read(row: Index, number: Index, clips: Index, anchored: Mask, pull: ArrayLike) -> _Grid:
    row, number = (np.atleast_1d(np.asarray(v, np.intp)) for v in (row, number))
    clips = np.asarray(clips, np.intp).reshape(-1, 2)
    anchored, pulls = (
        np.atleast_1d(np.asarray(anchored, bool)),
        np.atleast_1d(np.asarray(pull, float)),
    )
    sizes = (len(row), len(number), len(anchored), pulls.shape[-1])
    if len(set(sizes)) > 1:
        told = f"have {', '.join(str(s) for s in sizes)} cells"
        raise OutOfRange("row, number, anchored, pull", told, "give each the same number of cells")
    if clips.size and not (clips.min() >= 0 and clips.max() < len(row)):
        raise OutOfRange("clips", "name a cell that is not there", f"give 0 to {len(row) - 1}")
    if (bad := ~((pulls >= 0) & np.isfinite(pulls))).any():
        where = f"pull, cell {int(np.argwhere(bad)[0][-1]) + 1}"
        raise OutOfRange(where, "is no pull down the slope", "give 0 where a cell lies still")
    if len(set(zip(row.tolist(), number.tolist(), strict=True))) < len(row):
        raise OutOfRange("number", "two cells have the same row and number", "number them apart")
    rise = np.abs(np.diff(row[clips], axis=1)[:, 0])
    step = np.abs(np.diff(number[clips], axis=1)[:, 0])
    if (bad := ~((rise == 1) | ((rise == 0) & (step == 1)))).any():
        a, b = clips[np.flatnonzero(bad)[0]]
        raise OutOfRange(
            f"clip from row {row[a]} cell {number[a]} to row {row[b]} cell {number[b]}",
            "these are not neighbours",
            "clip cells to the next in the row or to the next row",
        )
    lower = np.where(row[clips[:, 0]] > row[clips[:, 1]], clips[:, 0], clips[:, 1])
    upper = clips.sum(axis=1) - lower
    return _Grid(row, number, clips, anchored, np.moveaxis(pulls, -1, 0), lower, upper, rise == 1)


def _sideways(cells: Index, held: Mask, grid: _Grid, carried: Array) -> tuple[Array, Index, Array]:
    """Lead what cells of one row with nothing above carry to the held cells beside them.

    Each hands its load to the nearest held cell on either side, more to the nearer, as a beam
    does.

    Parameters
    ----------
    cells : (k,) array
        Of one row, from the left.
    held : (k,) bool array
        Clipped to a cell above, or anchored.
    grid : _Grid
    carried : (k, ...) array
        What each carries before.

    Returns
    -------
    load : (k, ...) array
        What each carries after.
    pairs : (p,) array
        The clips along the row.
    beside : (p, ...) array
        Force through each of them.
    """
    place = np.full(len(grid.row), -1)
    place[cells] = at = np.arange(len(cells))
    pairs = np.flatnonzero(~grid.rises & (place[grid.clips[:, 0]] >= 0))
    left = place[grid.clips[pairs]].min(axis=1)
    loose = np.flatnonzero(~held)
    if not loose.size:
        return carried, pairs, np.zeros((len(pairs), *carried.shape[1:]))
    joined = np.zeros(len(cells), bool)  # to the next cell on the right
    joined[left] = True
    piece = np.concatenate([[0], np.cumsum(~joined[:-1])])
    a = np.maximum.accumulate(np.where(held, at, -1))[loose]
    b = np.minimum.accumulate(np.where(held, at, len(cells))[::-1])[::-1][loose]
    has_a = (a >= 0) & (piece[a] == piece[loose])
    has_b = (b < len(cells)) & (piece[np.minimum(b, len(cells) - 1)] == piece[loose])
    if (lost := ~(has_a | has_b)).any():
        cell = cells[loose[np.flatnonzero(lost)[0]]]
        raise OutOfRange(
            f"row {grid.row[cell]}, cell {grid.number[cell]}",
            "hangs from nothing: no clip leads up or to an anchor",
            "clip it to a cell above, or anchor it",
        )
    both = has_a & has_b
    to_a = np.where(both, (b - loose) / np.where(both, b - a, 1), has_a.astype(float))
    load, moved = carried.copy(), carried[loose]
    # net force over the cut right of each cell: to the left less to the right
    cut = np.zeros((len(cells) + 1, *carried.shape[1:]))
    for share, one, other, target, sign in (
        (to_a, a, loose, a, 1.0),
        (1 - to_a, loose, b, b, -1.0),
    ):
        some = share > 0
        part = (moved[some].T * share[some]).T
        np.add.at(cut, one[some], sign * part)
        np.add.at(cut, other[some], -sign * part)
        np.add.at(load, target[some], part)
    return load, pairs, np.abs(np.cumsum(cut, axis=0))[left]


@method(
    title="Rows that need anchors of their own, so that no clip carries too much",
    equation="from the bottom up: anchor a row when C > clip limit or C + T above > anchor limit",
    source="greedy stretches, each as long as it can be: exact for one column",
)
def rows_to_anchor(
    row: Index,
    number: Index,
    clips: Index,
    anchored: Mask,
    pull: Array,
    clip_limit: ArrayLike,
    anchor_limit: ArrayLike = np.inf,
) -> Index:
    """Find the rows that need anchors of their own, so that no clip carries too much.

    From the bottom row up, a row is anchored only when the clips above it could not carry what
    hangs there, or the anchors above could not hold one more row. For one column no choice of
    rows is smaller: each stretch between anchored rows already reaches as far as it can.

    Parameters
    ----------
    row, number : (n,) array of int
        Of each cell, as :func:`clip_loads` takes them. [-]
    clips : (m, 2) array of int
        Pairs of clipped cells, counted from 0. [-]
    anchored : (n,) bool array
        The cell hangs from an anchor of its own. [-]
    pull : (n,) array
        Net force of each cell down the slope, >= 0. [N]
    clip_limit : float or (n,) array
        Most that a clipped pair of cells may carry, by its lower cell, > 0. [N]
    anchor_limit : float or (n,) array
        Most that the anchors of one cell may carry, > 0. [N]

    Returns
    -------
    (k,) array of int
        Rows to anchor besides those that are, from the top. [-]

    Raises
    ------
    OutOfRange
        One cell by itself is more than its anchors may carry; a limit of zero or less.

    Notes
    -----
    A row is anchored whole. Where cells hang beside one another there may be a smaller choice.
    """
    grid = _read(row, number, clips, anchored, pull)
    clip, anchor = (np.asarray(v, float) for v in (clip_limit, anchor_limit))
    limits = _Limits(*(np.broadcast_to(v, grid.row.shape) for v in (clip, anchor)))
    for name, limit in (("clip_limit", limits.pair), ("anchor_limit", limits.anchor)):
        if not (limit > 0).all():
            raise OutOfRange(name, "is not above zero", "give a force above 0")
    if (bad := grid.pull > limits.anchor).any():
        cell = int(np.flatnonzero(bad)[0])
        raise OutOfRange(
            f"row {grid.row[cell]}, cell {grid.number[cell]}",
            "pulls harder by itself than its anchors may carry",
            "use stronger anchors, or more of them at each cell",
        )
    return np.array(_climb(grid, limits)[2][::-1], np.intp)
