"""Coordinate systems, opened and converted: the only door to ``pyproj``, and it opens late.

Heights are never converted: a change of height datum is refused, because without its grid file
it comes back silently as no change.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import SurveyError
from hillwright.method import method

LONLAT = "OGC:CRS84"  # RFC 7946 section 4: WGS 84 longitude, latitude


class Converted(NamedTuple):
    """A position in another coordinate system, in both orders."""

    xy: Array
    authority: Array


class GridDistance(NamedTuple):
    """A distance on the map grid, and how far it is off the ground's."""

    grid_distance: float
    difference: float


@method(
    title="Size of a distance in the map grid",
    equation="grid = k ground; difference = |grid - ground|",
    source="exact geometry (definition of the scale factor of a map projection)",
)
def grid_distance(ground_distance: float, scale_factor: float) -> GridDistance:
    """Give the map distance of a length on the ground.

    Parameters
    ----------
    ground_distance : float
        Horizontal distance on the ground. [m]
    scale_factor : float
        Scale of the projection there, as 0.9996 on the middle of a UTM zone. [-]

    Returns
    -------
    grid_distance : float
        Distance on the grid. [m]
    difference : float
        By how much a layout made in grid metres would be out. [m]

    Raises
    ------
    SurveyError
        The scale factor is not positive.

    Notes
    -----
    At the projection's own surface; height above it (16 mm in 100 m at 1000 m) is left out.
    """
    if not (math.isfinite(scale_factor) and scale_factor > 0):
        raise SurveyError("scale_factor", f"is {scale_factor}", "give a positive number near 1")
    grid = ground_distance * scale_factor
    return GridDistance(grid, abs(grid - ground_distance))


def parse(text: str, where: str) -> Any:
    """Open a coordinate system by its code or WKT (pyproj).

    Raises
    ------
    SurveyError
        Nobody knows the system.
    """
    import pyproj

    try:
        return _system(text)
    except pyproj.exceptions.CRSError as error:
        raise SurveyError(
            where, f"the coordinate system {text!r} is not known", 'write a code, as "EPSG:2227"'
        ) from error


@lru_cache(maxsize=32)  # systems are looked up in a database: longer than a job takes to read
def _system(text: str) -> Any:
    import pyproj

    return pyproj.CRS.from_user_input(text)


@lru_cache(maxsize=32)
def flat(crs: Any) -> Any:
    """Leave out the heights: only the horizontal part is ever converted."""
    while crs.is_bound:
        crs = crs.source_crs
    return crs.sub_crs_list[0] if crs.is_compound else crs.to_2d()


def vertical(crs: Any) -> Any:
    """Give the part of a system that heights are in, None where it has none."""
    while crs.is_bound:
        crs = crs.source_crs
    return crs.sub_crs_list[1] if crs.is_compound and len(crs.sub_crs_list) > 1 else None


def converter(source: Any, target: Any, *, xy: bool = True) -> Any:
    """Open the conversion between the horizontal parts of two systems (a pyproj transformer).

    Raises
    ------
    SurveyError
        The heights would have to change datum, or only a rough ("ballpark") conversion is known.
    """
    import pyproj

    names = f"{source.name} to {target.name}"
    a, b = vertical(source), vertical(target)
    if a is not None and b is not None and a != b:
        raise SurveyError(
            names,
            "the heights would change datum, which needs a grid file that is not here",
            "give both in one height datum; on one hillside only height differences count",
        )
    try:
        return _conversion(flat(source), flat(target), xy)
    except pyproj.exceptions.ProjError as error:
        raise SurveyError(
            names, "only a rough conversion is known", "give both files in one coordinate system"
        ) from error


def lonlat(projection: str, xy: Array) -> Array:
    """Turn (..., 2) metres of a local projection back into longitude and latitude.

    Parameters
    ----------
    projection : str
        As a survey in degrees was projected by, "+proj=tmerc ...".
    xy : (..., 2) array
        East and north. [m]

    Returns
    -------
    (..., 2) array
        Longitude and latitude on the survey's own datum. [deg]
    """
    import pyproj

    found = pyproj.Proj(projection)(xy[..., 0], xy[..., 1], inverse=True, errcheck=True)
    return np.stack(found, axis=-1).astype(float)


@lru_cache(maxsize=32)
def _conversion(source: Any, target: Any, xy: bool) -> Any:
    import pyproj

    return pyproj.Transformer.from_crs(source, target, always_xy=xy, allow_ballpark=False)


@method(
    title="A position in another coordinate system",
    equation="(x, y) of one EPSG system -> (x, y) of another; authority = the order of its axes",
    source="EPSG dataset through PROJ; axis order: pyproj issue 510",
)
def convert_position(from_crs: str, to_crs: str, x: float, y: float) -> Converted:
    """Convert a position given as easting (or longitude), northing (or latitude).

    Parameters
    ----------
    from_crs, to_crs : str
        Codes, as "EPSG:28992". [text]
    x, y : float
        Easting or longitude, northing or latitude, in the first system's unit. [any]

    Returns
    -------
    xy : (2,) array
        Easting or longitude first, whatever the authority says. [any]
    authority : (2,) array
        In the order of the second system's own axes (EPSG:4326: latitude first). [any]

    Raises
    ------
    SurveyError
        An unknown system, a rough conversion only, or a position where it does not hold.
    """
    source, target = parse(str(from_crs), "from_crs"), parse(str(to_crs), "to_crs")
    xy = np.asarray(converter(source, target).transform(x, y), dtype=float)
    if not np.isfinite(xy).all():
        raise SurveyError(
            f"{x}, {y}", f"does not lie where {from_crs} holds", "check the order and the unit"
        )
    first = flat(target).axis_info[0].direction.lower() if flat(target).axis_info else "east"
    return Converted(xy, xy[::-1].copy() if first.startswith(("north", "south")) else xy)
