"""Seams: where cells side by side, or one below the other, are not clipped together, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.layout.bond import clip_pairs, pieces
from hillwright.layout.measure import bend_between
from hillwright.layout.model import CellShape, Seam


def without_overlap(corners: Array, others: list[Array], cell: CellShape) -> Mask:
    """Tell which cells (n, 4, 3) lie free of all ``others``, but for the play of the clips."""
    import shapely

    if not len(corners) or not any(len(o) for o in others):
        return np.ones(len(corners), bool)
    mine = shapely.polygons(corners[..., :2])
    theirs = shapely.polygons(np.concatenate(others)[..., :2])
    found, other = shapely.STRtree(theirs).query(mine, predicate="intersects")
    shared = shapely.area(shapely.intersection(mine[found], theirs[other]))
    free = np.ones(len(corners), bool)
    free[found[shared > cell.clip_play * min(cell.width, cell.run)]] = False
    return free


def side_seams(
    kept: list[tuple[Array, Index, Index]],
    wanted: list[tuple[Index, Index]],
    cuts: Array,
    joint: int,
    why: str,
) -> list[Seam]:
    """Describe the seams between panels that hang side by side.

    Parameters
    ----------
    kept : list
        Corners (n, 4, 3) [m], line and column of the cells laid in each panel, from the left.
    wanted : list
        Line and column of all wanted cells of each panel, laid or not.
    cuts : (panels - 1, 3) array
        Where each seam starts on the top string [m].
    joint : int
        Columns in a cell.
    why : str
        The reason, with its figures.
    """
    seams = []
    for k, cut in enumerate(cuts):
        left, right = _rims(kept[k], wanted[k], -1), _rims(kept[k + 1], wanted[k + 1], 1)
        widest, end = 0.0, cut
        for line in sorted(left.keys() & right.keys()):
            apart = np.linalg.norm(left[line] - right[line], axis=1).max()
            if apart > widest:
                widest = float(apart)
            end = (left[line][1] + right[line][1]) / 2
        place = (float(cut[0]), float(cut[1]), float(end[0]), float(end[1]))
        seams.append(Seam((k + 1, k + 2), "column", place, why, widest))
    return seams


def _rims(
    kept: tuple[Array, Index, Index], wanted: tuple[Index, Index], side: int
) -> dict[int, Array]:
    """Give for each line the upper and lower end (2, 3) of the last cell towards a seam.

    Lines whose wanted cells stop short of the seam are left out: what lies between them and the
    seam is not a gap that the cut made. ``side`` is -1 for the panel to the left of the seam.
    """
    corners, line, column = kept
    wanted_line, wanted_column = wanted
    if not len(line):
        return {}
    towards = -side * wanted_column
    rim = towards.max()
    at_rim = np.unique(wanted_line[towards >= rim - 1])  # -1: rows of a half-offset bond
    order = np.lexsort((-side * column, line))
    last = order[np.append(np.diff(line[order]) != 0, True)]
    last = last[np.isin(line[last], at_rim)]
    ends = corners[last][:, [1, 2] if side < 0 else [0, 3]]
    return dict(zip(line[last].tolist(), ends, strict=True))


class Parted(NamedTuple):
    """The n cells after sharp hinges were left unclipped."""

    panel: Index  # (n,)
    head: Mask  # (n,) hangs from anchors of its own below a sharp bend
    clips: Index  # (m, 2)
    seams: tuple[Seam, ...]


def part_by_bend(
    corners: Array, normal: Array, line: Index, column: Index, panel: Index, cell: CellShape
) -> Parted:
    """Clip neighbours of one panel together, but not where they would hinge too far.

    A piece that hangs by no clip any more becomes a panel with anchors of its own.

    Parameters
    ----------
    corners, normal : (n, 4, 3) and (n, 3) arrays
        Corners [m] and unit normals of the base planes.
    line, column, panel : (n,) arrays
        Where each cell hangs.
    cell : CellShape
        The cell and its limits.
    """
    pairs = clip_pairs(line, column, cell.half_offset)
    pairs = pairs[panel[pairs[:, 0]] == panel[pairs[:, 1]]]
    bend = bend_between(normal, pairs)
    sharp = bend > cell.max_bend
    head = np.zeros(len(line), bool)
    if not sharp.any():
        return Parted(panel, head, pairs, ())
    clips = pairs[~sharp]
    panel = _renumbered(panel, line, pieces(len(line), pairs), pieces(len(line), clips))
    below = line[pairs[:, 1]] > line[pairs[:, 0]]
    hung = np.zeros(len(line), bool)
    hung[clips[line[clips[:, 1]] > line[clips[:, 0]], 1]] = True
    cut = pairs[sharp & below]
    cut = cut[panel[cut[:, 0]] != panel[cut[:, 1]]]
    head[cut[:, 1]] = True
    return Parted(
        panel,
        head & ~hung,
        clips,
        tuple(_bend_seams(corners, line, column, panel, pairs[sharp], bend[sharp], cell)),
    )


def _renumbered(panel: Index, line: Index, whole: Index, piece: Index) -> Index:
    """Give each piece that came off a number; the one with the highest cell keeps the old one.

    ``whole`` tells the pieces apart as they were before the cut, ``piece`` as they are now.
    """
    found = panel.copy()
    order = np.lexsort((piece, line))  # from the top
    _, first_of_whole = np.unique(whole[order], return_index=True)
    keeps = piece[order[first_of_whole]]
    names, first_of_piece = np.unique(piece[order], return_index=True)
    new = names[np.argsort(first_of_piece)]
    new = new[~np.isin(new, keeps)]
    for number, name in enumerate(new, int(panel.max()) + 1):
        found[piece == name] = number
    return found


def _bend_seams(
    corners: Array,
    line: Index,
    column: Index,
    panel: Index,
    pairs: Index,
    bend: Array,
    cell: CellShape,
) -> Iterable[Seam]:
    """Describe each unbroken run of edges that were left unclipped because of their bend."""
    a, b = pairs.T
    below = line[b] > line[a]
    # a run goes on from cell to cell along its line (below) or its column (beside)
    lane = np.where(below, line[a], column[a])
    place = np.where(below, np.minimum(column[a], column[b]), line[a])
    order = np.lexsort((place, lane, panel[b], panel[a], below))
    keys = np.stack((below, panel[a], panel[b], lane))[:, order]
    step = np.diff(place[order])
    new = np.any(np.diff(keys, axis=1) != 0, axis=0) | (step > (2 if cell.half_offset else 1))
    for run in np.split(order, np.flatnonzero(new) + 1):
        first, last, sharpest = run[0], run[-1], float(bend[run].max())
        if below[first]:
            along, start, end = "row", corners[a[first], 3], corners[a[last], 2]
        else:
            along, start, end = "column", corners[a[first], 1], corners[a[last], 2]
        yield Seam(
            (int(panel[a[first]]), int(panel[b[first]])),
            along,
            (float(start[0]), float(start[1]), float(end[0]), float(end[1])),
            f"cells would hinge by {math.degrees(sharpest):.1f} deg,"
            f" clips allow {math.degrees(cell.max_bend):.1f} deg",
            2 * cell.depth * math.tan(sharpest / 2),
        )
