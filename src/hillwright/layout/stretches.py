"""Stretches: the runs of whole cells, side by side, that a row is set out in."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.layout.model import Layout
from hillwright.method import method

_TOGETHER = 1e-3  # corners of neighbours that are clipped edge to edge lie this close [m]


class Stretches(NamedTuple):
    """r runs of whole cells; a row has one, or several where a hole, seam or trimmed cell is."""

    first: Index  # (r,) index of its first cell in the layout
    last: Index  # (r,) of its last
    cells: Index  # (r,) how many
    row: Index  # (r,)
    name: tuple[str, ...]  # (r,) "R07", "R07b" for the second stretch of row 7
    reach: Array  # (n,) from its start to each cell's right edge; NaN for a trimmed cell [m]


def stretches(layout: Layout) -> Stretches:
    """Find the stretches of a layout, by row and from the left."""
    whole = np.flatnonzero(~layout.trimmed)
    c, row, panel = layout.corners[whole], layout.row[whole], layout.panel[whole]
    apart = np.linalg.norm(c[1:, 0] - c[:-1, 1], axis=1) > _TOGETHER
    cut = (row[1:] != row[:-1]) | (panel[1:] != panel[:-1]) | apart
    begins = np.flatnonzero(np.concatenate([np.ones(min(len(whole), 1), bool), cut]))
    ends = np.concatenate([begins[1:], [len(whole)]])[: len(begins)] - 1
    width = np.linalg.norm(c[:, 1] - c[:, 0], axis=1)
    total = np.cumsum(width)
    before = np.repeat(total[begins] - width[begins], ends - begins + 1)
    reach = np.full(len(layout.row), np.nan)
    reach[whole] = total - before
    rows = row[begins]
    digits = max(2, len(str(int(rows.max(initial=0)))))
    names, seen = [], dict[int, int]()
    for r in rows.tolist():
        k = seen[r] = seen.get(r, 0) + 1
        names.append(f"R{r:0{digits}d}{_letter(k)}")
    return Stretches(whole[begins], whole[ends], ends - begins + 1, rows, tuple(names), reach)


def _letter(k: int) -> str:
    """Nothing for the first stretch of a row, then b, c, ... z, 27, 28, ..."""
    return "" if k == 1 else chr(ord("a") + k - 1) if k <= 26 else f"-{k}"


@method(
    title="Slope distance of a point from a string",
    equation="d = min |P - F|, F on the string, its ends drawn on straight",
    source="exact geometry",
)
def distance_from_string(string: Array, points: Array) -> Array:
    """Give the taut distance from a string to points, square to the string.

    Parameters
    ----------
    string : (k, 3) array
        Corners of the string. [m]
    points : (n, 3) array
        Points. [m]

    Returns
    -------
    (n,) array
        Shortest distance; the end pieces of the string count as drawn on. [m]

    Raises
    ------
    OutOfRange
        A string of fewer than two different corners.

    Notes
    -----
    Below a level string on a plane slope this is the distance straight down the fall.
    """
    points = np.asarray(points, float)
    return np.asarray(np.linalg.norm(points - foot_on_string(string, points), axis=-1))


def foot_on_string(string: Array, points: Array) -> Array:
    """(n, 3) nearest places to points on a string whose ends are drawn on [m]."""
    line = np.asarray(string, float)
    if line.ndim == 2 and line.shape[1] == 3:
        line = line[np.concatenate([[True], (np.diff(line, axis=0) != 0).any(axis=1)])]
    if line.ndim != 2 or line.shape[1:] != (3,) or len(line) < 2:
        raise OutOfRange("string", "has no length", "give at least two different corners")
    a, way = line[:-1], np.diff(line, axis=0)
    least, most = np.zeros(len(a)), np.ones(len(a))
    least[0], most[-1] = -np.inf, np.inf
    along = ((points[:, None] - a) * way).sum(axis=2) / (way**2).sum(axis=1)
    foot = a + np.clip(along, least, most)[..., None] * way
    gap = ((points[:, None] - foot) ** 2).sum(axis=2)
    return np.asarray(foot[np.arange(len(points)), gap.argmin(axis=1)])


def drop_to_start(layout: Layout, found: Stretches, string: Array) -> Array:
    """(r,) height of the row above over the start of each stretch; row 1: of the string [m].

    NaN where no cell of the row above lies over the start: what is far aside is no check.
    """
    start = layout.corners[found.first, 0]
    drop = np.full(len(start), np.nan)
    present = np.unique(layout.row)
    for r in np.unique(found.row).tolist():
        mine = np.flatnonzero(found.row == r)
        above = present[present < r]
        if len(above):
            edges = layout.corners[layout.row == above[-1]]
            near = _nearest_on_edges(edges[:, 0], edges[:, 1], start[mine])
        else:
            near = foot_on_string(string, start[mine])
        over = np.linalg.norm(near - start[mine], axis=1) <= 1.5 * layout.cell.run
        drop[mine] = np.where(over, near[:, 2] - start[mine, 2], np.nan)
    return drop


def _nearest_on_edges(a: Array, b: Array, points: Array) -> Array:
    """(n, 3) nearest places in plan to points on the edges a to b (m, 3) [m]."""
    way = b - a
    length2 = np.maximum((way[:, :2] ** 2).sum(axis=1), 1e-300)
    along = ((points[:, None, :2] - a[:, :2]) * way[:, :2]).sum(axis=2) / length2
    foot = a + np.clip(along, 0, 1)[..., None] * way
    gap = ((points[:, None, :2] - foot[..., :2]) ** 2).sum(axis=2)
    return np.asarray(foot[np.arange(len(points)), gap.argmin(axis=1)])


def first_block(layout: Layout, found: Stretches) -> tuple[Array, str]:
    """Give the corners of a block of whole cells from row 1 down, to be checked by its diagonals.

    The block is as wide as the first stretch, and goes down while the cells under both its ends
    are there.

    Returns
    -------
    corners : (4, 3) array
        Upper left, upper right, lower right, lower left; empty without any cell [m].
    note : str
        Which block, in words.
    """
    if not len(found.first):
        return np.empty((0, 3)), ""
    below = _below(layout)
    left, right = int(found.first[0]), int(found.last[0])
    c, top = layout.corners, int(layout.row[left])
    corners = [c[left, 0], c[right, 1]]
    while below[left] >= 0 and below[right] >= 0:
        left, right = int(below[left]), int(below[right])
    bottom = int(layout.row[left])
    corners += [c[right, 2], c[left, 3]]
    rows = f"row {top}" if bottom == top else f"rows {top} to {bottom}"
    return np.array(corners), f"{rows}, the {int(found.cells[0])} cells under {found.name[0]}"


def _below(layout: Layout) -> Index:
    """(n,) whole cell straight below each, one row down, in half-offset bond two; or -1."""
    n = len(layout.row)
    i, j = layout.clips.T if len(layout.clips) else np.empty((2, 0), np.intp)
    down = (layout.row[j] == layout.row[i] + 1) & ~layout.trimmed[i] & ~layout.trimmed[j]
    i, j = i[down], j[down]
    c = layout.corners
    way = c[i, 1] - c[i, 0]
    aside = ((c[j, 0] - c[i, 3]) * way).sum(axis=1) / (way**2).sum(axis=1)
    to = [np.full(n, -1, np.intp) for _ in range(3)]  # straight, half to the left, half right
    for k, chosen in enumerate((np.abs(aside) < 0.25, aside <= -0.25, aside >= 0.25)):
        to[k][i[chosen]] = j[chosen]
    straight, left, right = to
    if not layout.cell.half_offset:
        return straight
    one, other = np.where(left >= 0, right[left], -1), np.where(right >= 0, left[right], -1)
    return np.asarray(np.where(one >= 0, one, other))
