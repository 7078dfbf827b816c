"""How many whole cells a flat outline holds: at one placing, and at the best one.

The plan asks the same of the sheet image of its outline, through the same functions.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.layout.bound import area_bound, mean_count
from hillwright.layout.erosion import Anchors, anchor_region
from hillwright.layout.fit import best_placing
from hillwright.layout.lattice import counts
from hillwright.method import method

MOST_CELLS = 1_000_000  # an outline of more is a mistake in the units

BONDS = {
    "stacked": False,
    "stack": False,
    "half-offset": True,
    "half offset": True,
    "running": True,
}
SHARE = 1e-9  # of a cell: as little as this over the circle still only touches it


class WholeCells(NamedTuple):
    """Whole cells at one placing."""

    cells: int
    without_exclusions: int
    lost: int


class BestFit(NamedTuple):
    """Whole cells at the best placing, and what is sure of it."""

    best: int
    bound: int
    area_bound: int
    mean: float
    guaranteed: int
    offset: Array


@method(
    title="Whole cells inside an outline, the grid fixed",
    equation="n = #{(i, j): corner(i, j) in E},  E = outline worn down by the cell, off exclusions",
    source="exact geometry",
)
def whole_cells(
    outline: Array,
    cell: Array,
    exclusions: Sequence[Array] | Array = (),
    bond: str = "stacked",
    offset: Array | Sequence[float] = (0.0, 0.0),
    rotation: float = 0.0,
) -> WholeCells:
    """Count the cells of a grid that lie whole inside an outline and off every exclusion.

    Parameters
    ----------
    outline : (k, 2) array
        Corners in order. [m]
    cell : (2,) array
        Along the row and across it. [m]
    exclusions : sequence of (k, 2) array
        Corners of each place that cells keep off, in order. [m]
    bond : str
        "stacked", or "half-offset" when every second row stands half a cell further. [text]
    offset : (2,) array
        Where a corner of the grid lies, along the row and across it. [m]
    rotation : float
        Of the rows, anticlockwise from the first axis, about the origin. [rad]

    Returns
    -------
    cells : int
        Whole cells. [-]
    without_exclusions : int
        Whole cells, were there no exclusions. [-]
    lost : int
        Cells whose inside meets an exclusion. [-]

    Raises
    ------
    OutOfRange
        A ring that crosses itself or has no area, a cell without area, an unknown bond.

    Notes
    -----
    On a flat sheet. Touching an edge counts as inside, within 1e-9 m. In half-offset bond the
    row that starts at the offset is not the one moved.
    """
    half_offset = _half_offset(bond)
    width, run = _pair("cell", cell)
    shift = _pair("offset", offset)
    bare = _anchors([outline], [], width, run, rotation)
    clear = _anchors([outline], _rings(exclusions), width, run, rotation)
    each = [int(counts(E, width, run, half_offset, shift)[0]) for E in (bare, clear)]
    return WholeCells(each[1], each[0], each[0] - each[1])


@method(
    title="Most whole cells inside an outline over all shifts of the grid, proven",
    equation="best = max over shifts of n;  ceil(A(E) / a) <= best <= bound <= floor(A / a)",
    source="exact geometry (branch and bound over shifts); Blichfeldt 1914 for the guarantee",
)
def best_fit(
    outline: Array,
    cell: Array,
    exclusions: Sequence[Array] | Array = (),
    bond: str = "stacked",
    rotation: float = 0.0,
) -> BestFit:
    """Find the shift of a grid that lays most whole cells in an outline, with the proof.

    Parameters
    ----------
    outline : (k, 2) array
        Corners in order. [m]
    cell : (2,) array
        Along the row and across it. [m]
    exclusions : sequence of (k, 2) array
        Corners of each place that cells keep off, in order. [m]
    bond : str
        "stacked", or "half-offset" when every second row stands half a cell further. [text]
    rotation : float
        Of the rows, anticlockwise from the first axis, about the origin. [rad]

    Returns
    -------
    best : int
        Whole cells at the best shift found. [-]
    bound : int
        No shift holds more; equal to the best when that is proven. [-]
    area_bound : int
        Whole cells that the area would hold. [-]
    mean : float
        Mean count over all shifts. [-]
    guaranteed : int
        Count that some shift is sure to reach. [-]
    offset : (2,) array
        The best shift, along the row and across it. [m]

    Raises
    ------
    OutOfRange
        A ring that crosses itself or has no area, a cell without area, an unknown bond, or an
        outline for a million cells.

    Notes
    -----
    On a flat sheet, for one direction of the rows. Touching an edge counts as inside, within
    1e-9 m. Where the area would hold 5000 cells or more the search stops at a gap of 2 cells.
    """
    half_offset = _half_offset(bond)
    width, run = _pair("cell", cell)
    E = _anchors([outline], _rings(exclusions), width, run, rotation)
    most = int(area_bound(E.ground.area, width * run))
    mean, guaranteed = mean_count(E.exact.area, width * run)
    placing = best_placing(E, width, run, half_offset)
    offset = np.array([placing.du, placing.dv])
    return BestFit(placing.count, placing.bound, most, float(mean), int(guaranteed), offset)


@method(
    title="Whole cells inside a circle, the grid fixed",
    equation="n = sum_i floor((x_i - u_i)/w) - ceil((-x_i - u_i)/w),  x_i = sqrt(r^2 - max|v_i|^2)",
    source="exact geometry",
)
def whole_cells_in_circle(
    radius: Array | float,
    cell: Array,
    bond: str = "stacked",
    offset: Array | Sequence[float] = (0.0, 0.0),
) -> Index:
    """Count the cells of a grid that lie whole inside a circle round the origin.

    Parameters
    ----------
    radius : float or (n,) array
        Of each circle, >= 0. [any]
    cell : (2,) array
        Along the row and across it. [any]
    bond : str
        "stacked", or "half-offset" when every second row stands half a cell further. [text]
    offset : (2,) array
        Where a corner of the grid lies from the middle of the circle. [any]

    Returns
    -------
    value : int or (n,) array
        Whole cells; touching the circle counts as inside. [-]

    Raises
    ------
    OutOfRange
        A radius below 0, a cell without area, or a circle for more than a million cells.
    """
    half_offset = _half_offset(bond)
    width, run = _pair("cell", cell)
    du, dv = _pair("offset", offset)
    r = np.atleast_1d(np.asarray(radius, dtype=float))[:, None]
    if not (np.isfinite(r).all() and (r >= 0).all()):
        raise OutOfRange("radius", f"{radius} is not 0 or more", "give the circle's radius")
    if not (width > 0 and run > 0):
        raise OutOfRange("cell", f"{width:g} by {run:g} has no area", "give both sides above 0")
    largest = float(r.max(initial=0))
    if 4 * largest**2 > MOST_CELLS * width * run:
        raise OutOfRange(
            "radius", f"{largest:g} is for more than a million cells", "check the units"
        )
    i = np.arange(np.floor((-largest - dv) / run), np.ceil((largest - dv) / run) + 1)
    far = np.maximum(np.abs(dv + i * run), np.abs(dv + (i + 1) * run))
    reach = r**2 - far**2
    x = np.sqrt(np.maximum(reach, 0))
    start = du + (i % 2) * (width / 2 if half_offset else 0.0)
    fit = np.floor((x - start) / width + SHARE) - np.ceil((-x - start) / width - SHARE)
    total = np.where(reach > -SHARE * width**2, np.maximum(fit, 0), 0).sum(axis=1).astype(np.intp)
    return np.asarray(total.reshape(np.shape(radius)))[()]


def _anchors(
    outlines: list[Array], exclusions: list[Array], width: float, run: float, rotation: float
) -> Anchors:
    """Turn the rings so that the rows lie along the first axis, and wear them down."""
    if not np.isfinite(rotation):
        raise OutOfRange("rotation", f"{rotation}", "give an angle")
    c, s = np.cos(rotation), np.sin(rotation)
    turn = np.array([[c, -s], [s, c]])
    rings = [[np.asarray(ring, dtype=float) @ turn for ring in of] for of in (outlines, exclusions)]
    E = anchor_region(rings[0], rings[1], width, run)
    if E.ground.area > MOST_CELLS * width * run:
        raise OutOfRange("outline", "has room for more than a million cells", "check the units")
    return E


def _half_offset(bond: str) -> bool:
    try:
        return BONDS[bond]
    except KeyError:
        raise OutOfRange("bond", f'"{bond}"', 'write "stacked" or "half-offset"') from None


def _pair(name: str, value: Array | Sequence[float]) -> Array:
    pair = np.asarray(value, dtype=float)
    if pair.shape != (2,) or not np.isfinite(pair).all():
        raise OutOfRange(name, f"{value} is not two lengths", "give along the row and across it")
    return pair


def _rings(exclusions: Sequence[Array] | Array) -> list[Array]:
    """Take a list of rings, or one ring that was not put in a list."""
    if isinstance(exclusions, np.ndarray) and exclusions.ndim == 2:
        return [exclusions]
    return list(exclusions)
