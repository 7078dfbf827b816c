"""Cutting the top string into panels: the fewest whose own nets the clips can follow.

On curved ground the shear of a net grows with the distance from its spine times the distance
from its top row, so a narrower panel with a spine of its own shears less.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.layout.bond import cells_of
from hillwright.layout.lines import geodesics, square_to
from hillwright.layout.measure import cell_shear
from hillwright.layout.model import CellShape, Net
from hillwright.layout.net import lay_net
from hillwright.terrain.model import Ground

_CUTS = 6  # times that panels are cut anew when the net shows them to shear too far
ROUNDING = 1e-9  # of a shear; a plane must do for clips without play [rad]

Inside = Callable[[Array], Mask]  # corners in plan (n, 4, 2) [m] -> (n,) which cells are wanted


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One net with its own spine, hung from a stretch of the top string."""

    net: Net
    first: int  # column of the top string that the net's column 0 hangs on


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


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A panel and its wanted cells."""

    panel: Panel
    corners: Array
    line: Index
    column: Index
    shear: Array

    def only(self, which: Mask) -> Laid:
        """Keep some of the cells."""
        return Laid(
            self.panel,
            self.corners[which],
            self.line[which],
            self.column[which],
            self.shear[which],
        )


class Cutter:
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
        self._laid: dict[tuple[int, int], Laid] = {}
        self.worst = 0.0  # shear in one piece [rad]

    def lay(self, first: int, last: int) -> Laid:
        """Lay the panel between two columns of the top string, and find its wanted cells."""
        if (first, last) not in self._laid:
            net = panel_net(
                self._ground, self._top[first : last + 1], self._lines, self._cell, self._joint
            )
            corners, line, column = cells_of(net, self._cell.half_offset, self._start - first)
            which = np.asarray(self._inside(corners[..., :2]), bool)
            corners = corners[which]
            self._laid[first, last] = Laid(
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
        if self.worst <= self._cell.max_shear + ROUNDING:
            return [first, last]
        lean = self._lean(first, last)
        least, aim = narrowest * self._joint, self._cell.max_shear
        for _ in range(_CUTS):
            ends = self._ends(lean, first, last, least, aim)
            wide = [(a, b) for a, b in pairwise(ends) if b - a > least]
            worst = max((float(self.lay(*w).shear.max(initial=0.0)) for w in wide), default=0.0)
            if worst <= self._cell.max_shear + ROUNDING:
                break
            aim *= 0.97 * self._cell.max_shear / worst
        return ends

    def _lean(self, first: int, last: int) -> tuple[Array, Mask]:
        """Give the lean (lines, columns) of the net in one piece, and where cells are wanted.

        The lean against a column is the curvature of the ground between, so the same lean less
        that of another column foretells how a net leans whose spine runs down that one
        (Hazzidakis; first order).
        """
        net = self.lay(first, last).panel.net
        corners, line, column = cells_of(net, self._cell.half_offset, self._start - first)
        a, b, c, d = corners.transpose(1, 0, 2)
        across, down = b - a + c - d, d - a + c - b
        cosine = (across * down).sum(axis=1)
        cosine /= np.linalg.norm(across, axis=1) * np.linalg.norm(down, axis=1)
        lean = np.full((net.nodes.shape[0], net.nodes.shape[1] + self._joint), np.nan)
        for k in range(self._joint):
            lean[line, column + k] = np.arcsin(cosine)
        wanted = np.zeros(lean.shape, bool)
        part = self.lay(first, last)
        for k in range(self._joint):
            wanted[part.line + net.line0, part.column - first + k] = True
        return lean, wanted

    def _ends(
        self, leaning: tuple[Array, Mask], first: int, last: int, least: int, aim: float
    ) -> list[int]:
        """Cut into the fewest panels that lean no more than ``aim``, even ones where they do."""
        lean, wanted = leaning

        def leans(a: int, b: int) -> float:
            middle = min(self._to_joint((a + b) / 2), b - 1) - first
            part = slice(a - first, b - first)
            off = np.abs(lean[:, part] - lean[:, middle, None])[wanted[:, part]]
            return float(np.nanmax(off)) if np.isfinite(off).any() else 0.0

        ends = [first]
        while ends[-1] < last:
            short, far = min(self._to_joint(ends[-1] + least), last), last
            if leans(ends[-1], far) <= aim:
                short = far
            while far - short > self._joint:
                trial = min(max(self._to_joint((short + far) / 2), short + self._joint), far)
                if trial == far:
                    break
                short, far = (trial, far) if leans(ends[-1], trial) <= aim else (short, trial)
            ends.append(short)
        if len(ends) > 2 and ends[-1] - ends[-2] < least:
            ends[-2] = max(ends[-3] + self._joint, self._to_joint(last - least))
        # as many panels of one width look better and shear less, where they will do
        even = [
            first,
            *(self._to_joint(e) for e in np.linspace(first, last, len(ends))[1:-1]),
            last,
        ]
        if all(leans(a, b) <= aim for a, b in pairwise(even)):
            return even
        return ends

    def _to_joint(self, column: float) -> int:
        return self._start + self._joint * round((column - self._start) / self._joint)
