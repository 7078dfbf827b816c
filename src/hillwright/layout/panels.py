"""Panels: the net is cut where the clips could not follow it.

Panels hang side by side from the same top string; below it they part (a wedge) or run into each
other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.layout.cutting import ROUNDING, Cutter, Inside, Laid, Panel
from hillwright.layout.measure import base_normal
from hillwright.layout.model import CellShape, LeftOut, Seam
from hillwright.layout.seams import part_by_bend, side_seams, without_overlap
from hillwright.terrain.model import Ground


@dataclass(frozen=True, slots=True, eq=False)
class Panels:
    """The n cells that hang in panels, ordered by panel, line and column."""

    panels: tuple[Panel, ...]  # from the left; pieces parted by a sharp bend share a net
    corners: Array  # (n, 4, 3) upper left, upper right, lower right, lower left [m]
    line: Index  # (n,) 0 hangs right on the top string, 1 is next below, -1 next above
    column: Index  # (n,) of the top string, of the cell's upper left crossing
    panel: Index  # (n,) 1 is the first from the left; pieces below a sharp bend come last
    head: Mask  # (n,) first row of a piece below a sharp bend: needs anchors of its own
    clips: Index  # (m, 2) pairs of cells clipped together
    seams: tuple[Seam, ...]
    left_out: tuple[LeftOut, ...]


def make_panels(
    ground: Ground,
    top: Array,
    columns: tuple[int, int],
    lines: tuple[int, int],
    cell: CellShape,
    inside: Inside,
    *,
    start: int = 0,
    narrowest: int = 3,
) -> Panels:
    """Hang the wanted cells from the top string in as few panels as the clips allow.

    Parameters
    ----------
    ground : Ground
        What the cells lie on.
    top : (c, 3) array
        Crossings of the top string, left to right looking uphill, a cell's width apart (half of
        it in half-offset bond) [m].
    columns : tuple of int
        First and last crossing of the top string that bound wanted cells.
    lines : tuple of int
        How many lines of cells may lie above the top string and below it.
    cell : CellShape
        The cell and its limits.
    inside : callable
        Tells from their corners in plan (n, 4, 2) which cells are wanted [m].
    start : int
        Half-offset bond: a column on which the rows that are not moved have a joint.
    narrowest : int
        No panel is made narrower than so many cells; what still shears too far in such a panel
        is left out.

    Returns
    -------
    Panels
        The cells that are wanted and can be clipped together, with the seams between them.
    """
    cutter = Cutter(ground, top, lines, cell, inside, start)
    ends = cutter.cut(*columns, narrowest)
    laid = [cutter.lay(a, b) for a, b in pairwise(ends)]
    kept: list[Laid] = []
    left_out: list[LeftOut] = []
    for part in laid:
        over = part.shear > cell.max_shear + ROUNDING
        why = (
            f"shear would be {{:.1f}} deg, clips allow {math.degrees(cell.max_shear):.1f} deg,"
            " even in a panel of its own"
        )
        left_out += [
            LeftOut(frozen(part.corners[k]), why.format(math.degrees(part.shear[k])))
            for k in np.flatnonzero(over)
        ]
        part = part.only(~over)
        free = without_overlap(part.corners, [p.corners for p in kept], cell)
        left_out += [
            LeftOut(frozen(part.corners[k]), "would lie on a cell of the panel beside it")
            for k in np.flatnonzero(~free)
        ]
        kept.append(part.only(free))
    seams = side_seams(
        [(p.corners, p.line, p.column) for p in kept],
        [(p.line, p.column) for p in laid],
        top[list(ends[1:-1])],
        2 if cell.half_offset else 1,
        f"in one piece the shear would reach {math.degrees(cutter.worst):.1f} deg,"
        f" clips allow {math.degrees(cell.max_shear):.1f} deg",
    )
    return _joined(kept, seams, left_out, cell)


def _joined(
    kept: list[Laid], seams: list[Seam], left_out: list[LeftOut], cell: CellShape
) -> Panels:
    """Put the panels together and part them where they would hinge too far."""
    corners = np.concatenate([p.corners for p in kept])
    line = np.concatenate([p.line for p in kept])
    column = np.concatenate([p.column for p in kept])
    panel = np.repeat(np.arange(1, len(kept) + 1), [len(p.line) for p in kept])
    parted = part_by_bend(corners, base_normal(corners), line, column, panel, cell)
    return Panels(
        tuple(p.panel for p in kept),
        frozen(corners),
        frozen(line),
        frozen(column),
        frozen(parted.panel),
        frozen(parted.head),
        frozen(parted.clips),
        (*seams, *parted.seams),
        tuple(left_out),
    )
