"""The Chebyshev net: every edge keeps its length on the ground, and only the angles give.

Cells clipped edge to edge lie so, and the whole net follows from its top row and its spine.
Each crossing is where two spheres, about the crossing beside it and the one above it, meet the
ground (van West, Pipes & Keefe 1990; Van Der Weeen 1991; both from memory). All crossings of one
anti-diagonal depend only on earlier ones, so a whole front is solved at once, the four quarters
about the start together.
"""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.layout.meet import meet
from hillwright.layout.model import Net
from hillwright.terrain.model import Ground

# cosine of the least angle between the edges of a cell: closer to shut, the net is locked and
# the next crossing is no longer told apart from its mirror image
_LOCKED = np.cos(np.radians(3.0))


def lay_net(
    ground: Ground,
    top: Array,
    column0: int,
    spine_down: Array,
    spine_up: Array | None,
    across: float,
    down: float,
) -> Net:
    """Lay a net of equal edges on the ground from its top row and its spine.

    Parameters
    ----------
    ground : Ground
        What the cells lie on.
    top : (columns, 3) array
        Crossings of the top string, left to right looking uphill, ``across`` apart [m].
    column0 : int
        Where on the top row the spine starts.
    spine_down : (n + 1, 3) array
        Crossings of the spine downhill, ``down`` apart, from ``top[column0]`` on [m].
    spine_up : (m + 1, 3) array or None
        The same uphill of the top string [m].
    across, down : float
        Edge lengths along a row and down the slope [m].

    Returns
    -------
    Net
        Crossings; NaN where the ground ends or the net locks, and all that hang on those.

    Raises
    ------
    ValueError
        A spine does not start on the top row.
    """
    up = top[column0 : column0 + 1] if spine_up is None else spine_up
    for spine in (spine_down, up):
        if not np.allclose(spine[0], top[column0], rtol=0, atol=1e-6 * down, equal_nan=True):
            raise ValueError("the spine must start at top[column0]")
    line0, columns = len(up) - 1, len(top)
    lines = line0 + len(spine_down)
    nodes = np.full((3, lines, columns), np.nan)
    nodes[:, line0] = top.T
    nodes[:, : line0 + 1, column0] = up[::-1].T
    nodes[:, line0:, column0] = spine_down.T
    flat = nodes.reshape(3, -1)
    for node, beside, above, corner in _fronts(lines, columns, line0, column0):
        _solve_front(ground, flat, node, beside, above, corner, across, down)
    return Net(frozen(np.moveaxis(nodes, 0, -1)), line0, column0, across, down)


def _fronts(lines: int, columns: int, line0: int, column0: int) -> list[tuple[Index, ...]]:
    """Give the crossings of each front as flat indices: itself, beside, above, and the corner."""
    i, j = np.indices((lines, columns)).reshape(2, -1)
    away = np.abs(i - line0) + np.abs(j - column0)
    inner = (i != line0) & (j != column0)
    order = np.flatnonzero(inner)[np.argsort(away[inner], kind="stable")]
    i, j, away = i[order], j[order], away[order]
    inward_i, inward_j = i - np.sign(i - line0), j - np.sign(j - column0)
    each = (order, i * columns + inward_j, inward_i * columns + j, inward_i * columns + inward_j)
    ends = np.flatnonzero(np.diff(away)) + 1
    return list(zip(*(np.split(e, ends) for e in each), strict=True)) if order.size else []


def _solve_front(
    ground: Ground,
    flat: Array,
    node: Index,
    beside: Index,
    above: Index,
    corner: Index,
    across: float,
    down: float,
) -> None:
    """Solve one front and write it into the crossings ``flat`` (3, lines * columns)."""
    b, a, c = flat[:, beside], flat[:, above], flat[:, corner]
    guess = a + b - c
    known = np.isfinite(guess[0])
    if not known.any():
        return
    if not known.all():
        node = node[known]
        b, a, c, guess = (v[:, known] for v in (b, a, c, guess))

    def lengths(p: Array) -> tuple[Array, Array, Array, Array]:
        row, run = p - b, p - a
        return (
            0.5 * ((row * row).sum(axis=0) - across**2),
            row,
            0.5 * ((run * run).sum(axis=0) - down**2),
            run,
        )

    p = meet(ground, guess[:2], lengths, min(across, down))
    with np.errstate(invalid="ignore"):
        row, run = p - b, p - a
        cosine = (row * run).sum(axis=0) / (across * down)
        side = (row[0] * run[1] - row[1] * run[0]) * (
            (a[0] - c[0]) * (b[1] - c[1]) - (a[1] - c[1]) * (b[0] - c[0])
        )
        flat[:, node] = np.where((np.abs(cosine) < _LOCKED) & (side > 0), p, np.nan)
