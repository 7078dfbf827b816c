"""How high the ground stands round a place: the horizon of many places at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.model import Ground

BELOW = -np.pi / 2  # a horizon that hides nothing [rad]


def directions(count: int) -> Array:
    """(count,) compass bearings all round, from north, clockwise [rad]."""
    return np.asarray(2 * np.pi * np.arange(count) / count)


def distances(first: float, last: float, growth: float = 1.06) -> Array:
    """Give how far off to look: steps that grow with the distance, as the angle counts [m]."""
    if last <= first:
        return np.array([last])
    count = 1 + int(np.ceil(np.log1p((growth - 1) * (last - first) / first) / np.log(growth)))
    steps = first * growth ** np.arange(count)
    places = first + np.concatenate([[0.0], np.cumsum(steps)[:-1]])
    return np.asarray(np.append(places[places < last], last))


@method(
    title="Horizon of a place from the ground round it",
    equation="h(a) = max over r of atan((z(x + r sin a, y + r cos a) - z0) / r)",
    source="exact geometry",
)
def ground_horizon(
    surface: Ground,
    x: ArrayLike,
    y: ArrayLike,
    z: ArrayLike,
    bearing: ArrayLike,
    distance: ArrayLike,
) -> Array:
    """Give how high the ground stands in each direction, seen from each place.

    Parameters
    ----------
    surface : Ground
        Anything with heights at plan positions; not a number where there is none. [surface]
    x, y, z : (n,) array
        The eyes, over or on the ground. [m]
    bearing : (m,) array
        Directions, clockwise from +y. [rad]
    distance : (k,) array
        How far off the ground is looked at, all above 0. [m]

    Returns
    -------
    (n, m) array
        Elevation angle of the ground's edge; -90 degrees where there is no ground. [rad]

    Raises
    ------
    OutOfRange
        A distance of 0 or less.

    Notes
    -----
    A flat earth: right for what a hillside sees within some kilometres. What stands between two
    distances is not seen.
    """
    r = np.asarray(distance, float)
    if (r <= 0).any():
        raise OutOfRange("distance", "is not above 0", "give distances above 0")
    px, py, pz = (np.atleast_1d(np.asarray(v, float)) for v in (x, y, z))
    a = np.atleast_1d(np.asarray(bearing, float))
    east, north = r * np.sin(a)[:, None], r * np.cos(a)[:, None]  # (m, k)
    best = np.full((len(px), len(a)), -np.inf)
    block = max(1, 60_000 // max(east.size, 1))  # small enough to stay in cache
    for start in range(0, len(px), block):
        some = slice(start, start + block)
        there = surface.at(px[some, None, None] + east, py[some, None, None] + north)[0]
        rise = (np.asarray(there, float) - pz[some, None, None]) / r
        best[some] = np.fmax.reduce(rise, axis=2, initial=-np.inf)
    return np.asarray(np.where(np.isfinite(best), np.arctan(best), BELOW))


@method(
    title="Far horizon between measured directions",
    equation="linear in the compass bearing, round the circle",
    source="common practice, no source",
)
def far_horizon(measured_bearing: ArrayLike, measured: ArrayLike, bearing: ArrayLike) -> Array:
    """Give the far horizon in each direction from what was measured in some.

    Parameters
    ----------
    measured_bearing, measured : (k,) array
        Compass bearings, in any order, and the horizon there. [rad], [rad]
    bearing : (m,) array
        Directions wanted. [rad]

    Returns
    -------
    (m,) array
        Elevation angle. [rad]

    Raises
    ------
    OutOfRange
        No measure, or two at one bearing.
    """
    at = np.atleast_1d(np.asarray(measured_bearing, float)) % (2 * np.pi)
    high = np.atleast_1d(np.asarray(measured, float))
    if not len(at) or len(at) != len(high):
        raise OutOfRange("measured", "no horizon, or not one for each bearing", "give pairs")
    if len(np.unique(np.round(at, 9))) < len(at):
        raise OutOfRange("measured_bearing", "two at one bearing", "keep one of them")
    order = np.argsort(at)
    wanted = np.asarray(bearing, float)
    return np.asarray(np.interp(wanted, at[order], high[order], period=2 * np.pi))
