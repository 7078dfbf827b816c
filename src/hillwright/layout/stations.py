"""Stations and offsets along a base line, and how they are written."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class StationOffset(NamedTuple):
    """Along a base line and to the side of it."""

    station: Array
    offset: Array


@method(
    title="Station and offset from a base line",
    equation="station = (P - S) . u; offset right = (P - S) x u; u from start S to end",
    source="exact geometry",
)
def station_offset(base_start: ArrayLike, base_end: ArrayLike, points: ArrayLike) -> StationOffset:
    """Give how far along a base line points lie, and how far to the side of it.

    Parameters
    ----------
    base_start, base_end : (2,) array
        Easting and northing of the ends of the line. [m]
    points : (2,) or (n, 2) array
        Easting and northing of the points. [m]

    Returns
    -------
    station : float or (n,) array
        Level distance along the line from its start; below zero before it. [m]
    offset : float or (n,) array
        Level distance square to it; right is positive as one looks up-station. [m]

    Raises
    ------
    OutOfRange
        A base line of no length, or a number missing.
    """
    start, end = np.asarray(base_start, float), np.asarray(base_end, float)
    p = np.asarray(points, float)
    for name, place in (("base_start", start), ("base_end", end), ("points", p)):
        if place.shape[-1:] not in ((2,), (3,)) or not np.isfinite(place).all():
            raise OutOfRange(name, "not a place", "give easting and northing")
    way = (end - start)[:2]
    length = float(np.hypot(*way))
    if length == 0:
        raise OutOfRange("base line", "has no length", "give a start and an end that differ")
    u = way / length
    d = p[..., :2] - start[:2]
    return StationOffset(d @ u, d[..., 0] * u[1] - d[..., 1] * u[0] + 0.0)


@method(
    title="Station text",
    equation="full stations + rest, as 6+53.25",
    source="levelling practice (100 ft); 1 km stations in metric are common practice, no source",
)
def station_text(distance: float, station: float = 100.0, decimals: int = 2) -> str:
    """Write a distance as full stations and the rest; the rest carries when it rounds up.

    Parameters
    ----------
    distance : float
        From the start of the base line, in the unit that is to be printed. [any]
    station : float
        Length of a full station in the same unit: 100 (ft) or 1000 (m); a power of ten. [any]
    decimals : int
        Printed behind the point, 0 or more. [-]

    Returns
    -------
    str
        As 6+53.25 or 0+653.25; a leading minus before the start of the line. [text]

    Raises
    ------
    OutOfRange
        A distance that is not finite, a station that is not a power of ten, or decimals below 0.
    """
    size = Decimal(repr(float(station))) if np.isfinite(station) else Decimal(0)
    digits = len(str(int(size))) - 1
    if size != Decimal(10) ** digits or digits < 1:
        raise OutOfRange("station", f"{station:g} long", "give 10, 100 or 1000")
    if decimals < 0 or decimals != int(decimals):
        raise OutOfRange("decimals", f"{decimals:g} of them", "give 0 or more")
    if not np.isfinite(distance):
        raise OutOfRange("distance", "not a number", "give a distance along the base line")
    step = Decimal(1).scaleb(-int(decimals))
    # as it is written, not as it is held in binary: 2.675 rounds up as a person would
    rounded = Decimal(repr(float(distance))).quantize(step, rounding=ROUND_HALF_UP)
    full, rest = divmod(abs(rounded), size)
    width = digits + (int(decimals) + 1 if decimals else 0)
    return f"{'-' if rounded < 0 else ''}{int(full)}+{rest.quantize(step):0{width}f}"
