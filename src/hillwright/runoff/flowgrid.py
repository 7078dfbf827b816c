"""Heights on a grid, laid out for flow: one flat array with a border of outside all round."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange

Cells = NDArray[np.int32]
# east, then counter-clockwise, in columns and rows; rows may go north or south
STEPS = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1))
_BAND = 1 << 16  # nodes worked on at once, so that they stay in cache


@dataclass(frozen=True, slots=True, eq=False)
class FlowGrid:
    """Heights (ny, nx) inside a border; outside stands as infinitely high, so nothing runs there.

    Water leaves the ground at nodes beside the outside (the border, or where no height is known).
    """

    z: Array  # (ny + 2, nx + 2) infinite outside [m]
    edge: Mask  # (ny + 2, nx + 2) nodes beside the outside
    inside: Mask  # (ny + 2, nx + 2)

    @classmethod
    def of(cls, heights: ArrayLike) -> FlowGrid:
        """Lay out heights (ny, nx) [m]; not a number is outside."""
        z = np.asarray(heights, float)
        if z.ndim != 2 or min(z.shape) < 1:
            raise OutOfRange("heights", f"of shape {z.shape}", "give a grid of heights")
        if np.isinf(z).any():
            raise OutOfRange("heights", "an infinite height", "leave unknown heights empty (NaN)")
        padded = np.full((z.shape[0] + 2, z.shape[1] + 2), np.inf)
        padded[1:-1, 1:-1] = z
        inside = np.zeros(padded.shape, bool)
        inside[1:-1, 1:-1] = True
        edge = np.zeros(padded.shape, bool)
        edge[1, 1:-1] = edge[-2, 1:-1] = edge[1:-1, 1] = edge[1:-1, -2] = True
        if (gap := np.isnan(padded)).any():
            padded[gap], inside[gap] = np.inf, False
            beside = np.zeros(padded.shape, bool)
            for dx, dy in STEPS:
                beside |= np.roll(gap, (dy, dx), axis=(0, 1))
            edge |= beside
        return cls(padded, edge & inside, inside)

    @property
    def offsets(self) -> tuple[int, ...]:
        """Steps in the flat array to the eight neighbours, in the order of ``STEPS``."""
        return tuple(dy * self.z.shape[1] + dx for dx, dy in STEPS)

    def bands(self) -> list[tuple[int, int]]:
        """Give rows (first, last) of the inner part in bands that stay in cache."""
        rows, columns = self.z.shape
        high = max(1, _BAND // columns)
        return [(a, min(a + high, rows - 1)) for a in range(1, rows - 1, high)]

    def around(self, z: Array, first: int, last: int) -> list[Array]:
        """Give views of the eight neighbours of rows first to last, in the order of ``STEPS``."""
        columns = z.shape[1]
        return [z[first + dy : last + dy, 1 + dx : columns - 1 + dx] for dx, dy in STEPS]


def steepest(grid: FlowGrid) -> tuple[Cells, NDArray[np.int8]]:
    """Give the node (flat) that each node runs to by steepest descent, itself where none is lower.

    Returns
    -------
    receiver : (nodes,) array of int32
        Flat index; the first of equally steep ways.
    way : (nodes,) array of int8
        Place of that in ``STEPS``; 8 where no neighbour is lower, and outside.
    """
    shape = grid.z.shape
    way = np.full(shape, 8, np.int8)
    for a, b in grid.bands():
        here = grid.z[a:b, 1:-1]
        best, code = np.zeros(here.shape), way[a:b, 1:-1]
        fall, better = np.empty(here.shape), np.empty(here.shape, bool)
        change = better.view(np.int8)
        with np.errstate(invalid="ignore"):  # outside from outside
            for k, there in enumerate(grid.around(grid.z, a, b)):
                np.subtract(here, there, out=fall)
                if k % 2:
                    fall *= np.sqrt(0.5)
                np.greater(fall, best, out=better)
                np.fmax(best, fall, out=best)
                # code = k where better, without a branch at each node
                np.multiply(change, k - code, out=change)
                code += change
    way[~grid.inside] = 8
    step = np.array([*grid.offsets, 0], np.int32)
    flat = way.reshape(-1)
    receiver = step.take(flat)
    receiver += np.arange(flat.size, dtype=np.int32)
    return receiver, flat
