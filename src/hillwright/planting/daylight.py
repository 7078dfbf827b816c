"""The day's sun by its declination: day length, sunset, and what reaches the top of the air."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.planting import given

FAO56 = "Allen, Pereira, Raes, Smith 1998, FAO Irrigation and Drainage Paper 56"
DAY = 86400.0  # [s]
# FAO-56's solar constant, 0.0820 MJ/m2/min
SOLAR_CONSTANT = 0.0820e6 / 60  # [W/m2]


@method(
    title="Inverse relative distance of the earth from the sun",
    equation="dr = 1 + 0.033 cos(2 pi J / 365)",
    source=f"{FAO56}, Eq. 23",
)
def sun_distance(day: ArrayLike) -> Array:
    """Give how much stronger the sun is than on average, by the day of the year.

    Parameters
    ----------
    day : (...) array
        Day of the year, 1 to 366. [-]

    Returns
    -------
    (...) array
        Inverse relative distance, squared. [-]
    """
    return np.asarray(1 + 0.033 * np.cos(2 * np.pi * given.day(day) / 365))


@method(
    title="Declination of the sun",
    equation="d = 0.409 sin(2 pi J / 365 - 1.39)",
    source=f"{FAO56}, Eq. 24",
)
def declination(day: ArrayLike) -> Array:
    """Give the sun's declination by the day of the year, north is positive.

    Parameters
    ----------
    day : (...) array
        Day of the year, 1 to 366. [-]

    Returns
    -------
    (...) array
        Declination. [rad]

    Notes
    -----
    Within 0.6 degrees of the true one; sun hours here use the ephemeris instead.
    """
    return np.asarray(0.409 * np.sin(2 * np.pi * given.day(day) / 365 - 1.39))


@method(
    title="Hour angle of sunset on level ground",
    equation="ws = arccos(-tan(phi) tan(d))",
    source=f"{FAO56}, Eq. 25",
)
def sunset_angle(latitude: ArrayLike, declination: ArrayLike) -> Array:
    """Give the hour angle at which the sun sets: 0 in polar night, pi in polar day.

    Parameters
    ----------
    latitude : (...) array
        North is positive. [rad]
    declination : (...) array
        Of the sun, north is positive. [rad]

    Returns
    -------
    (...) array
        Hour angle, from noon to sunset. [rad]
    """
    x = -np.tan(given.latitude(latitude)) * np.tan(given.declination(declination))
    return np.asarray(np.arccos(np.clip(x, -1.0, 1.0)))


class Day(NamedTuple):
    """The sun of one day over level ground."""

    distance: Array
    declination: Array
    sunset_angle: Array
    radiation: Array
    daylight: Array


@method(
    title="Daily extraterrestrial radiation and day length",
    equation="Ra = (24 60 / pi) Gsc dr [ws sin(phi) sin(d) + cos(phi) cos(d) sin(ws)]; "
    "N = 24 ws / pi",
    source=f"{FAO56}, Eq. 21 to 25 and 34",
)
def extraterrestrial_day(latitude: ArrayLike, day: ArrayLike) -> Day:
    """Give the radiation on level ground above the air, and how long the sun is up.

    Parameters
    ----------
    latitude : (...) array
        North is positive. [rad]
    day : (...) array
        Day of the year, 1 to 366. [-]

    Returns
    -------
    distance : (...) array
        Inverse relative distance of the earth from the sun, squared. [-]
    declination : (...) array
        Of the sun, north is positive. [rad]
    sunset_angle : (...) array
        Hour angle of sunset. [rad]
    radiation : (...) array
        In a day. [J/m2]
    daylight : (...) array
        From sunrise to sunset, without refraction. [s]
    """
    phi, d, dr = given.latitude(latitude), declination(day), sun_distance(day)
    ws = sunset_angle(phi, d)
    inside = ws * np.sin(phi) * np.sin(d) + np.cos(phi) * np.cos(d) * np.sin(ws)
    radiation = np.maximum(DAY / np.pi * SOLAR_CONSTANT * dr * inside, 0.0)
    full = np.broadcast_arrays(dr, d, ws, radiation, DAY * ws / np.pi)
    return Day(*(np.asarray(each) for each in full))
