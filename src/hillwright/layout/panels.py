"""Panels: the net is cut where the clips could not follow it.

On curved ground the shear of a net grows with the distance from its spine times the distance
from its top row, so a narrower panel with a spine of its own shears less. Panels hang side by
side from the same top string; below it they part (a wedge) or run into each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.layout.bond import cells_of
from hillwright.layout.lines import geodesics, square_to
from hillwright.layout.measure import base_normal, cell_shear
from hillwright.layout.model import CellShape, LeftOut, Net, Seam
from hillwright.layout.net import lay_net
from hillwright.layout.seams import part_by_bend, side_seams, without_overlap
from hillwright.terrain.model import Ground

_ROUNDING = 1e-9  # of a shear; a plane must do for clips without play [rad]

Inside = Callable[[Array], Mask]  # corners in plan (n, 4, 2) [m] -> (n,) which cells are wanted


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One net with its own spine, hung from a stretch of the top string."""

    net: Net
    first: int  # column of the top string that the net's column 0 hangs on


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


def panel_net(
    ground: Ground, top: Array, lines: tuple[int, int], cell: CellShape, joint: int = 1
) -> Net:
    """Lay one net with a straight spine from the middle of its top row, square on the ground.

    Parameters
    ----------
    ground : Ground
        What the cells lie on.
    top : (columns, 3) array
        Crossings of the top row, left to right looking uphill; NaN where there are none [m].
    lines : tuple of int
        How many lines to lay above and below the top row.
    cell : CellShape
        The cell; in half-offset bond the crossings are half a width apart.
    joint : int
        The spine starts a multiple of so many columns from the first.

    Returns
    -------
    Net
        All NaN but the top row when no spine can start there.
    """
    up, down = lines
    across = cell.width / 2 if cell.half_offset else cell.width
    there = np.flatnonzero(np.isfinite(top[:, 0]))
    best: tuple[int, int, Array, Array] | None = None
    # the middle, and only if the ground ends under its spine the quarters and the ends
    for share in (0.5, 0.25, 0.75, 0.0, 1.0):
        if len(there) < 2:
            break
        middle = int(there[round(share * (len(there) - 1))]) // joint * joint
        before, after = max(middle - 1, there[0]), min(middle + 1, there[-1])
        heading = square_to(ground, top[middle], (top[after] - top[before])[:2])
        both = geodesics(
            ground, top[[middle, middle]], np.stack((heading, -heading)), cell.run, max(down, up)
        )
        spine_down, spine_up = both[0, : down + 1], both[1, : up + 1]
        reached = int(np.isfinite(spine_down[:, 0]).sum() + np.isfinite(spine_up[:, 0]).sum())
        if best is None or reached > best[0]:
            best = reached, middle, spine_down, spine_up
        if reached == up + down + 2:
            break
    if best is None:
        nodes = np.full((up + down + 1, len(top), 3), np.nan)
        nodes[up] = top
        return Net(frozen(nodes), up, 0, across, cell.run)
    _, middle, spine_down, spine_up = best
    return lay_net(ground, top, middle, spine_down, spine_up, across, cell.run)


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
    cutter = _Cutter(ground, top, lines, cell, inside, start)
    ends = cutter.cut(*columns, narrowest)
    laid = [cutter.lay(a, b) for a, b in pairwise(ends)]
    kept: list[_Laid] = []
    left_out: list[LeftOut] = []
    for part in laid:
        over = part.shear > cell.max_shear + _ROUNDING
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
    kept: list[_Laid], seams: list[Seam], left_out: list[LeftOut], cell: CellShape
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


@dataclass(frozen=True, slots=True, eq=False)
class _Laid:
    """A panel and its wanted cells."""

    panel: Panel
    corners: Array
    line: Index
    column: Index
    shear: Array

    def only(self, which: Mask) -> _Laid:
        """Keep some of the cells."""
        return _Laid(
            self.panel,
            self.corners[which],
            self.line[which],
            self.column[which],
            self.shear[which],
        )


class _Cutter:
    """Lays panels on trial and finds the fewest that keep within the play of the clips."""

    def __init__(
        self,
        ground: Ground,
        top: Array,
        lines: tuple[int, int],
        cell: CellShape,
        inside: Inside,
        start: int,
    ) -> None:
        self._ground, self._top, self._lines = ground, top, lines
        self._cell, self._inside, self._start = cell, inside, start
        self._joint = 2 if cell.half_offset else 1
        self._laid: dict[tuple[int, int], _Laid] = {}
        self.worst = 0.0  # shear in one piece [rad]

    def lay(self, first: int, last: int) -> _Laid:
        """Lay the panel between two columns of the top string, and find its wanted cells."""
        if (first, last) not in self._laid:
            net = panel_net(
                self._ground, self._top[first : last + 1], self._lines, self._cell, self._joint
            )
            corners, line, column = cells_of(net, self._cell.half_offset, self._start - first)
            which = np.asarray(self._inside(corners[..., :2]), bool)
            corners = corners[which]
            self._laid[first, last] = _Laid(
                Panel(net, first),
                corners,
                line[which] - net.line0,
                column[which] + first,
                cell_shear(corners),
            )
        return self._laid[first, last]

    def cut(self, first: int, last: int, narrowest: int) -> list[int]:
        """Give the columns where panels begin, and the end of the last."""
        self.worst = float(self.lay(first, last).shear.max(initial=0.0))
        least = narrowest * self._joint
        ends = [first]
        while ends[-1] < last:
            ends.append(self._longest(ends[-1], last, least))
        if len(ends) > 2 and ends[-1] - ends[-2] < least:
            ends[-2] = max(ends[-3] + self._joint, self._to_joint(last - least))
        # as many panels of one width look better and shear less, where they will do
        even = [self._to_joint(e) for e in np.linspace(first, last, len(ends))]
        even[0], even[-1] = first, last
        if len(ends) > 2 and all(self._fits(a, b) for a, b in pairwise(even)):
            return even
        return ends

    def _fits(self, first: int, last: int) -> bool:
        return bool((self.lay(first, last).shear <= self._cell.max_shear + _ROUNDING).all())

    def _to_joint(self, column: float) -> int:
        return self._start + self._joint * round((column - self._start) / self._joint)

    def _longest(self, first: int, last: int, least: int) -> int:
        """Find the farthest column that a panel from ``first`` may reach."""
        if self._fits(first, last):
            return last
        short, far = self._to_joint(first + least), last
        tried, tries = far, 0
        while far - short > self._joint:
            # shear grows about as the width, which tells where to try; halving makes sure of it
            shear = float(self.lay(first, tried).shear.max(initial=0.0))
            trial = (short + far) / 2
            if tries < 3 and shear > 0:
                trial = first + (tried - first) * self._cell.max_shear / shear
            tried = self._to_joint(trial)
            tried = min(max(tried, short + self._joint), far - self._joint)
            if tried in (short, far):
                break
            tries += 1
            if self._fits(first, tried):
                short = tried
            else:
                far = tried
        return min(short, last)
