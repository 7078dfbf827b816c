"""What a cell holds on top of its soil: the water that stands up to its lowest lip."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.given import at_least_zero, share
from hillwright.method import method


class CellHold(NamedTuple):
    """What cells hold, and where their lowest lips stand."""

    volume: Array
    lip: Array


@method(
    title="Water that a cell holds above its soil, up to its lowest lip",
    equation="V = integral of max(0, lip - z) dA / cos(b)^2 over the plan of the cell, "
    "lip = min_k (z_k + depth cos(b)), b slope of the base",
    source="exact geometry",
)
def cell_hold(
    corners: Array, depth: ArrayLike, soil_depth: ArrayLike, levelled: ArrayLike = 0.0
) -> CellHold:
    """Give the water that stands in open boxes on a slope before they spill.

    The walls stand square to the base, and so is the depth of the soil measured.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Base corners in order round each cell. [m]
    depth : (n,) array or float
        Of the walls. [m]
    soil_depth : (n,) array or float
        Mean depth of the soil, at most that of the walls. [m]
    levelled : (n,) array or float
        How far the soil is raked level: 0 lies along the slope, 1 is level. [-]

    Returns
    -------
    volume : (n,) array
        Water above the soil when the lowest lip begins to spill. [m3]
    lip : (n,) array
        Level of the lowest lip. [m]

    Raises
    ------
    OutOfRange
        Soil above the walls, negative depths, corners that are not (n, 4, 3) or stand upright.
    """
    c, depth, soil, rake = _given(corners, depth, soil_depth, levelled)
    lip = lip_corners(c, depth).min(axis=1)
    return CellHold(held_below(c, soil, rake, lip), lip)


def lip_corners(corners: Array, depth: Array) -> Array:
    """Give the heights (n, 4) of the top corners of walls ``depth`` (n,) square to the base [m]."""
    return np.asarray(corners[:, :, 2] + (depth * _upright(corners))[:, None])


def held_below(corners: Array, soil: Array, levelled: Array, water: Array) -> Array:
    """Give the water (n,) [m3] between the soil and a level surface at ``water`` (n,) [m]."""
    up = _upright(corners)
    base = corners[:, :, 2]
    middle = base.mean(axis=1)
    # the soil turns about its middle as it is raked level
    tilt = (base - middle[:, None]) * (1 - levelled)[:, None]
    over = (water - middle - soil * up)[:, None] - tilt  # (n, 4) water above the soil at corners
    centre = over.mean(axis=1)
    x, y = corners[:, :, 0], corners[:, :, 1]
    mx, my = x.mean(axis=1), y.mean(axis=1)
    total = np.zeros(len(corners))
    for i in range(4):
        j = (i + 1) % 4
        area = (x[:, i] - mx) * (y[:, j] - my) - (x[:, j] - mx) * (y[:, i] - my)
        total += wet_prism(np.abs(area) / 2, np.stack((over[:, i], over[:, j], centre)))
    return np.asarray(total / up**2)


def wet_prism(area: Array, over: Array) -> Array:
    """Integrate max(0, d) over triangles (n,), d linear between its values (3, n) at the corners.

    Exact; any unit kept consistent: area [m2], d [m], integral [m3].
    """
    low, mid, high = np.sort(over, axis=0)
    mean = (low + mid + high) / 3
    with np.errstate(divide="ignore", invalid="ignore"):
        tip = high**3 / (3 * (high - low) * (high - mid))  # only one corner is wet
        dry_tip = -(low**3) / (3 * (mid - low) * (high - low))  # only one corner is dry
    partly = np.where(mid > 0, mean + dry_tip, tip)
    return np.asarray(area * np.where(low >= 0, mean, np.where(high > 0, partly, 0.0)))


def plan_area(corners: Array) -> Array:
    """Give the plan area (n,) of cells (n, 4, 3) [m2]."""
    a, b = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    return np.asarray(np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2)


def slope_area(corners: Array) -> Array:
    """Give the area (n,) of cells (n, 4, 3) on the slope [m2]."""
    return np.asarray(plan_area(corners) / _upright(corners))


def _upright(corners: Array) -> Array:
    """Give the cosine (n,) of the slope of each base plane."""
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    return np.asarray(np.abs(normal[:, 2]) / np.linalg.norm(normal, axis=1))


def _given(
    corners: Array, depth: ArrayLike, soil_depth: ArrayLike, levelled: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    c = checked_corners(corners)
    n = len(c)
    wall = np.broadcast_to(at_least_zero("depth", depth), (n,))
    soil = np.broadcast_to(at_least_zero("soil_depth", soil_depth), (n,))
    rake = np.broadcast_to(share("levelled", levelled), (n,))
    if (bad := soil > wall * (1 + 1e-12)).any():
        place = f"soil_depth, cell {int(np.argmax(bad)) + 1}"
        raise OutOfRange(place, "the soil stands above the walls", "give at most the cell's depth")
    return c, wall, soil, rake


def checked_corners(corners: Array) -> Array:
    """Pass corners (n, 4, 3) [m] on, or say which cell is none."""
    c = np.asarray(corners, float)
    if c.ndim != 3 or c.shape[1:] != (4, 3) or not len(c):
        raise OutOfRange("corners", f"of shape {c.shape}", "give n cells of 4 corners x, y, z")
    with np.errstate(invalid="ignore"):
        bad = ~(np.isfinite(c).all(axis=(1, 2)) & (plan_area(c) > 0))
    if bad.any():
        where = f"corners, cell {int(np.argmax(bad)) + 1}"
        raise OutOfRange(where, "no plan area", "give four corners in order round the cell")
    return c
