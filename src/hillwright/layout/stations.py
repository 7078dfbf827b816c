"""Stations and offsets along a base line, and how they are written."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

# metres in a unit, and how many of it a full station has
_FULL = {"ft": (0.3048, 100.0), "m": (1.0, 1000.0)}


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
def station_text(
    distance: float, unit: str = "ft", station: float | None = None, decimals: int = 2
) -> str:
    """Write a distance as full stations and the rest; the rest carries when it rounds up.

    Parameters
    ----------
    distance : float
        From the start of the base line; below zero before it. [m]
    unit : str
        What is printed: "ft" or "m". [text]
    station : float, optional
        Length of a full station: a power of ten in the unit; left out, 100 ft or 1000 m. [m]
    decimals : int
        Printed behind the point, 0 or more. [-]

    Returns
    -------
    str
        As 6+53.25 in feet or 0+653.25 in metres. [text]

    Raises
    ------
    OutOfRange
        A distance that is not finite, another unit, a station that is not a power of ten in it,
        or decimals below 0.
    """
    if unit not in _FULL:
        raise OutOfRange("unit", f"{unit!r} is not printed", 'write "ft" or "m"')
    metres, usual = _FULL[unit]
    full = usual if station is None else station / metres
    digits = round(float(np.log10(full))) if full > 0 else 0
    if digits < 1 or abs(full - 10**digits) > 1e-6 * full:
        raise OutOfRange("station", f"{full:g} {unit} long", f"give 10, 100 or 1000 {unit}")
    if decimals < 0 or decimals != int(decimals):
        raise OutOfRange("decimals", f"{decimals:g} of them", "give 0 or more")
    if not np.isfinite(distance):
        raise OutOfRange("distance", "not a number", "give a distance along the base line")
    step = Decimal(1).scaleb(-int(decimals))
    # as it is written, not as it is held in binary: 2.675 rounds up as a person would
    written = Decimal(repr(round(float(distance) / metres, 9)))
    rounded = written.quantize(step, rounding=ROUND_HALF_UP)
    stations, rest = divmod(abs(rounded), Decimal(10) ** digits)
    width = digits + (int(decimals) + 1 if decimals else 0)
    return f"{'-' if rounded < 0 else ''}{int(stations)}+{rest.quantize(step):0{width}f}"
