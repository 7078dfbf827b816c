"""Sun above the air: radiation and daylight of a day or an hour, on level ground and on a slope."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.planting import daylight
from hillwright.watering import given as guard
from hillwright.watering.air import FAO56

SOLAR = 0.0820e6 / 60  # solar constant of FAO-56 and ASCE: 0.0820 MJ/m2/min [W/m2]


class DaySky(NamedTuple):
    """The sun over level ground on one day."""

    distance: Array
    declination: Array
    sunset: Array
    radiation: Array
    daylight: Array


class HourSky(NamedTuple):
    """The sun over level ground in one hour or less."""

    radiation: Array
    hour_angle: Array
    elevation: Array


class SlopeSun(NamedTuple):
    """The sun on a plane through one day."""

    radiation: Array
    hours: Array


class Incidence(NamedTuple):
    """How the sun meets a plane."""

    cosine: Array
    angle: Array


def distance_and_declination(day: ArrayLike) -> tuple[Array, Array]:
    """Give the inverse relative distance [-] and declination [rad] of the sun on a day."""
    days = guard.day_of_year(day)
    return daylight.sun_distance(days), daylight.declination(days)


def sunset_angle(latitude: Array, declination: Array) -> Array:
    """Give the hour angle of sunset: 0 where the sun stays down, pi where it stays up [rad]."""
    return daylight.sunset_angle(latitude, declination)


@method(
    title="Radiation above the air and daylight of a day",
    equation="Ra = (Gsc/pi) dr [ws sin(f) sin(d) + cos(f) cos(d) sin(ws)]; "
    "dr = 1 + 0.033 cos(2 pi J/365); d = 0.409 sin(2 pi J/365 - 1.39); "
    "ws = arccos[-tan(f) tan(d)]; N = 24 ws/pi h",
    source=FAO56 + ", equations 21 to 25 and 34",
)
def sky_day(latitude: ArrayLike, day: ArrayLike, solar_constant: ArrayLike = SOLAR) -> DaySky:
    """Give the sun of one day above level ground.

    Parameters
    ----------
    latitude : (...) array
        North positive. [rad]
    day : (...) array
        Day of the year, 1 January = 1. [-]
    solar_constant : (...) array
        0.0820 MJ/m2/min in FAO-56 and ASCE. [W/m2]

    Returns
    -------
    distance : (...) array
        Inverse relative distance of the sun, dr. [-]
    declination : (...) array
        Of the sun. [rad]
    sunset : (...) array
        Hour angle of sunset. [rad]
    radiation : (...) array
        Ra, mean over 24 hours. [W/m2]
    daylight : (...) array
        Longest possible sunshine, N. [s]

    Raises
    ------
    OutOfRange
        A latitude beyond a pole, or no day of the year.
    """
    f = guard.latitude(latitude)
    dr, d = distance_and_declination(day)
    ws = sunset_angle(f, d)
    sun = ws * np.sin(f) * np.sin(d) + np.cos(f) * np.cos(d) * np.sin(ws)
    ra = np.asarray(solar_constant) / np.pi * dr * sun
    return DaySky(dr, d, ws, np.maximum(ra, 0), np.asarray(ws / np.pi * guard.DAY))


@method(
    title="Radiation above the air in an hour or less",
    equation="Ra = (12/pi) Gsc dr [(w2 - w1) sin(f) sin(d) + cos(f) cos(d) (sin w2 - sin w1)]; "
    "w = (pi/12)[t + (Lm - Lz)/15 + Sc - 12], Lm and Lz east; "
    "Sc = 0.1645 sin 2b - 0.1255 cos b - 0.025 sin b; b = 2 pi (J - 81)/364",
    source=FAO56 + ", equations 28 to 33",
)
def sky_hour(
    latitude: ArrayLike,
    longitude: ArrayLike,
    zone: ArrayLike,
    day: ArrayLike,
    time: ArrayLike,
    period: ArrayLike = 3600.0,
) -> HourSky:
    """Give the sun of one period above level ground.

    Parameters
    ----------
    latitude, longitude : (...) array
        North and east positive. [rad], [rad]
    zone : (...) array
        Longitude in the middle of the time zone, east positive: -75 deg for US Eastern. [rad]
    day : (...) array
        Day of the year, 1 January = 1. [-]
    time : (...) array
        Standard clock time in the middle of the period: 14.5 h between 14:00 and 15:00. [s]
    period : (...) array
        Its length. [s]

    Returns
    -------
    radiation : (...) array
        Ra, mean over the period. [W/m2]
    hour_angle : (...) array
        Of the sun in the middle of the period, 0 at noon, afternoon positive. [rad]
    elevation : (...) array
        Of the sun in the middle of the period, above the level horizon. [rad]

    Raises
    ------
    OutOfRange
        A place, day or time that is none.
    """
    f = guard.latitude(latitude)
    dr, d = distance_and_declination(day)
    b = 2 * np.pi * (guard.day_of_year(day) - 81) / 364
    sc = 0.1645 * np.sin(2 * b) - 0.1255 * np.cos(b) - 0.025 * np.sin(b)
    hours = given.within("time", time, 0, guard.DAY, "give standard clock time") / 3600
    east = given.within("longitude", longitude, -np.pi, np.pi) - given.number("zone", zone)
    w = np.pi / 12 * (hours + 12 / np.pi * east + sc - 12)
    w = (w + np.pi) % (2 * np.pi) - np.pi
    half = np.pi * given.within("period", period, 1, guard.DAY) / guard.DAY
    ws = sunset_angle(f, d)
    # what lies before sunrise or after sunset brings nothing; round midnight too
    total = np.zeros(np.broadcast(w, f, d).shape)
    for turn in (-2 * np.pi, 0.0, 2 * np.pi):
        w1, w2 = (np.clip(w + turn + s * half, -ws, ws) for s in (-1, 1))
        sun = (w2 - w1) * np.sin(f) * np.sin(d) + np.cos(f) * np.cos(d) * (np.sin(w2) - np.sin(w1))
        total = total + sun
    up = np.sin(f) * np.sin(d) + np.cos(f) * np.cos(d) * np.cos(w)
    ra = SOLAR * dr * total / (2 * half)
    return HourSky(np.maximum(ra, 0), np.asarray(w), np.arcsin(np.clip(up, -1, 1)))


def _plane(f: Array, d: Array, slope: Array, aspect: Array) -> tuple[Array, Array, Array]:
    """Give A, B, C of cos(incidence) = A + B cos(w) + C sin(w)."""
    cos_b, sin_b = np.cos(slope), np.sin(slope)
    south, west = -np.cos(aspect), -np.sin(aspect)  # of a compass bearing
    a = np.sin(d) * (np.sin(f) * cos_b - np.cos(f) * sin_b * south)
    b = np.cos(d) * (np.cos(f) * cos_b + np.sin(f) * sin_b * south)
    c = np.cos(d) * sin_b * west
    return a, b, c


def _planes(slope: ArrayLike, aspect: ArrayLike) -> tuple[Array, Array]:
    b = given.number("slope", slope)
    if (bad := (b < 0) | (b > np.pi / 2 + 1e-9)).any():
        what, right = "is no slope of the ground", "give 0 deg (level) to 90 deg (upright)"
        raise OutOfRange(given.where("slope", bad), what, right)
    right = "give a compass bearing, 0 deg to 360 deg clockwise from north"
    return b, given.within("aspect", aspect, -2 * np.pi, 2 * np.pi, right)


@method(
    title="Angle at which the sun meets a slope",
    equation="cos(i) = sin d sin f cos b - sin d cos f sin b cos g + cos d cos f cos b cos w + "
    "cos d sin f sin b cos g cos w + cos d sin b sin g sin w; g from south, west positive",
    source="Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.6.2 "
    "(from memory)",
)
def incidence(
    latitude: ArrayLike,
    declination: ArrayLike,
    hour_angle: ArrayLike,
    slope: ArrayLike,
    aspect: ArrayLike,
) -> Incidence:
    """Give the angle between the sun and the perpendicular of a plane.

    Parameters
    ----------
    latitude, declination : (...) array
        North positive. [rad], [rad]
    hour_angle : (...) array
        0 at solar noon, 15 deg an hour, afternoon positive. [rad]
    slope : (...) array
        Of the plane from level. [rad]
    aspect : (...) array
        Compass bearing that the plane faces: south is 180 deg. [rad]

    Returns
    -------
    cosine : (...) array
        Negative where the sun is behind the plane. [-]
    angle : (...) array
        Angle of incidence. [rad]

    Raises
    ------
    OutOfRange
        A latitude beyond a pole, or no slope.
    """
    b, g = _planes(slope, aspect)
    d = given.within("declination", declination, -0.42, 0.42, "give -24 deg to 24 deg")
    a0, b0, c0 = _plane(guard.latitude(latitude), d, b, g)
    w = given.number("hour_angle", hour_angle)
    cosine = np.asarray(a0 + b0 * np.cos(w) + c0 * np.sin(w))
    return Incidence(cosine, np.arccos(np.clip(cosine, -1, 1)))


@method(
    title="Radiation above the air, and hours of direct sun, on a slope",
    equation="Ra = (Gsc dr / 2 pi) integral of max(cos i, 0) dw over -ws to ws; "
    "cos i = A + B cos w + C sin w, between its roots in closed form",
    source="exact geometry; distance, declination and sunset by " + FAO56 + ", equations 23 to 25",
)
def sun_on_slope(
    latitude: ArrayLike, day: ArrayLike, slope: ArrayLike, aspect: ArrayLike
) -> SlopeSun:
    """Give the sun of one day on a plane, without air and with a level, clear horizon.

    Parameters
    ----------
    latitude : (...) array
        North positive. [rad]
    day : (...) array
        Day of the year, 1 January = 1. [-]
    slope : (...) array
        Of the plane from level. [rad]
    aspect : (...) array
        Compass bearing that the plane faces: south is 180 deg. [rad]

    Returns
    -------
    radiation : (...) array
        Mean over 24 hours, on an area of the slope itself. [W/m2]
    hours : (...) array
        Sun above the level horizon and before the plane. [s]

    Raises
    ------
    OutOfRange
        A latitude beyond a pole, no day, or no slope.

    Notes
    -----
    No refraction, a point sun, no ground in front. Divide by cos(slope) before it is mixed with
    depths of rain or of water, which are counted on the map.
    """
    f = guard.latitude(latitude)
    dr, d = distance_and_declination(day)
    b, g = _planes(slope, aspect)
    a0, b0, c0 = _plane(f, d, b, g)
    ws = sunset_angle(f, d)
    r, middle = np.hypot(b0, c0), np.arctan2(c0, b0)
    half = np.arccos(np.clip(-a0 / np.where(r > 0, r, 1e-300), -1, 1))
    total = np.zeros(np.broadcast(a0, r, ws).shape)
    lit = np.zeros_like(total)
    for turn in (-2 * np.pi, 0.0, 2 * np.pi):
        w1 = np.clip(middle - half + turn, -ws, ws)
        w2 = np.clip(middle + half + turn, -ws, ws)
        got = a0 * (w2 - w1) + b0 * (np.sin(w2) - np.sin(w1)) - c0 * (np.cos(w2) - np.cos(w1))
        total, lit = total + got, lit + (w2 - w1)
    ra = SOLAR * dr * np.maximum(total, 0) / (2 * np.pi)
    return SlopeSun(ra, lit / (2 * np.pi) * guard.DAY)


@method(
    title="Angle at which the sun meets a slope, from the sun's own place",
    equation="cos(i) = cos(z) cos(b) + sin(z) sin(b) cos(A - a)",
    source="Reda and Andreas 2004 (revised 2008), NREL/TP-560-34302, equation 47",
)
def plane_incidence(
    zenith: ArrayLike, azimuth: ArrayLike, slope: ArrayLike, aspect: ArrayLike
) -> Incidence:
    """Give the angle between the sun and the perpendicular of a plane.

    Parameters
    ----------
    zenith : (...) array
        Of the sun, from straight up. [rad]
    azimuth : (...) array
        Of the sun, clockwise from north. [rad]
    slope : (...) array
        Of the plane from level. [rad]
    aspect : (...) array
        Compass bearing that the plane faces. [rad]

    Returns
    -------
    cosine : (...) array
        Negative where the sun is behind the plane. [-]
    angle : (...) array
        Angle of incidence. [rad]

    Raises
    ------
    OutOfRange
        No zenith angle, or no slope.
    """
    z = given.within("zenith", zenith, 0, np.pi, "give 0 deg (overhead) to 180 deg")
    b, a = _planes(slope, aspect)
    turned = given.number("azimuth", azimuth) - a
    cosine = np.cos(z) * np.cos(b) + np.sin(z) * np.sin(b) * np.cos(turned)
    return Incidence(np.asarray(cosine), np.arccos(np.clip(cosine, -1, 1)))
