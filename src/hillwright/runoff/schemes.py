"""How a node shares its water among its neighbours: one, the two that span the fall, or all lower.

All three follow filled ground. Where nothing round a node is lower (a filled depression, a flat),
all of its water goes the one way that leads out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.runoff.filling import Drained
from hillwright.runoff.flowgrid import Cells, FlowGrid

SCHEMES = ("d8", "d-infinity", "multiple")
_EIGHTH = np.pi / 4


class Shares(NamedTuple):
    """To which of k neighbours each node runs, and with what share of its water."""

    step: Cells  # (k,) or (nodes, k) way to the neighbour in the flat array
    share: Array  # (nodes, k) sums to 1, or to 0 where water leaves [-]


def multiple_flow(grid: FlowGrid, drained: Drained, exponent: float) -> Shares:
    """Share water among all lower neighbours by their slope to a power (Freeman 1991)."""
    rows, columns = grid.z.shape
    share = np.zeros((rows, columns, 8))
    for a, b in grid.bands():
        here = drained.filled[a:b, 1:-1]
        weight = np.empty((8, *here.shape), np.float32)  # only their ratios count
        with np.errstate(invalid="ignore"):
            for k, there in enumerate(grid.around(drained.filled, a, b)):
                np.multiply(here - there, np.sqrt(0.5) if k % 2 else 1.0, out=weight[k])
        weight[:, ~grid.inside[a:b, 1:-1]] = 0
        np.fmax(weight, 0, out=weight)
        if exponent != 1:
            # scaled first: a power of a very small fall would vanish
            weight /= np.maximum(weight.max(axis=0), np.float32(1e-37))
            np.power(weight, np.float32(exponent), out=weight)
        total = weight.sum(axis=0, dtype=float)
        share[a:b, 1:-1] = np.moveaxis(weight / np.where(total > 0, total, 1.0), 0, -1)
    flat = share.reshape(-1, 8)
    _where_flat(grid, drained, flat.sum(axis=1) > 0, flat)
    return Shares(np.array(grid.offsets, np.int32), flat)


def d_infinity(grid: FlowGrid, drained: Drained) -> Shares:
    """Share water between the two neighbours on either side of the steepest fall (Tarboton 1997).

    The steepest fall is that of the steepest of the eight triangles with the neighbours.
    """
    z = drained.filled
    turn, facet = np.zeros(z.shape), np.full(z.shape, -1, np.int8)
    for a, b in grid.bands():
        here, round_ = z[a:b, 1:-1], grid.around(z, a, b)
        code = facet[a:b, 1:-1]
        top, ahead, aside = (np.zeros(here.shape) for _ in range(3))
        with np.errstate(invalid="ignore"):
            for k in range(8):
                # straight along a row or column, then square to that to the corner
                straight, corner = round_[(k + k % 2) & 7], round_[(k + 1 - k % 2) & 7]
                one, two = here - straight, straight - corner
                across = (here - corner) * np.sqrt(0.5)
                within = np.sqrt(one * one + two * two)
                # beside the outside (infinitely high) the last case holds, or none
                fall = np.where(two <= 0, one, np.where(two < one, within, across))
                better = fall > top
                np.copyto(top, fall, where=better)
                np.copyto(code, np.int8(k), where=better)
                np.copyto(ahead, one, where=better)
                np.copyto(aside, two, where=better)
            turn[a:b, 1:-1] = np.clip(np.arctan2(aside, ahead), 0.0, _EIGHTH)
    facet[~grid.inside] = -1
    found = facet.reshape(-1)
    which = np.maximum(found, 0).astype(np.intp)
    first, second = (which + which % 2) & 7, (which + 1 - which % 2) & 7
    offsets = np.array(grid.offsets, np.int32)
    step = np.stack((offsets[first], offsets[second]), axis=1)
    to_corner = turn.reshape(-1) / _EIGHTH
    share = np.stack((1 - to_corner, to_corner), axis=1)
    share[found < 0] = 0
    flat = (found < 0) & grid.inside.reshape(-1)
    onward = drained.receiver - np.arange(len(found), dtype=np.int32)
    step[flat, 0] = onward[flat]
    share[flat, 0] = onward[flat] != 0
    return Shares(step, share)


def _where_flat(grid: FlowGrid, drained: Drained, falls: Mask, share: Array) -> None:
    """Send the water of nodes with nothing lower round them the one way that leads out."""
    flat = np.flatnonzero(~falls & grid.inside.reshape(-1))
    onward = drained.receiver[flat] - flat
    for way, offset in enumerate(grid.offsets):
        share[flat[onward == offset], way] = 1
