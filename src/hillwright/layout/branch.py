"""Branch and bound over shifts of the lattice: the best count, and the proof that none beats it.

Squares of shifts that cannot beat the best so far are dropped, the others quartered. Those that
are still open when they are small are closed exactly: the best shift in a square is one where
edges of the anchor positions E, moved by whole cells, meet.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from hillwright.arrays import Array, Index
from hillwright.layout.erosion import Anchors
from hillwright.layout.squares import (
    Lattice,
    Squares,
    boxes,
    held_at_centre,
    quarters,
    sorted_out,
    start,
)

MOST_TESTS = 1_500_000  # cell squares tested before the search says how far it got
SMALL = 8  # halvings of the cell from which a few open squares are closed exactly
CLOSE_AT_ONCE = 32  # open squares that are a few
FINEST = 12  # halvings of the cell from which any number of open squares is closed exactly
GROWING = 1.5  # so many times more open squares after quartering: that leads nowhere, close them
MOST_PAIRS = 30_000  # unless that many pairs of doubtful cells would have to be cut with each other
MOST_CLOSED = 256  # open squares closed exactly
MOST_DOUBTFUL = 500  # doubtful cells in a square that is closed exactly
FEW_CORNERS = 200  # corners of the strings up to which cells may be meant to fit them exactly


class Found(NamedTuple):
    """What the search ends with."""

    offsets: Array  # (m, 2) shifts that were tried and are worth keeping, best first [m]
    whole: Index  # (m,) cells of each
    bound: int  # no shift holds more
    searched: int  # shifts counted and squares bounded


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
    open_ = start(E, lattice, centre, half)
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
        open_ = sorted_out(E, quarters(open_))
        tests += len(open_.corner)
        count = open_.sure + held_at_centre(E, open_)
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


def _close(E: Anchors, squares: Squares, enough: int) -> tuple[Array, Index, int]:
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
    frames = boxes(squares.centre, squares.half)
    members = np.argsort(squares.square, kind="stable")
    starts = np.searchsorted(squares.square[members], np.arange(len(bound) + 1))
    offsets, count = [np.empty((0, 2))], [np.empty(0, dtype=np.intp)]
    for n in range(min(len(bound), MOST_CLOSED)):
        if bound[n] <= enough or starts[n + 1] - starts[n] > MOST_DOUBTFUL:
            break
        corner = squares.corner[members[starts[n] : starts[n + 1]]]
        cuts = shapely.intersection(rim, boxes(corner + squares.centre[n], squares.half))
        xy, cell = shapely.get_coordinates(cuts, return_index=True)
        lines = shapely.set_coordinates(cuts, xy - corner[cell])
        tries = shapely.get_coordinates([frames[n], shapely.union_all(lines)])
        at = tries[:, None] + corner
        holds = shapely.contains_xy(E.closed, at[..., 0], at[..., 1])
        offsets.append(tries)
        count.append(squares.sure[n] + holds.sum(axis=1))
        enough = max(enough, int(count[-1].max()))
    left = int(bound[len(count) - 1 :].max(initial=0))
    return np.concatenate(offsets), np.concatenate(count), left
