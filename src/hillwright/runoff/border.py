"""What lies beyond each piece of the edge of each cell: a neighbour, or the way out of the grid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange

_UPPER, _RIGHT, _LOWER, _LEFT = range(4)  # edge k goes from corner k to the next
_OUT = {_LOWER: -1, _LEFT: -2, _RIGHT: -3}  # the ways out: toe, left, right
_PIECES = 8  # that an edge with no clipped neighbour is looked at in
_GAP = 1e-3  # share of an edge that may stay uncovered


@dataclass(frozen=True, slots=True, eq=False)
class Border:
    """The m pieces of edge over which water can pass."""

    cell: Index  # (m,) whose edge it is
    target: Index  # (m,) cell beyond it; -1 out at the toe, -2 out at the left, -3 at the right
    ends: Array  # (m, 2) height of the lip at both ends of the piece [m]
    length: Array  # (m,) of the piece [m]

    @property
    def sill(self) -> Array:
        """(m,) lowest place of the lip [m]."""
        return np.asarray(self.ends.min(axis=1))

    def wet_length(self, water: Array) -> Array:
        """Give the length (m,) of lip that lies under water at a level (m,) [m]."""
        low, high = self.ends.min(axis=1), self.ends.max(axis=1)
        rise = high - low
        under = water - low
        with np.errstate(divide="ignore", invalid="ignore"):
            part = np.where(rise > 0, under / rise, np.sign(under))
        return np.asarray(self.length * np.clip(part, 0.0, 1.0))


def border(corners: Array, row: Index, clips: Index, lips: Array, reach: float | None) -> Border:
    """Cut the edges of cells into pieces by what lies beyond.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Upper left, upper right, lower right, lower left [m].
    row : (n,) array of int
        1 is the top row.
    clips : (m, 2) array of int
        Cells that are clipped together.
    lips : (n, 4) array
        Heights of the top corners of the walls [m].
    reach : float or None
        How far to follow water over open ground to the next cell [m].
    """
    n = len(corners)
    if row.shape != (n,):
        raise OutOfRange("row", f"of shape {row.shape}", f"give the row of each of the {n} cells")
    if clips.size and not (clips.min() >= 0 and clips.max() < n):
        raise OutOfRange("clips", "names a cell that is not there", f"count from 0 to {n - 1}")
    cell, edge, target, start, end = _clipped(corners, row, clips)
    more = _unclipped(corners, cell, edge, start, end, lips.min(axis=1), reach)
    cell, edge, target, start, end = (
        np.concatenate(pair) for pair in zip((cell, edge, target, start, end), more, strict=True)
    )
    after = (edge + 1) % 4
    a, b = lips[cell, edge], lips[cell, after]
    ends = np.stack((a + (b - a) * start, a + (b - a) * end), axis=1)
    whole = np.linalg.norm(corners[cell, after] - corners[cell, edge], axis=1)
    return Border(cell, target, ends, whole * (end - start))


def _clipped(corners: Array, row: Index, clips: Index) -> tuple[Index, Index, Index, Array, Array]:
    """Give cell, edge, target and both ends (0 to 1 along the edge) where cells are clipped."""
    a, b = clips[:, 0], clips[:, 1]
    swap = row[a] > row[b]
    a, b = np.where(swap, b, a), np.where(swap, a, b)  # a is the upper one of two rows
    middle = (corners + np.roll(corners, -1, axis=1)) / 2  # (n, 4, 3) of the edges
    away = np.linalg.norm(middle[a, _RIGHT] - middle[b, _LEFT], axis=1)
    back = np.linalg.norm(middle[a, _LEFT] - middle[b, _RIGHT], axis=1)
    beside = np.where(away <= back, _RIGHT, _LEFT)
    edge_a = np.where(row[a] == row[b], beside, _LOWER)
    edge_b = (edge_a + 2) % 4
    cell, target = np.concatenate((a, b)), np.concatenate((b, a))
    edge, other = np.concatenate((edge_a, edge_b)), np.concatenate((edge_b, edge_a))
    plan = corners[:, :, :2]
    origin = plan[cell, edge]
    along = plan[cell, (edge + 1) % 4] - origin
    square = (along**2).sum(axis=1)
    at = [
        ((plan[target, k] - origin) * along).sum(axis=1) / square for k in (other, (other + 1) % 4)
    ]
    start = np.clip(np.minimum(*at), 0.0, 1.0)
    end = np.clip(np.maximum(*at), 0.0, 1.0)
    # corners that meet within the gap between two boxes are one corner
    start, end = np.where(start < _GAP, 0.0, start), np.where(end > 1 - _GAP, 1.0, end)
    real = end - start > _GAP
    return cell[real], edge[real], target[real], start[real], end[real]


def _unclipped(
    corners: Array,
    cell: Index,
    edge: Index,
    start: Array,
    end: Array,
    lowest: Array,
    reach: float | None,
) -> tuple[Index, Index, Index, Array, Array]:
    """Look down the slope from every piece of edge that no clipped neighbour covers."""
    n = len(corners)
    covered = np.bincount(cell * 4 + edge, end - start, 4 * n)
    bare = np.flatnonzero((covered < 1 - 2 * _GAP) & (np.arange(4 * n) % 4 != _UPPER))
    place = np.full(4 * n, -1)
    place[bare] = np.arange(len(bare))
    mids = (np.arange(_PIECES) + 0.5) / _PIECES
    taken = np.zeros((len(bare), _PIECES), bool)
    known = place[cell * 4 + edge]
    some = known >= 0
    inside = (mids >= start[some, None]) & (mids <= end[some, None])
    np.logical_or.at(taken, known[some], inside)
    which, piece = np.nonzero(~taken)
    c, e, t = bare[which] // 4, bare[which] % 4, mids[piece]
    target = _followed(corners, c, e, t, lowest, reach)
    out = np.select([e == _LOWER, e == _LEFT], [_OUT[_LOWER], _OUT[_LEFT]], _OUT[_RIGHT])
    half = 0.5 / _PIECES
    return c, e, np.where(target >= 0, target, out), t - half, t + half


def _followed(
    corners: Array, cell: Index, edge: Index, t: Array, lowest: Array, reach: float | None
) -> Index:
    """Give the first lower cell that water meets down the fall of its own cell; -1 is none."""
    import shapely

    if not len(cell):
        return np.empty(0, np.intp)
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    far = 3 * float(sides.max()) if reach is None else reach
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    normal *= np.where(normal[:, 2:] < 0, -1.0, 1.0)
    fall = normal[cell, :2]  # the plan of the upward normal points down the slope
    size = np.linalg.norm(fall, axis=1)
    steep = size > 1e-9 * np.linalg.norm(normal[cell], axis=1)
    a, b = corners[cell, edge, :2], corners[cell, (edge + 1) % 4, :2]
    middle = corners[cell, :, :2].mean(axis=1)
    across = b - a
    outward = np.stack((across[:, 1], -across[:, 0]), axis=1)
    outward *= np.sign(_dot((a + b) / 2 - middle, outward))[:, None]
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    fall = np.where(steep[:, None], fall / np.where(steep, size, 1.0)[:, None], outward)
    # a hair outside the wall, so that the way does not begin in the cell itself
    begin = a + across * t[:, None] + outward * (1e-3 * far)
    ways = shapely.linestrings(np.stack((begin, begin + fall * far), axis=1))
    boxes = shapely.polygons(corners[:, :, :2])
    way, met = shapely.STRtree(boxes).query(ways, predicate="intersects")
    keep: Mask = (met != cell[way]) & (lowest[met] < lowest[cell[way]])
    way, met = way[keep], met[keep]
    distance = shapely.distance(shapely.points(begin[way]), boxes[met])
    nearest = np.lexsort((distance, way))
    way, met = way[nearest], met[nearest]
    first = np.flatnonzero(np.diff(way, prepend=-1))
    found = np.full(len(cell), -1, np.intp)
    found[way[first]] = met[first]
    return found


def _dot(a: Array, b: Array) -> Array:
    return np.asarray((a * b).sum(axis=1))
