"""Choose how far to shift the lattice so that most whole cells lie inside the strings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.layout.bound import area_bound
from hillwright.layout.branch import search
from hillwright.layout.erosion import Anchors
from hillwright.layout.squares import Lattice

LARGE = 5000
"""Cells from which a gap of 2 cells to the bound is good enough to stop."""

CANDIDATES = 48
"""Best placings that a score chooses among."""

Score = Callable[[float, float], float]
"""What a shift (du, dv) is worth, in cells: never more than the whole cells it holds."""


@dataclass(frozen=True, slots=True)
class Placing:
    """Where the lattice lies, how many cells that holds, and how many any shift could hold."""

    du: float  # shift to the right, 0 to under one width [m]
    dv: float  # shift downhill, 0 to under one run [m]
    count: int  # whole cells
    bound: int  # no shift holds more
    searched: int  # shifts counted and squares of shifts bounded
    worth: float  # what the score gave it; the count, without a score

    @property
    def gap(self) -> int:
        """Cells that a better shift could still add at the most."""
        return self.bound - self.count

    @property
    def proven(self) -> bool:
        """No shift holds more whole cells."""
        return self.gap == 0


def best_placing(
    E: Anchors,
    width: float,
    run: float,
    half_offset: bool,
    fixed_u: float | None = None,
    fixed_v: float | None = None,
    score: Score | None = None,
) -> Placing:
    """Find the shift of the lattice that holds most whole cells, and prove it.

    Parameters
    ----------
    E : Anchors
        Where a cell's upper left corner may lie.
    width, run : float
        Step of the lattice along a row and down the slope [m].
    half_offset : bool
        Odd rows stand half a cell to the right.
    fixed_u, fixed_v : float, optional
        The left edge of some cell, the upper edge of some row, is here [m]; with both, the upper
        left corner of one cell.
    score : callable, optional
        What a shift is worth, when that is less than its count (cells that hang, say). Asked for
        the `CANDIDATES` shifts with the highest counts; the bound stays that of the count.

    Returns
    -------
    Placing
        The first of the best in a fixed order, no shift before any other. From `LARGE` cells on
        the search stops at a gap of 2 cells.
    """
    lattice = Lattice(width, run, half_offset)
    if E.empty:
        return Placing(_residue(fixed_u, width), _residue(fixed_v, run), 0, 0, 1, 0.0)
    centre, half = _boxes_of_shifts(lattice, fixed_u, fixed_v)
    most = int(area_bound(E.ground.area, E.width * E.run))
    found = search(E, lattice, centre, half, 2 if most >= LARGE else 0)
    offsets, count = _rounded(E, lattice, _folded(lattice, found.offsets), found.whole, half)
    pick, worth = 0, float(count[0])
    if score is not None:
        offsets, count = _best_different(offsets, count)
        worth = -np.inf
        for k, (u, v) in enumerate(offsets):
            if worth >= count[k]:
                break  # counts fall, and no shift is worth more than its count
            each = score(float(u), float(v))
            if each > worth:
                pick, worth = k, each
    bound = max(min(found.bound, most), int(count[0]))
    du, dv = (float(x) for x in offsets[pick])
    return Placing(du, dv, int(count[pick]), bound, found.searched, worth)


def _residue(fixed: float | None, step: float) -> float:
    return 0.0 if fixed is None else float(fixed % step)


def _boxes_of_shifts(
    lattice: Lattice, fixed_u: float | None, fixed_v: float | None
) -> tuple[Array, Array]:
    """Give the middles and half sides of the boxes that hold every different shift once."""
    width, run, half_offset = lattice
    half = np.array(
        [0.0 if fixed_u is not None else width / 2, 0.0 if fixed_v is not None else run / 2]
    )
    v = run / 2 if fixed_v is None else fixed_v % run
    if fixed_u is None:
        return np.array([[width / 2, v]]), half
    if not half_offset:
        return np.array([[fixed_u % width, v]]), half
    if fixed_v is not None:  # one corner is given: its row is odd or even
        odd = np.floor(fixed_v / run) % 2
        return np.array([[(fixed_u - odd * width / 2) % width, v]]), half
    return np.array([[fixed_u % width, v], [(fixed_u - width / 2) % width, v]]), half


def _folded(lattice: Lattice, offsets: Array) -> Array:
    """Bring shifts to less than one cell (a lattice moved by one row stays itself)."""
    width, run, half_offset = lattice
    rows = np.floor(offsets[:, 1] / run)
    u = offsets[:, 0] + ((rows % 2) * (width / 2) if half_offset else 0.0)
    return np.stack([u % width, offsets[:, 1] - rows * run], axis=1)


def _rounded(
    E: Anchors, lattice: Lattice, offsets: Array, count: Index, half: Array
) -> tuple[Array, Index]:
    """Round the best shifts to where a cell really touches, if that costs no cell."""
    offsets, count = offsets[: 4 * CANDIDATES].copy(), count[: 4 * CANDIDATES]
    near = np.where(half > 0, offsets.round(8), offsets)
    as_good = lattice.whole(E, near) >= count
    offsets[as_good] = near[as_good]
    return offsets, count


def _best_different(offsets: Array, count: Index) -> tuple[Array, Index]:
    """Keep the best shifts, each once."""
    _, first = np.unique(offsets.round(6), axis=0, return_index=True)
    keep = np.sort(first)[:CANDIDATES]  # the order is that of falling counts
    return offsets[keep], count[keep]
