"""Squares of shifts, and the cells that are sure or in doubt in each of them.

A square of shifts moves each cell's corner over a square of the sheet. A cell whose square lies
wholly in the anchor positions E is sure, one whose square misses E is out, and only the others
need looking at when the square is quartered. Sure plus doubtful cells bound the square.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.layout.erosion import Anchors, Geometry
from hillwright.layout.lattice import counts
from hillwright.layout.rim import Rim

MANY = 20_000  # boxes from which the edges near each are known by arithmetic


class Lattice(NamedTuple):
    """Steps of the lattice and its bond."""

    width: float  # [m]
    run: float  # [m]
    half_offset: bool

    def whole(self, E: Anchors, offsets: Array) -> Index:
        """Whole cells for each shift."""
        return counts(E, self.width, self.run, self.half_offset, offsets)


@dataclass(frozen=True, slots=True, eq=False)
class Squares:
    """n squares of shifts and the cells that are in doubt in each."""

    centre: Array  # (n, 2) [m]
    half: Array  # (2,) half the sides; 0 along a direction that is fixed [m]
    sure: Index  # (n,) cells that every shift of the square holds
    square: Index  # (d,) which square each doubtful cell belongs to
    corner: Array  # (d, 2) where the cell's corner lies at shift (0, 0) [m]
    cell: Index  # (d,) number of the cell in ``rim``
    rim: Rim | None = None  # where there are many: the edges near each cell in all these squares

    @property
    def bound(self) -> Index:
        """No shift of the square holds more."""
        return self.sure + np.bincount(self.square, minlength=len(self.sure))

    @property
    def pairs(self) -> int:
        """Pairs of doubtful cells in the same square: the work that closing takes."""
        return int((np.bincount(self.square) ** 2).sum())

    def only(self, keep: Index) -> Squares:
        """Give these squares, in this order."""
        place = np.full(len(self.sure), -1)
        place[keep] = np.arange(len(keep))
        kept = place[self.square] >= 0
        return Squares(
            self.centre[keep],
            self.half,
            self.sure[keep],
            place[self.square[kept]],
            self.corner[kept],
            self.cell[kept],
            self.rim,
        )


def start(E: Anchors, lattice: Lattice, centre: Array, half: Array) -> Squares:
    """Every cell near the strings is in doubt in every box, until sorted out."""
    width, run, half_offset = lattice
    low_u, low_v, high_u, high_v = E.closed.bounds
    parts = []
    for n, (cu, cv) in enumerate(centre):
        i = np.arange(
            np.floor((low_v - cv - half[1]) / run), np.ceil((high_v - cv + half[1]) / run) + 1
        )
        j = np.arange(
            np.floor((low_u - cu - half[0]) / width) - 1,
            np.ceil((high_u - cu + half[0]) / width) + 1,
        )
        shift = (i % 2) * (width / 2 if half_offset else 0.0)
        u = shift[:, None] + j * width
        v = np.broadcast_to((i * run)[:, None], u.shape)
        corner = np.stack([u.ravel(), v.ravel()], axis=1)
        parts.append((np.full(len(corner), n), corner))
    corner = np.concatenate([p[1] for p in parts])
    squares = Squares(
        centre,
        half,
        np.zeros(len(centre), dtype=np.intp),
        np.concatenate([p[0] for p in parts]),
        corner,
        np.arange(len(corner)),
    )
    return _told(squares, *_exactly(E, corner + centre[squares.square], half))


def quarters(squares: Squares) -> Squares:
    """Quarter each square (halve it, where one direction is fixed)."""
    half = squares.half / 2
    signs = [
        (su, sv) for su in ((-1, 1) if half[0] else (0,)) for sv in ((-1, 1) if half[1] else (0,))
    ]
    n = len(squares.sure)
    return Squares(
        np.concatenate([squares.centre + half * np.array(s) for s in signs]),
        half,
        np.tile(squares.sure, len(signs)),
        np.concatenate([squares.square + k * n for k in range(len(signs))]),
        np.tile(squares.corner, (len(signs), 1)),
        np.tile(squares.cell, len(signs)),
        squares.rim,
    )


def sorted_out(E: Anchors, squares: Squares) -> Squares:
    """Move the doubtful cells that are sure or out of the list."""
    if squares.rim is None and len(squares.square) >= MANY:
        squares = _with_rim(E, squares)
    at = squares.corner + squares.centre[squares.square]
    if squares.rim is None:
        sure, doubtful = _exactly(E, at, squares.half)
    else:
        doubtful, unsure = squares.rim.meets(squares.cell, at, squares.half)
        # what the rim does not meet is in or out as a whole
        sure = ~doubtful
        sure[sure] = shapely.contains_xy(E.closed, at[sure, 0], at[sure, 1])
        if unsure.any():
            sure[unsure], doubtful[unsure] = _exactly(E, at[unsure], squares.half)
    return _told(squares, sure, doubtful)


def _told(squares: Squares, sure: Mask, doubtful: Mask) -> Squares:
    return replace(
        squares,
        sure=squares.sure + np.bincount(squares.square[sure], minlength=len(squares.sure)),
        square=squares.square[doubtful],
        corner=squares.corner[doubtful],
        cell=squares.cell[doubtful],
    )


def _exactly(E: Anchors, at: Array, half: Array) -> tuple[Mask, Mask]:
    """Tell which boxes lie wholly in the anchor positions, and which in part."""
    moved = boxes(at, half)
    meets = shapely.intersects(E.closed, moved)
    sure = meets.copy()
    sure[meets] = shapely.contains_properly(E.closed, moved[meets])
    return sure, meets & ~sure


def _with_rim(E: Anchors, squares: Squares) -> Squares:
    """Look up the edges near each cell, wherever these squares move it."""
    _, first, cell = np.unique(squares.cell, return_index=True, return_inverse=True)
    low, high = squares.centre.min(axis=0), squares.centre.max(axis=0)
    frames = squares.corner[first] + (low + high) / 2
    rim = Rim.of(E.closed, frames, (high - low) / 2 + squares.half)
    return replace(squares, cell=cell, rim=rim)


def boxes(centre: Array, half: Array) -> Geometry:
    """Boxes round centres; lines or points where a side is 0."""
    low, high = centre - half, centre + half
    if half.all():
        return shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    if half.any():
        return shapely.linestrings(np.stack([low, high], axis=1))
    return shapely.points(centre)


def held_at_centre(E: Anchors, squares: Squares) -> Index:
    """How many of the doubtful cells the middle of each square holds."""
    at = squares.corner + squares.centre[squares.square]
    holds = shapely.contains_xy(E.closed, at[:, 0], at[:, 1])
    return np.bincount(squares.square[holds], minlength=len(squares.sure))
