"""The ground that sheds water onto a line, such as the top string that row 1 hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.given import above_zero, number
from hillwright.method import method
from hillwright.runoff.flowgrid import FlowGrid
from hillwright.runoff.routing import Routing, route


@dataclass(frozen=True, slots=True, eq=False)
class Catchment:
    """What drains over a line, from its left to its right side. p pieces of the line."""

    area: float  # plan area that drains over the line [m2]
    along: Array  # (p,) what drains over each piece, left to right; sums to the area [m2]
    at: Array  # (p + 1,) where the pieces end, along the line from its left end [m]
    beyond: float  # share of it that falls on nodes at the border of the grid [-]

    @property
    def whole(self) -> bool:
        """False where the catchment reaches the border: ground beyond it may drain here too."""
        return self.beyond == 0.0


def area_above(
    heights: ArrayLike,
    step: float,
    x0: float,
    y0: float,
    line: Array,
    pieces: int = 24,
    scheme: str = "multiple",
) -> Catchment:
    """Give the plan area that drains over a line, and where along it the water comes.

    Parameters
    ----------
    heights : (ny, nx) array
        Of the ground, rows going north; not a number where it is not known [m].
    step : float
        Spacing of the nodes [m].
    x0, y0 : float
        Where the first node stands [m].
    line : (k, 2) or (k, 3) array
        Left to right as seen looking uphill [m].
    pieces : int
        In how many equal lengths to tell it.
    scheme : str
        "multiple", "d-infinity" or "d8".

    Returns
    -------
    Catchment
        Water that crosses the line back uphill is taken off.

    Raises
    ------
    OutOfRange
        A line of no length or outside the grid.
    """
    way = number("line", line)
    if way.ndim != 2 or len(way) < 2 or way.shape[1] not in (2, 3):
        raise OutOfRange("line", f"of shape {way.shape}", "give two or more points x, y")
    dx = float(above_zero("step", step))
    grid = FlowGrid.of(heights)
    route_ = route(grid, scheme)
    own = np.asarray(grid.inside.reshape(-1) * dx * dx, float)
    local = (way[:, :2] - (x0, y0)) / dx + 1  # columns and rows of the grid with its border
    lengths = np.hypot(*np.diff(local, axis=0).T)
    start = np.concatenate(([0.0], np.cumsum(lengths)))
    if not start[-1] > 0:
        raise OutOfRange("line", "has no length", "give two or more different points")
    node, share, place = _crossings(grid, route_, local, start)
    passing = route_.accumulate(own)
    flow = passing[node] * share
    ends = np.linspace(0.0, float(start[-1]), pieces + 1)
    piece = np.clip(np.searchsorted(ends, place, side="right") - 1, 0, pieces - 1)
    along = np.bincount(piece, flow, pieces)
    edge = route_.accumulate(np.where(grid.edge.reshape(-1), own, 0.0))
    area = float(along.sum())
    beyond = float((edge[node] * share).sum()) / area if area > 0 else 0.0
    return Catchment(area, frozen(np.asarray(along, float)), frozen(ends * dx), max(beyond, 0.0))


def _crossings(
    grid: FlowGrid, routing: Routing, line: Array, start: Array
) -> tuple[Index, Array, Array]:
    """Find where water crosses the line: node, share (+ downhill), place along it."""
    columns = grid.z.shape[1]
    found: list[tuple[Index, Index, Array, Array]] = []
    for i, (a, b) in enumerate(pairwise(line)):
        low = np.maximum(np.floor(np.minimum(a, b)).astype(int) - 1, 0)
        high = np.minimum(np.ceil(np.maximum(a, b)).astype(int) + 2, grid.z.shape[::-1])
        if (high <= low).any():
            continue
        x, y = (
            g.ravel() for g in np.meshgrid(np.arange(low[0], high[0]), np.arange(low[1], high[1]))
        )
        node = y * columns + x
        node = node[grid.inside.reshape(-1)[node]]
        for target, share in _ways(routing, node):
            found.append((node, target, share, np.full(len(node), i)))
    if not found:
        raise OutOfRange("line", "lies outside the ground", "give a line on the surface")
    node, target, share, segment = (np.concatenate(v) for v in zip(*found, strict=True))
    some = (share > 0) & (node != target)
    node, target, share, segment = node[some], target[some], share[some], segment[some]
    from_ = np.stack((node % columns, node // columns), axis=1).astype(float)
    to = np.stack((target % columns, target // columns), axis=1).astype(float)
    a, b = line[segment], line[segment + 1]
    before, after = _left_of(a, b, from_) > 0, _left_of(a, b, to) > 0
    one, other = _left_of(from_, to, a), _left_of(from_, to, b)
    # a point of the line that lies on the way counts with one of its two segments only
    crosses = (before != after) & ((one > 0) != (other > 0))
    node, share, segment = node[crosses], share[crosses], segment[crosses]
    one, other, before = one[crosses], other[crosses], before[crosses]
    size = start[segment + 1] - start[segment]
    place = start[segment] + size * one / (one - other)
    return node, np.where(before, share, -share), place


def _ways(routing: Routing, node: Index) -> list[tuple[Index, Array]]:
    """Give the next nodes of nodes, and their shares, way by way."""
    if routing.shares is None:
        return [(routing.drained.receiver[node].astype(np.intp), np.ones(len(node)))]
    step, share = routing.shares
    ways = range(share.shape[1])
    return [(node + (step[k] if step.ndim == 1 else step[node, k]), share[node, k]) for k in ways]


def _left_of(a: Array, b: Array, p: Array) -> Array:
    """Say how far points lie left of lines from a to b: twice the area of the triangle."""
    ab, ap = b - a, p - a
    return np.asarray(ab[:, 0] * ap[:, 1] - ab[:, 1] * ap[:, 0])


@method(
    title="Contributing area between a line and the divide above it",
    equation="A = |sum (x_i y_(i+1) - x_(i+1) y_i)| / 2 round the line and back along the divide",
    source="exact geometry",
)
def area_between(line: ArrayLike, divide: ArrayLike) -> Array:
    """Give the plan area between a line and the divide above it, both told left to right.

    Parameters
    ----------
    line : (k, 2) array
        Where the water is wanted, left to right looking uphill. [m]
    divide : (m, 2) array
        Where the ground begins to fall towards it, left to right. [m]

    Returns
    -------
    float
        Plan area. [m2]

    Raises
    ------
    OutOfRange
        The ring of both crosses itself, or has no area.
    """
    import shapely

    below, above = number("line", line), number("divide", divide)
    for name, way in (("line", below), ("divide", above)):
        if way.ndim != 2 or len(way) < 2 or way.shape[1] != 2:
            raise OutOfRange(name, f"of shape {way.shape}", "give two or more points x, y")
    ring = shapely.polygons(np.concatenate((below, above[::-1])))
    if not ring.is_valid:
        right = "tell both from left to right, and let them not cross"
        raise OutOfRange("divide", "the ring of line and divide crosses itself", right)
    return np.asarray(shapely.area(ring))
