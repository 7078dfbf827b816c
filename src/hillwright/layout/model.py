"""What the layout room gives: every cell where it will lie, numbered, measured, hung.

"Left" and "right" are as seen looking uphill. Corners go upper left, upper right, lower right,
lower left.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.method import Working


@dataclass(frozen=True, slots=True)
class CellShape:
    """The cell as the layout needs it (lengths in metres, angles in radians)."""

    width: float
    run: float
    depth: float
    half_offset: bool
    clip_play: float
    clips_per_edge: int
    max_twist: float
    max_gap: float
    max_bend: float
    mass: float

    @property
    def max_shear(self) -> float:
        """Departure from square that the play of the clips takes up [rad]."""
        return self.clip_play / max(self.width, self.run)


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """A Chebyshev net on the ground: every edge keeps its length, only angles give.

    ``nodes[i, j]`` is line i (down the slope) and column j (from the left looking uphill).
    Line ``line0`` is the top string and column ``column0`` the spine, where the net started.
    """

    nodes: Array  # (lines, columns, 3), NaN where the net could not go on [m]
    line0: int
    column0: int
    across: float  # edge length along a row [m]
    down: float  # edge length down the slope [m]


@dataclass(frozen=True, slots=True)
class Seam:
    """Where the net is cut, and why."""

    panels: tuple[int, int]  # the panels on either side
    along: str  # "column" (side by side) or "row" (one below the other)
    at: tuple[float, float, float, float]  # from x, y to x, y [m]
    why: str
    widest: float  # gap at its widest [m]


@dataclass(frozen=True, slots=True, eq=False)
class LeftOut:
    """A whole cell that fits the strings and is not laid all the same."""

    corners: Array  # (4, 3) [m]
    why: str


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The n cells of a hillside, ordered by row and then by number in the row."""

    cell: CellShape
    corners: Array  # (n, 4, 3) where the four base corners lie [m]
    row: Index  # (n,) 1 is the top row
    number: Index  # (n,) from the left looking uphill, 1 is the first in its row
    panel: Index  # (n,) 1 is the first from the left
    anchored: (
        Mask  # (n,) hangs from anchors of its own: row 1, and the head row of a panel below a seam
    )
    trimmed: Mask  # (n,) must be cut to fit; never counted as whole
    shear: Array  # (n,) departure from square [rad]
    twist: Array  # (n,) fourth corner off the plane of the other three [m]
    gap: Array  # (n,) deepest void under the base, on the ground as surveyed [m]
    hump: Array  # (n,) highest ground above the base, to be trimmed [m]
    bend: Array  # (n,) sharpest hinge to a clipped neighbour [rad]
    run_slope: Array  # (n,) fall along the run, from horizontal [rad]
    cross_slope: Array  # (n,) fall along the row, from horizontal [rad]
    clips: Index  # (m, 2) pairs of cells that are clipped together
    seams: tuple[Seam, ...]
    left_out: tuple[LeftOut, ...]
    top_string: Array  # (k, 3) the line that row 1 hangs on, left to right looking uphill [m]
    top: str  # which string the top row follows, in words
    tilt: float  # of the rows against the contour at the middle [rad]
    count: int  # whole cells laid
    bound: int  # no placing of this grid, with rows in this direction, holds more
    area_bound: int  # no placing in any direction holds more
    searched: int  # placings tried
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
    all_rows: int = 0  # whole cells with all rows that fit, where fewer are asked for; else 0

    @property
    def fitted(self) -> int:
        """Whole cells that the strings hold with all rows: what the bounds are for."""
        return self.all_rows or self.count

    @property
    def rows(self) -> int:
        """How many rows."""
        return int(self.row.max(initial=0))


def _none() -> Array:
    return frozen(np.empty(0))


@dataclass(frozen=True, slots=True, eq=False)
class SetOut:
    """What two people with a tape need, row by row. r rows, s stakes."""

    benchmark_a: Array  # (3,) [m]
    benchmark_b: Array  # (3,) [m]
    base_line: Array  # (2, 3) start and end [m]
    row: Index  # (r,) row of each line of the schedule (a row cut by a seam or hole has several)
    cells: Index  # (r,) whole cells in it
    first: Index  # (r,) number of its first cell
    start: Array  # (r, 3) upper left corner of the first cell [m]
    end: Array  # (r, 3) upper right corner of the last cell [m]
    from_string: Array  # (r,) slope distance down from the top string to the row's start [m]
    station: Array  # (r, 2) of start and end along the base line [m]
    offset: Array  # (r, 2) of start and end, right of the base line is positive [m]
    tape_a: Array  # (r, 2) slope distance from A to start and end [m]
    tape_b: Array  # (r, 2) [m]
    along: Array  # (r,) taped along the row from start to end [m]
    angle: Array  # (r, 2) at which the two tapes meet [rad]
    sigma: Array  # (r, 2) standard error of a point set by the two tapes [m]
    closure: Array  # (r,) length start to end by the rounded tapes less the true length [m]
    tolerance: float  # that a stake is to be set within [m]
    stake_name: tuple[str, ...]  # (s,)
    stake: Array  # (s, 3) [m]
    stake_note: tuple[str, ...]  # (s,)
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
    # further checks; empty in a set-out that is made without them
    line_name: tuple[str, ...] = ()  # (r,) of each line, as "R07", or "R07b" where a row is cut
    straight: Array = field(default_factory=_none)  # (r,) taut from start to end [m]
    check: Array = field(default_factory=_none)  # (r, 2) taped from the left end of the string [m]
    drop: Array = field(default_factory=_none)  # (r,) row above over the row's start [m]
    reach: Array = field(default_factory=_none)  # (n,) from its line's start to each cell's right
    # edge along the row; NaN for a trimmed cell [m]
    square: Array = field(default_factory=_none)  # (4, 3) corners of the first block of cells [m]
    diagonals: Array = field(default_factory=_none)  # (2,) upper left to lower right, the other [m]
    square_note: str = ""  # which block that is, in words
    note: str = ""  # where pegs and base line came from
