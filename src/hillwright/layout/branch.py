"""Branch and bound over shifts of the lattice: the best count, and the proof that none beats it.

A square of shifts moves each cell's corner over a square of the sheet. A cell whose square lies
wholly in the anchor positions E is sure, one whose square misses E is out, and only the others
need looking at when the square is quartered. Sure plus doubtful cells bound the square. Squares
that are still open when they are small are closed exactly: the best shift in a square is one
where edges of E, moved by whole cells, meet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import shapely

from hillwright.arrays import Array, Index
from hillwright.layout.erosion import Anchors, Geometry
from hillwright.layout.lattice import counts

MOST_TESTS = 1_500_000  # cell squares tested before the search says how far it got
FINEST = 12  # halvings of the cell from which any number of open squares is
SMALL = 8  # halvings of the cell from which a few open squares are closed exactly
CLOSE_AT_ONCE = 32  # open squares that are a few
GROWING = 1.5  # so many times more open squares after quartering: that leads nowhere, close them
MOST_PAIRS = 30_000  # unless that many pairs of doubtful cells would have to be cut with each other
FEW_CORNERS = 200  # corners of the strings up to which cells may be meant to fit them exactly
MOST_CLOSED = 256  # open squares closed exactly


class Lattice(NamedTuple):
    """Steps of the lattice and its bond."""

    width: float  # [m]
    run: float  # [m]
    half_offset: bool

    def whole(self, E: Anchors, offsets: Array) -> Index:
        """Whole cells for each shift."""
        return counts(E, self.width, self.run, self.half_offset, offsets)


class Found(NamedTuple):
    """What the search ends with."""

    offsets: Array  # (m, 2) shifts that were tried and are worth keeping, best first [m]
    whole: Index  # (m,) cells of each
    bound: int  # no shift holds more
    searched: int  # shifts counted and squares bounded


@dataclass(frozen=True, slots=True, eq=False)
class _Squares:
    """n squares of shifts and the cells that are in doubt in each."""

    centre: Array  # (n, 2) [m]
    half: Array  # (2,) half the sides; 0 along a direction that is fixed [m]
    sure: Index  # (n,) cells that every shift of the square holds
    square: Index  # (d,) which square each doubtful cell belongs to
    corner: Array  # (d, 2) where the cell's corner lies at shift (0, 0) [m]

    @property
    def bound(self) -> Index:
        """No shift of the square holds more."""
        return self.sure + np.bincount(self.square, minlength=len(self.sure))

    @property
    def pairs(self) -> int:
        """Pairs of doubtful cells in the same square: the work that closing takes."""
        return int((np.bincount(self.square) ** 2).sum())

    def only(self, keep: Index) -> _Squares:
        """Give these squares, in this order."""
        place = np.full(len(self.sure), -1)
        place[keep] = np.arange(len(keep))
        kept = place[self.square] >= 0
        return _Squares(
            self.centre[keep],
            self.half,
            self.sure[keep],
            place[self.square[kept]],
            self.corner[kept],
        )


def search(E: Anchors, lattice: Lattice, centre: Array, half: Array, gap: int) -> Found:
    """Find the shift within a box that holds most cells.

    Parameters
    ----------
    E : Anchors
        Where a cell's upper left corner may lie.
    lattice : Lattice
        What is shifted.
    centre : (n, 2) array
        Middles of the boxes of shifts to search [m].
    half : (2,) array
        Half their sides, 0 along a direction that is fixed [m].
    gap : int
        Cells between count and bound that are good enough to stop.
    """
    offsets = _first_tries(E, centre, half)
    count = lattice.whole(E, offsets)
    found = [(offsets, count)]
    best, ceiling, tests = int(count.max()), 0, 0
    open_ = _start(E, lattice, centre, half)
    level, searched, before = 0, len(offsets), 1
    while True:
        bound = open_.bound
        worth = np.flatnonzero(bound > best + gap)
        ceiling = max(ceiling, int(np.delete(bound, worth).max(initial=0)))
        open_ = open_.only(worth)
        if not worth.size:
            break
        small = level >= SMALL and worth.size <= CLOSE_AT_ONCE
        stuck = level >= SMALL / 2 and worth.size > GROWING * before and open_.pairs <= MOST_PAIRS
        before = int(worth.size)
        if small or stuck or level >= FINEST or tests > MOST_TESTS:
            offsets, count, top = _close(E, open_, best + gap)
            searched += len(offsets)
            found.append((offsets, count))
            ceiling = max(ceiling, top)
            break
        open_ = _sorted_out(E, _quarters(open_))
        tests += len(open_.corner)
        count = open_.sure + _doubtful_at_centre(E, open_)
        searched += len(count)
        top_ones = np.argsort(-count, kind="stable")[:64]
        found.append((open_.centre[top_ones], count[top_ones]))
        best = max(best, int(count.max()))
        level += 1
    offsets = np.concatenate([f[0] for f in found])
    count = np.concatenate([f[1] for f in found])
    order = np.argsort(-count, kind="stable")
    best = int(count[order[0]])
    return Found(offsets[order], count[order], max(best, ceiling), searched)


def _first_tries(E: Anchors, centre: Array, half: Array) -> Array:
    """No shift first, if it is within the boxes, then an even scatter, then corners of E."""
    share = (np.arange(16) + 0.5) / 8 - 1
    u, v = np.meshgrid(share if half[0] else [0.0], share if half[1] else [0.0])
    spread = np.stack([u.ravel(), v.ravel()], axis=1) * half
    tries = [(centre[:, None] + spread).reshape(-1, 2)]
    if (np.abs(centre) <= half).all(axis=1).any():
        tries.insert(0, np.zeros((1, 2)))
    # an outline drawn to the cell's measure is filled from a corner; a curved one is not
    if half.all() and sum(len(ring) for ring in E.rings) <= FEW_CORNERS:
        tries.append(shapely.get_coordinates(E.half_closed))
    return np.concatenate(tries)


def _start(E: Anchors, lattice: Lattice, centre: Array, half: Array) -> _Squares:
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
    squares = _Squares(
        centre,
        half,
        np.zeros(len(centre), dtype=np.intp),
        np.concatenate([p[0] for p in parts]),
        np.concatenate([p[1] for p in parts]),
    )
    return _sorted_out(E, squares)


def _quarters(squares: _Squares) -> _Squares:
    """Quarter each square (halve it, where one direction is fixed)."""
    half = squares.half / 2
    signs = [
        (su, sv) for su in ((-1, 1) if half[0] else (0,)) for sv in ((-1, 1) if half[1] else (0,))
    ]
    n = len(squares.sure)
    return _Squares(
        np.concatenate([squares.centre + half * np.array(s) for s in signs]),
        half,
        np.tile(squares.sure, len(signs)),
        np.concatenate([squares.square + k * n for k in range(len(signs))]),
        np.tile(squares.corner, (len(signs), 1)),
    )


def _sorted_out(E: Anchors, squares: _Squares) -> _Squares:
    """Move the doubtful cells that are sure or out of the list."""
    boxes = _boxes(squares.corner + squares.centre[squares.square], squares.half)
    meets = shapely.intersects(E.closed, boxes)
    sure = meets.copy()
    sure[meets] = shapely.contains_properly(E.closed, boxes[meets])
    doubtful = meets & ~sure
    return replace(
        squares,
        sure=squares.sure + np.bincount(squares.square[sure], minlength=len(squares.sure)),
        square=squares.square[doubtful],
        corner=squares.corner[doubtful],
    )


def _boxes(centre: Array, half: Array) -> Geometry:
    """Boxes round centres; lines or points where a side is 0."""
    low, high = centre - half, centre + half
    if half.all():
        return shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    if half.any():
        return shapely.linestrings(np.stack([low, high], axis=1))
    return shapely.points(centre)


def _doubtful_at_centre(E: Anchors, squares: _Squares) -> Index:
    """How many of the doubtful cells the middle of each square holds."""
    at = squares.corner + squares.centre[squares.square]
    holds = shapely.contains_xy(E.closed, at[:, 0], at[:, 1])
    return np.bincount(squares.square[holds], minlength=len(squares.sure))


def _close(E: Anchors, squares: _Squares, enough: int) -> tuple[Array, Index, int]:
    """Give the corner shifts of each square, their counts, and what the best leaves open.

    The cells that a shift holds are those whose moved E it lies in. The shifts of a square that
    lie in all of some of them form a closed area; one of its corners is a corner of E moved, or a
    place where two moved edges meet, or where one leaves the square, or a corner of the square.
    """
    bound = squares.bound
    order = np.argsort(-bound, kind="stable")
    bound, squares = bound[order], squares.only(order)
    rim = shapely.boundary(E.half_closed)
    shapely.prepare(rim)
    frames = _boxes(squares.centre, squares.half)
    members = np.argsort(squares.square, kind="stable")
    starts = np.searchsorted(squares.square[members], np.arange(len(bound) + 1))
    offsets, count = [np.empty((0, 2))], [np.empty(0, dtype=np.intp)]
    for n in range(min(len(bound), MOST_CLOSED)):
        if bound[n] <= enough:
            break
        corner = squares.corner[members[starts[n] : starts[n + 1]]]
        cuts = shapely.intersection(rim, _boxes(corner + squares.centre[n], squares.half))
        xy, cell = (
            shapely.get_coordinates(cuts),
            np.repeat(np.arange(len(corner)), shapely.get_num_coordinates(cuts)),
        )
        lines = shapely.set_coordinates(cuts, xy - corner[cell])
        tries = shapely.get_coordinates([frames[n], shapely.union_all(lines)])
        at = tries[:, None] + corner
        holds = shapely.contains_xy(E.closed, at[..., 0], at[..., 1])
        offsets.append(tries)
        count.append(squares.sure[n] + holds.sum(axis=1))
        enough = max(enough, int(count[-1].max()))
    left = int(bound[len(count) - 1 :].max(initial=0))
    return np.concatenate(offsets), np.concatenate(count), left
