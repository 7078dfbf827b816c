"""Soil in a cell: the prism between its base and the top of the soil, walls square to the base.

The crew measures down from the lip of the **downhill wall**: freeboard that stays empty, then the
mulch, then the soil. From there the soil's top rises uphill more gently than the base does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.fill.given import at_least_zero, share, where
from hillwright.fill.plane import base_of, checked, over_quads
from hillwright.method import method


class Soil(NamedTuple):
    """Soil of the n cells."""

    volume: Array
    covered: Array
    uphill: Array
    top_slope: Array


@method(
    title="Depth of soil at the downhill wall under freeboard and mulch",
    equation="soil = fullness (wall - freeboard - mulch)",
    source="exact geometry",
)
def lip_depth(
    wall: ArrayLike, freeboard: ArrayLike, mulch: ArrayLike = 0.0, fullness: ArrayLike = 1.0
) -> Array:
    """Give how deep the soil stands at the downhill wall, square to the base.

    Parameters
    ----------
    wall : (...) array
        Height of the wall above the base. [m]
    freeboard : (...) array
        From the lip down to the top of the mulch, or of the soil where there is none. [m]
    mulch : (...) array, optional
        Thickness of the mulch. [m]
    fullness : (...) array, optional
        Share of the depth that is filled, 0 empty to 1 full. [-]

    Returns
    -------
    (...) array
        Depth of the soil. [m]

    Raises
    ------
    OutOfRange
        Freeboard and mulch leave no room in the cell, a negative length, a share outside 0 to 1.
    """
    deep = at_least_zero("wall", wall)
    free, over = at_least_zero("freeboard", freeboard), at_least_zero("mulch", mulch)
    full = share("fullness", fullness)
    room = deep - free - over
    if (bad := np.asarray(room < -1e-12)).any():
        raise OutOfRange(
            where("freeboard and mulch", bad),
            "are together more than the height of the wall",
            "give less of either, or a deeper cell",
        )
    return np.asarray(full * np.maximum(room, 0.0))


@method(
    title="Foot of a cell between its walls",
    equation="corner + t (a + b)/sin(a, b); a, b the ways along its two edges",
    source="exact geometry",
)
def between_walls(corners: Array, wall: float) -> Array:
    """Give the corners that the soil has, inside walls of one thickness on all four sides.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Outer base corners in order round each cell. [m]
    wall : float
        Thickness of the walls, 0 or more. [m]

    Returns
    -------
    (n, 4, 3) array
        Inner base corners. [m]

    Raises
    ------
    OutOfRange
        A negative thickness, walls that leave no room, or corners that make no cell.
    """
    thick, c = float(at_least_zero("wall", wall)), checked(corners)
    if not thick or not len(c):
        return c
    to_next, to_last = np.roll(c, -1, axis=1) - c, np.roll(c, 1, axis=1) - c
    sides = np.linalg.norm(to_next, axis=2)
    if (bad := np.asarray(2 * thick >= sides.min(axis=1))).any():
        at = where("wall", bad)
        raise OutOfRange(at, "leaves no room between the walls", "give the thickness of one wall")
    a = to_next / sides[..., None]
    b = to_last / np.linalg.norm(to_last, axis=2)[..., None]
    turn = np.linalg.norm(np.cross(a, b), axis=2)[..., None]
    return np.asarray(c + thick * (a + b) / turn)


@method(
    title="Soil in a cell on a slope",
    equation="V = integral of max(0, t) dA; t = lip - r tan(b) u, u up the slope from the lowest "
    "corner; slope of the top = b - atan(r tan(b))",
    source="exact geometry",
    symbols={
        "t": "depth of the soil at a place, square to the base",
        "r": "levelled",
        "b": "slope of the base",
        "u": "distance up the slope",
    },
)
def cell_soil(corners: Array, lip: ArrayLike, levelled: ArrayLike = 0.0) -> Soil:
    """Give the soil between the base of each cell and its top.

    The walls stand square to the base. With ``levelled`` 0 the top lies along the slope and the
    soil is as deep everywhere; with 1 it is level, and on steep ground it may run out before it
    reaches the uphill wall, which leaves the base bare there.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Base corners in order round each cell. [m]
    lip : (n,) array or float
        Depth of the soil at the lowest corner, square to the base. [m]
    levelled : (n,) array or float, optional
        How far the top is raked level: 0 along the slope, 1 level. [-]

    Returns
    -------
    volume : (n,) array
        Of the soil. [m3]
    covered : (n,) array
        Share of the base that it covers. [-]
    uphill : (n,) array
        Its depth at the highest corner, square to the base; 0 where it runs out before. [m]
    top_slope : (n,) array
        Of its top, from horizontal. [rad]

    Raises
    ------
    OutOfRange
        A negative depth, a share outside 0 to 1, or corners that make no cell.
    """
    base = base_of(corners)
    n = len(base.area)
    deep = np.broadcast_to(at_least_zero("lip", lip), (n,))
    fall = np.broadcast_to(share("levelled", levelled), (n,)) * np.tan(base.slope)
    depth = deep[:, None] - fall[:, None] * (base.uv[:, :, 0] - base.low[:, None])
    volume, covered = over_quads(base.uv, depth)
    uphill = np.maximum(deep - fall * (base.high - base.low), 0.0)
    there = deep > 0  # a film without depth covers nothing
    return Soil(
        np.asarray(np.where(there, volume, 0.0)),
        np.asarray(np.where(there, covered / base.area, 0.0)),
        np.asarray(uphill),
        np.asarray(base.slope - np.arctan(fall)),
    )


@method(
    title="How level the soil of a cell can be raked and still cover its base",
    equation="r = min(1, (lip - least) / (tan(b) (u_high - u_low)))",
    source="exact geometry",
)
def covering(corners: Array, lip: ArrayLike, least: ArrayLike) -> Array:
    """Give the most level top that leaves the soil a least depth at the uphill wall.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Base corners in order round each cell. [m]
    lip : (n,) array or float
        Depth of the soil at the lowest corner. [m]
    least : (n,) array or float
        Depth that must be left at the highest corner; a shallower lip is raked along the
        slope. [m]

    Returns
    -------
    (n,) array
        ``levelled`` as :func:`cell_soil` takes it. [-]

    Raises
    ------
    OutOfRange
        A negative depth, or corners that make no cell.
    """
    base = base_of(corners)
    room = np.maximum(at_least_zero("lip", lip) - at_least_zero("least", least), 0.0)
    rise = np.tan(base.slope) * (base.high - base.low)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(rise > room, room / rise, 1.0)
    return np.asarray(found)
