"""Which cells hang: every cell is clipped to cells that reach an anchored row above it.

The hill pulls a cell down, so its clips lead the pull up or along the row, never down: a cell is
held only through cells beside it and above it. Cells stand in a grid of r rows, from the top, and
c columns, from the left looking uphill; in half-offset bond every second row stands half a cell
to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.errors import OutOfRange

HANGS, NOTHING_ABOVE, TOO_NARROW, ABOVE_TOP, NO_CELL = range(5)


class Clips(NamedTuple):
    """Which clips can be set, where both cells are there."""

    side: Mask  # (r, c - 1) between cell j and cell j + 1 of a row
    above: Mask  # (r, c, k) to the row above: k = 1, or upper left and upper right in half-offset


@dataclass(frozen=True, slots=True, eq=False)
class Hung:
    """What hangs, from which row, and why the rest does not."""

    mask: Mask  # (r, c) the cell hangs
    anchored: Mask  # (r, c) it hangs from an anchor of its own
    top: int  # grid row of row 1; -1 when nothing hangs
    why: Index  # (r, c) HANGS, NOTHING_ABOVE, TOO_NARROW, ABOVE_TOP or NO_CELL

    @property
    def count(self) -> int:
        """How many cells hang."""
        return int(self.mask.sum())


def reason(why: int, narrowest: int) -> str:
    """Say in words why a cell does not hang."""
    return {
        NOTHING_ABOVE: "nothing above to hang from",
        TOO_NARROW: f"row narrower than {narrowest} cells",
        ABOVE_TOP: "above row 1: more cells hang when the anchors stand lower",
    }[why]


def hang(
    inside: Mask,
    half_offset: bool,
    first_shifted: bool = False,
    narrowest: int = 1,
    clips: Clips | None = None,
    heads: Mask | None = None,
    top: int | None = None,
) -> Hung:
    """Keep the cells that hang together from an anchored row.

    A row in which fewer than `narrowest` hanging cells stand side by side is left out, and what
    hung from it with it. Row 1 is the grid row from which most cells hang.

    Parameters
    ----------
    inside : (r, c) bool array
        The whole cell lies inside the strings.
    half_offset : bool
        Which bond.
    first_shifted : bool
        Half-offset: it is the first grid row that stands half a cell to the right.
    narrowest : int
        Least number of cells clipped side by side in a row, >= 1.
    clips : Clips, optional
        Clips that can be set; all of them when not given. A seam takes some away.
    heads : (r, c) bool array, optional
        Cells that get anchors of their own below row 1 (the head of a panel below a seam).
    top : int, optional
        Grid row to take as row 1, instead of the best.

    Returns
    -------
    Hung
        Of equally good rows, the uppermost is row 1.

    Raises
    ------
    OutOfRange
        `narrowest` below 1, or masks of another shape.
    """
    inside = np.asarray(inside, dtype=bool)
    rows, columns = inside.shape
    if narrowest < 1:
        raise OutOfRange("narrowest row", f"{narrowest} cells", "give 1 or more")
    clips = all_clips(inside.shape, half_offset) if clips is None else clips
    heads = np.zeros(inside.shape, dtype=bool) if heads is None else heads
    ways = 2 if half_offset else 1
    shapes = (clips.side.shape, clips.above.shape, heads.shape)
    wanted = ((rows, max(columns - 1, 0)), (rows, columns, ways), inside.shape)
    if shapes != wanted:
        raise OutOfRange("clips and heads", f"have shapes {shapes}", f"give shapes {wanted}")
    if not inside.any():
        none = np.zeros(inside.shape, dtype=bool)
        return Hung(none, none, -1, np.full(inside.shape, NO_CELL))
    tops = np.flatnonzero(inside.any(axis=1)) if top is None else np.array([top])
    hung, narrow = _from_each(tops, inside, half_offset, first_shifted, narrowest, clips, heads)
    best = int(np.argmax(hung.sum(axis=(1, 2))))
    mask, first = hung[best], int(tops[best])
    row = np.arange(rows)[:, None]
    why = np.select(
        [~inside, mask, narrow[best], row < first],
        [NO_CELL, HANGS, TOO_NARROW, ABOVE_TOP],
        NOTHING_ABOVE,
    )
    return Hung(mask, mask & (heads | (row == first)), first if mask.any() else -1, why)


def all_clips(shape: tuple[int, ...], half_offset: bool) -> Clips:
    """Every clip of a grid without seams."""
    rows, columns = shape
    return Clips(
        np.ones((rows, max(columns - 1, 0)), dtype=bool),
        np.ones((rows, columns, 2 if half_offset else 1), dtype=bool),
    )


def _from_each(
    tops: Index,
    inside: Mask,
    half_offset: bool,
    first_shifted: bool,
    narrowest: int,
    clips: Clips,
    heads: Mask,
) -> tuple[Mask, Mask]:
    """Say what hangs, and what is too narrow to, for each choice of row 1; all at once."""
    rows, columns = inside.shape
    hung = np.zeros((len(tops), rows, columns), dtype=bool)
    narrow = np.zeros_like(hung)
    for i in range(rows):
        there = inside[i]
        held = (tops[:, None] == i) | (heads[i] & (tops[:, None] <= i))
        if i:
            for k, step in enumerate(_steps(i, half_offset, first_shifted)):
                held |= _moved(hung[:, i - 1], step) & clips.above[i, :, k]
        held = held & there
        # pieces of the row: a piece hangs as soon as one of its cells is held
        joined = there[1:] & there[:-1] & clips.side[i]
        starts = np.flatnonzero(np.concatenate([[True], ~joined]))
        length = np.diff(np.append(starts, columns))
        holds = np.logical_or.reduceat(held, starts, axis=1)
        row = np.repeat(holds, length, axis=1) & there
        wide = (holds * length).max(axis=1) >= narrowest
        hung[:, i] = row & wide[:, None]
        narrow[:, i] = row & ~wide[:, None]
    return hung, narrow


def _steps(i: int, half_offset: bool, first_shifted: bool) -> tuple[int, ...]:
    """Say how many columns to the right each upper neighbour of a cell in row i stands."""
    if not half_offset:
        return (0,)
    return (0, 1) if (i % 2 == 0) == first_shifted else (-1, 0)


def _moved(values: Mask, step: int) -> Mask:
    """Give at each place of the last axis the value `step` places to its right."""
    if step == 0:
        return values
    out = np.zeros_like(values)
    if step > 0:
        out[..., :-step] = values[..., step:]
    else:
        out[..., -step:] = values[..., :step]
    return out
