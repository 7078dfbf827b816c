"""Time of concentration: how long water takes from the farthest place to the outlet."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import FOOT, INCH

HOUR = 3600.0
_NEH15 = "USDA NRCS 2010, NEH Part 630 ch. 15"
_TR55 = "USDA SCS 1986, TR-55 2nd ed."
_NONE: Array = np.empty(0)
UNPAVED = 16.1345 * FOOT  # of shallow flow, TR-55 appendix F [m/s]
PAVED = 20.3282 * FOOT


class TravelTimes(NamedTuple):
    """Sheet flow, shallow flow and channels, one behind the other."""

    sheet_time: Array
    shallow_velocity: Array
    shallow_time: Array
    hydraulic_radius: Array
    channel_velocity: Array
    channel_time: Array
    time: Array


@method(
    title="Travel time of sheet flow",
    equation="Tt = 0.007 (n L)^0.8 / (P2^0.5 s^0.4) h; L in ft, P2 in in",
    source=_TR55 + ", equation 3-3",
    symbols={"Tt": "time", "n": "roughness", "L": "length", "P2": "rain", "s": "gradient"},
)
def sheet_time(
    roughness: ArrayLike, length: ArrayLike, gradient: ArrayLike, rain: ArrayLike
) -> Array:
    """Give the time that water takes as a thin sheet.

    Parameters
    ----------
    roughness : (...) array
        Manning's n of sheet flow. [-]
    length : (...) array
        Length of the sheet, along the ground plan. [m]
    gradient : (...) array
        Fall over run. [-]
    rain : (...) array
        2-year, 24-hour rain. [m]

    Returns
    -------
    (...) array
        Travel time; 0 for no length. [s]

    Raises
    ------
    OutOfRange
        Roughness, gradient or rain of 0 or below, a negative length, or a gradient over 2.

    Notes
    -----
    TR-55 took sheets up to 300 ft; NRCS since 2010 up to 100 ft, and no more than the limit of
    sheet flow.
    """
    n = given.above_zero("roughness", roughness)
    feet = given.at_least_zero("length", length) / FOOT
    s = guard.gradient(gradient)
    inches = given.above_zero("rain", guard.rain_depth(rain)) / INCH
    return np.asarray(0.007 * (n * feet) ** 0.8 / (inches**0.5 * s**0.4) * HOUR)


@method(
    title="Limit of sheet flow",
    equation="L = 100 sqrt(S) / n, in ft",
    source=_NEH15 + ", McCuen and Spiess, Table 15-2",
)
def sheet_limit(roughness: ArrayLike, gradient: ArrayLike) -> Array:
    """Give the length after which water no longer runs as a sheet.

    Parameters
    ----------
    roughness : (...) array
        Manning's n of sheet flow. [-]
    gradient : (...) array
        Fall over run. [-]

    Returns
    -------
    (...) array
        Longest sheet; NRCS takes no more than 100 ft whatever comes out. [m]

    Raises
    ------
    OutOfRange
        Roughness or gradient of 0 or below, or a gradient over 2.
    """
    n = given.above_zero("roughness", roughness)
    return np.asarray(100 * np.sqrt(guard.gradient(gradient)) / n * FOOT)


@method(
    title="Velocity of shallow concentrated flow",
    equation="V = k sqrt(S)",
    source=_NEH15 + ", Table 15-3; FHWA 2002, HDS-2, Table 2.2 (V = 10 k' sqrt(S) m/s)",
)
def shallow_velocity(gradient: ArrayLike, coefficient: ArrayLike = UNPAVED) -> Array:
    """Give the velocity of water that has gathered into rills and swales.

    Parameters
    ----------
    gradient : (...) array
        Fall over run. [-]
    coefficient : (...) array
        Velocity at a gradient of 1; 16.1345 ft/s unpaved, 20.3282 ft/s paved. [m/s]

    Returns
    -------
    (...) array
        Velocity. [m/s]

    Raises
    ------
    OutOfRange
        Gradient or coefficient of 0 or below, or a gradient over 2.

    Notes
    -----
    The curves behind it end at a gradient of 0.5 to 1.0.
    """
    k = given.above_zero("coefficient", coefficient)
    return np.asarray(k * np.sqrt(guard.gradient(gradient)))


@method(
    title="Velocity in a channel or pipe by Manning",
    equation="V = R^(2/3) S^(1/2) / n, R = A / P",
    source=_TR55 + ", equation 3-4",
)
def channel_velocity(roughness: ArrayLike, radius: ArrayLike, gradient: ArrayLike) -> Array:
    """Give the velocity of water in a channel.

    Parameters
    ----------
    roughness : (...) array
        Manning's n. [-]
    radius : (...) array
        Hydraulic radius: area over wetted perimeter. [m]
    gradient : (...) array
        Fall over run. [-]

    Returns
    -------
    (...) array
        Mean velocity. [m/s]

    Raises
    ------
    OutOfRange
        Roughness, radius or gradient of 0 or below, or a gradient over 2.
    """
    n = given.above_zero("roughness", roughness)
    r = given.above_zero("radius", radius)
    return np.asarray(r ** (2 / 3) * np.sqrt(guard.gradient(gradient)) / n)


@method(
    title="Time of concentration by travel times",
    equation="Tc = sum of Tt over sheet, shallow and channel flow; Tt = L / V after the sheet",
    source=_TR55 + ", worksheet 3; FHWA 2024, HEC-22 4th ed., ch. 4",
)
def travel_times(
    rain: float = 0.0,
    sheet_roughness: Array = _NONE,
    sheet_length: Array = _NONE,
    sheet_gradient: Array = _NONE,
    shallow_coefficient: Array = _NONE,
    shallow_length: Array = _NONE,
    shallow_gradient: Array = _NONE,
    channel_roughness: Array = _NONE,
    channel_area: Array = _NONE,
    channel_perimeter: Array = _NONE,
    channel_length: Array = _NONE,
    channel_gradient: Array = _NONE,
) -> TravelTimes:
    """Sum the travel times down one flow path, each part of it in any number of pieces.

    Parameters
    ----------
    rain : float
        2-year, 24-hour rain; only sheet flow needs it. [m]
    sheet_roughness : (a,) array
        Manning's n of sheet flow. [-]
    sheet_length : (a,) array
        Length. [m]
    sheet_gradient : (a,) array
        Fall over run. [-]
    shallow_coefficient : (b,) array
        Velocity at a gradient of 1; unpaved 16.1345 ft/s, paved 20.3282 ft/s. [m/s]
    shallow_length : (b,) array
        Length. [m]
    shallow_gradient : (b,) array
        Fall over run. [-]
    channel_roughness : (c,) array
        Manning's n. [-]
    channel_area : (c,) array
        Cross section of the water. [m2]
    channel_perimeter : (c,) array
        Its wetted perimeter. [m]
    channel_length : (c,) array
        Length. [m]
    channel_gradient : (c,) array
        Fall over run. [-]

    Returns
    -------
    sheet_time : (a,) array
        Travel time of each sheet. [s]
    shallow_velocity : (b,) array
        Velocity of each shallow piece. [m/s]
    shallow_time : (b,) array
        Its travel time. [s]
    hydraulic_radius : (c,) array
        Of each channel. [m]
    channel_velocity : (c,) array
        Velocity of each channel. [m/s]
    channel_time : (c,) array
        Its travel time. [s]
    time : float
        Time of concentration. [s]

    Raises
    ------
    OutOfRange
        No flow path at all, pieces that do not match in number, or any piece out of range.

    Notes
    -----
    TR-55 uses no less than 0.1 h: a small hillside is always below it, and the figure here is the
    sum as it is.
    """
    for kind, members in (
        ("sheet", (sheet_roughness, sheet_length, sheet_gradient)),
        ("shallow", (shallow_coefficient, shallow_length, shallow_gradient)),
        (
            "channel",
            (channel_roughness, channel_area, channel_perimeter, channel_length, channel_gradient),
        ),
    ):
        if len({np.size(m) for m in members}) > 1:
            what = "its values do not match in number"
            raise OutOfRange(f"{kind} flow", what, "give each piece all of its values")
    if np.size(sheet_length) + np.size(shallow_length) + np.size(channel_length) == 0:
        raise OutOfRange("flow path", "has no piece", "give sheet, shallow or channel flow")
    sheet = (
        np.atleast_1d(sheet_time(sheet_roughness, sheet_length, sheet_gradient, rain))
        if np.size(sheet_length)
        else _NONE
    )
    v_shallow = np.atleast_1d(shallow_velocity(shallow_gradient, shallow_coefficient))
    t_shallow = given.at_least_zero("shallow_length", shallow_length) / v_shallow
    area = given.above_zero("channel_area", channel_area)
    radius = np.atleast_1d(area / given.above_zero("channel_perimeter", channel_perimeter))
    v_channel = np.atleast_1d(channel_velocity(channel_roughness, radius, channel_gradient))
    t_channel = given.at_least_zero("channel_length", channel_length) / v_channel
    whole = np.asarray(sheet.sum() + t_shallow.sum() + t_channel.sum())
    return TravelTimes(sheet, v_shallow, t_shallow, radius, v_channel, t_channel, whole)
