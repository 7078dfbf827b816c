"""Lines across a section: heights along them, where they cross, how far a point lies off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hillwright.arrays import Array


def height(line: Array, x: Array) -> Array:
    """Give the height of a line at some places; level beyond its ends.

    Parameters
    ----------
    line : (m, 2) array
        Corners from left to right. [m]
    x : (...) array
        Places along the section. [m]

    Returns
    -------
    (...) array
        Height there. [m]
    """
    if len(line) == 1:
        return np.full(np.shape(x), line[0, 1])
    return np.asarray(np.interp(x, line[:, 0], line[:, 1]))


def extended(line: Array, left: float, right: float) -> Array:
    """Carry a line on, level, so that it reaches from left to right of the section."""
    before = [[left, line[0, 1]]] if line[0, 0] > left else []
    after = [[right, line[-1, 1]]] if line[-1, 0] < right else []
    return np.array([*before, *line.tolist(), *after], float)


def crossings(lines: Sequence[Array]) -> Array:
    """Give every x at which two of the lines cross, sorted (corners are not crossings)."""
    found: list[float] = []
    for i, one in enumerate(lines):
        for other in lines[i + 1 :]:
            x = np.union1d(one[:, 0], other[:, 0])
            gap = height(one, x) - height(other, x)
            at = np.flatnonzero(gap[:-1] * gap[1:] < 0)
            found += (x[at] + (x[at + 1] - x[at]) * gap[at] / (gap[at] - gap[at + 1])).tolist()
    return np.unique(found)


def sharpest(line: Array, most: int) -> Array:
    """Give the x of the inner corners of a line, or of the sharpest where there are many."""
    if len(line) < 3:
        return np.empty(0)
    slope = np.arctan2(np.diff(line[:, 1]), np.diff(line[:, 0]))
    bend = np.abs(np.diff(slope))
    worth = np.flatnonzero(bend > 1e-9)
    if len(worth) > most:
        worth = np.sort(worth[np.argsort(-bend[worth], kind="stable")[:most]])
    return line[1:-1, 0][worth]


def nearest(line: Array, x: Array, y: Array) -> Array:
    """Give the least distance from points to a line.

    Parameters
    ----------
    line : (m, 2) array
        Corners. [m]
    x, y : (k,) array
        The points. [m]

    Returns
    -------
    (k,) array
        Distance. [m]
    """
    point = np.stack([x, y], axis=-1)[:, None, :]
    if len(line) == 1:
        return np.asarray(np.hypot(x - line[0, 0], y - line[0, 1]))
    start, along = line[:-1], np.diff(line, axis=0)
    share = np.clip(((point - start) * along).sum(-1) / (along * along).sum(-1), 0.0, 1.0)
    off = point - start - share[..., None] * along
    return np.asarray(np.sqrt((off * off).sum(-1)).min(axis=1))


def hits(line: Array, x: Array, y: Array, radius: Array) -> Array:
    """Give where circles cross a line.

    Parameters
    ----------
    line : (m, 2) array
        Corners from left to right. [m]
    x, y, radius : (k,) array
        The circles. [m]

    Returns
    -------
    (k, 2 (m - 1)) array
        x of each crossing, sorted; infinite where there is none. [m]
    """
    start, along = line[:-1], np.diff(line, axis=0)
    a = (along * along).sum(-1)
    dx, dy = start[:, 0] - x[:, None], start[:, 1] - y[:, None]
    b = dx * along[:, 0] + dy * along[:, 1]
    c = dx * dx + dy * dy - (radius * radius)[:, None]
    inside = b * b - a * c
    root = np.sqrt(np.maximum(inside, 0.0))
    share = np.concatenate([(-b - root) / a, (-b + root) / a], axis=1)
    hit = np.tile(inside > 0, 2) & (share >= 0) & (share <= 1)
    at = np.tile(start[:, 0], 2) + share * np.tile(along[:, 0], 2)
    return np.sort(np.where(hit, at, np.inf), axis=1)
