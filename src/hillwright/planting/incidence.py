"""The sun against a tilted, facing plane: angle, hours of the day in front of it, radiation."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.planting import given
from hillwright.planting.daylight import (
    DAY,
    FAO56,
    SOLAR_CONSTANT,
    declination,
    sun_distance,
    sunset_angle,
)

_BOOK = "Duffie & Beckman, Solar Engineering of Thermal Processes"


@method(
    title="Angle at which the sun meets a tilted plane, by the hour",
    equation="cos(th) = sin(d) sin(phi) cos(b) - sin(d) cos(phi) sin(b) cos(g) "
    "+ cos(d) cos(phi) cos(b) cos(w) + cos(d) sin(phi) sin(b) cos(g) cos(w) "
    "+ cos(d) sin(b) sin(g) sin(w), g from south, west is positive",
    source=f"{_BOOK}, Eq. 1.6.2 (from memory)",
)
def incidence_by_hour(
    latitude: ArrayLike,
    declination: ArrayLike,
    hour_angle: ArrayLike,
    slope: ArrayLike,
    aspect: ArrayLike,
) -> Array:
    """Give the angle between the sun and the line square to a plane.

    Parameters
    ----------
    latitude, declination : (...) array
        North is positive. [rad]
    hour_angle : (...) array
        Of the sun: 0 at noon, the afternoon is positive, 15 degrees an hour. [rad]
    slope : (...) array
        Tilt of the plane from level. [rad]
    aspect : (...) array
        Compass bearing that it faces, clockwise from north. [rad]

    Returns
    -------
    (...) array
        Above 90 degrees the sun is behind the plane. [rad]
    """
    a, b, c = _terms(latitude, declination, slope, aspect)
    w = given.number("hour_angle", hour_angle)
    return np.asarray(np.arccos(np.clip(a + b * np.cos(w) + c * np.sin(w), -1.0, 1.0)))


def _terms(
    latitude: ArrayLike, declination: ArrayLike, slope: ArrayLike, aspect: ArrayLike
) -> tuple[Array, Array, Array]:
    """Give a, b and c of cos(incidence) = a + b cos(w) + c sin(w)."""
    phi, d = given.latitude(latitude), given.declination(declination)
    b, g = given.slope(slope), given.number("aspect", aspect) - np.pi  # from south, west positive
    level = np.sin(d) * np.sin(phi) * np.cos(b) - np.sin(d) * np.cos(phi) * np.sin(b) * np.cos(g)
    noon = np.cos(d) * (np.cos(phi) * np.cos(b) + np.sin(phi) * np.sin(b) * np.cos(g))
    side = np.cos(d) * np.sin(b) * np.sin(g)
    return level, noon, side


@method(
    title="Angle at which the sun meets a tilted plane, by its place in the sky",
    equation="cos(th) = cos(z) cos(b) + sin(z) sin(b) cos(a - g)",
    source=f"{_BOOK}, Eq. 1.6.3 (from memory)",
)
def incidence_by_position(
    zenith: ArrayLike, azimuth: ArrayLike, slope: ArrayLike, aspect: ArrayLike
) -> Array:
    """Give the angle between the sun and the line square to a plane.

    Parameters
    ----------
    zenith, azimuth : (...) array
        Of the sun; the azimuth clockwise from north. [rad]
    slope, aspect : (...) array
        Tilt of the plane, and the compass bearing that it faces. [rad]

    Returns
    -------
    (...) array
        Above 90 degrees the sun is behind the plane. [rad]
    """
    z = given.within("zenith", zenith, 0.0, np.pi, "give 0 (overhead) to 180 deg")
    b, turn = given.slope(slope), given.number("azimuth", azimuth) - given.number("aspect", aspect)
    x = np.cos(z) * np.cos(b) + np.sin(z) * np.sin(b) * np.cos(turn)
    return np.asarray(np.arccos(np.clip(x, -1.0, 1.0)))


class SlopeDay(NamedTuple):
    """The sun of one day on a slope."""

    radiation: Array
    sunshine: Array


@method(
    title="Daily extraterrestrial radiation and hours of sun on a slope",
    equation="Ra = (86400 / 2 pi) Gsc dr integral of cos(th) over the hours in which the sun is up "
    "and before the plane",
    source=f"exact geometry; sun by {FAO56}, Eq. 23 to 25",
)
def slope_day(latitude: ArrayLike, day: ArrayLike, slope: ArrayLike, aspect: ArrayLike) -> SlopeDay:
    """Give the radiation above the air on a plane, and how long the sun shines on it in a day.

    Parameters
    ----------
    latitude : (...) array
        North is positive. [rad]
    day : (...) array
        Day of the year, 1 to 366. [-]
    slope, aspect : (...) array
        Tilt of the plane, and the compass bearing that it faces. [rad]

    Returns
    -------
    radiation : (...) array
        In a day, on the sloping area. [J/m2]
    sunshine : (...) array
        Sun up over level ground and before the plane; no obstacle, no refraction. [s]

    Notes
    -----
    In closed form: a steep plane may see the sun in the morning and again in the evening.
    """
    d = declination(day)
    a, b, c = _terms(latitude, d, slope, aspect)
    ws = sunset_angle(latitude, d)
    a, b, c, ws = np.broadcast_arrays(a, b, c, ws)
    r, middle = np.hypot(b, c), np.arctan2(c, b)
    with np.errstate(divide="ignore", invalid="ignore"):
        half = np.arccos(np.clip(np.where(r > 0, -a / r, -np.sign(a) * np.inf), -1.0, 1.0))
    total, length = np.zeros(a.shape), np.zeros(a.shape)
    # the hours before the plane are one arc round the clock; it may meet the day at both ends
    for turn in (-2 * np.pi, 0.0, 2 * np.pi):
        w1 = np.maximum(middle + turn - half, -ws)
        w2 = np.minimum(middle + turn + half, ws)
        there = w2 > w1
        part = a * (w2 - w1) + b * (np.sin(w2) - np.sin(w1)) - c * (np.cos(w2) - np.cos(w1))
        total = total + np.where(there, part, 0.0)
        length = length + np.where(there, w2 - w1, 0.0)
    turned = DAY / (2 * np.pi)
    strength = turned * SOLAR_CONSTANT * sun_distance(day)
    return SlopeDay(np.asarray(np.maximum(strength * total, 0.0)), np.asarray(turned * length))


@method(
    title="Irradiance on a tilted plane under an isotropic sky",
    equation="I = Ib cos(th) + Id (1 + cos(b)) / 2 + I_level rho (1 - cos(b)) / 2",
    source="Liu & Jordan 1963, as in Duffie & Beckman, Eq. 2.15.1 (from memory)",
)
def isotropic_irradiance(
    beam: ArrayLike,
    diffuse: ArrayLike,
    level: ArrayLike,
    incidence: ArrayLike,
    slope: ArrayLike,
    albedo: ArrayLike = 0.2,
) -> Array:
    """Give what reaches a tilted plane of the beam, the sky and the ground before it.

    Parameters
    ----------
    beam : (...) array
        Square to the sun's rays. [any]
    diffuse, level : (...) array
        Of the sky, and of sky and sun together, on level ground. [any]
    incidence : (...) array
        Between the sun and the line square to the plane. [rad]
    slope : (...) array
        Tilt of the plane. [rad]
    albedo : (...) array
        Share that the ground before the plane throws back. [-]

    Returns
    -------
    (...) array
        On the sloping area. [any]
    """
    b = given.slope(slope)
    facing = np.maximum(np.cos(given.number("incidence", incidence)), 0.0)
    rho = given.within("albedo", albedo, 0.0, 1.0, "give a share from 0 to 1")
    sky = given.at_least_zero("diffuse", diffuse) * (1 + np.cos(b)) / 2
    ground = given.at_least_zero("level", level) * rho * (1 - np.cos(b)) / 2
    return np.asarray(given.at_least_zero("beam", beam) * facing + sky + ground)
