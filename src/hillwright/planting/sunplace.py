"""Where the sun stands: the published algorithm through pvlib, and a short one for many hours."""

from __future__ import annotations

import datetime
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.planting import given

_SPA = "Reda & Andreas 2004 (revised 2008), Solar Position Algorithm, NREL/TP-560-34302"
_PRESSURE, _TEMPERATURE = 101_325.0, 285.15  # of the air, for refraction [Pa], [K]
_REFRACTION = 0.00989  # at sunrise and sunset, 0.5667 deg [rad]
_J2000 = 2451545.0  # noon of 1 January 2000 as a Julian day
_EPOCH = 2440587.5  # start of 1 January 1970
ZERO_CELSIUS = 273.15


class Position(NamedTuple):
    """Where the sun stands in the sky."""

    zenith: Array
    elevation: Array
    azimuth: Array


class Terms(NamedTuple):
    """What the position is worked out from."""

    julian_day: float
    longitude: float
    latitude: float
    distance: float
    obliquity: float
    right_ascension: float
    declination: float


class Course(NamedTuple):
    """The ends and the middle of one day's sun."""

    sunrise: float
    sunset: float
    transit: float


def moment(time: str) -> datetime.datetime:
    """Read a time with its offset from UTC.

    Raises
    ------
    OutOfRange
        It cannot be read, or does not say its offset.
    """
    right = 'write it as in "2003-10-17T12:30:30-07:00"'
    try:
        found = datetime.datetime.fromisoformat(time)
    except ValueError:
        raise OutOfRange("time", f"{time!r} is not a date and time", right) from None
    if found.tzinfo is None:
        raise OutOfRange("time", f"{time!r} does not say its offset from UTC", right)
    return found


@method(
    title="Place of the sun in the sky",
    equation="topocentric zenith and azimuth from heliocentric longitude, latitude and distance",
    source=_SPA,
)
def sun_position(
    time: str,
    latitude: float,
    longitude: float,
    elevation: float = 0.0,
    pressure: float = _PRESSURE,
    temperature: float = _TEMPERATURE,
    delta_t: float = 67.0,
    refraction: float = _REFRACTION,
) -> Position:
    """Give where the sun stands, by the published algorithm (pvlib).

    Parameters
    ----------
    time : str
        Date and time with the offset from UTC, as "2003-10-17T12:30:30-07:00". [text]
    latitude, longitude : float
        North and east are positive. [rad]
    elevation : float
        Over the sea. [m]
    pressure, temperature : float
        Of the air, for refraction. [Pa], [K]
    delta_t : float
        Terrestrial time less UT1. [s]
    refraction : float
        At sunrise and sunset. [rad]

    Returns
    -------
    zenith : float
        As seen, with refraction. [rad]
    elevation : float
        Without refraction. [rad]
    azimuth : float
        Clockwise from north. [rad]

    Notes
    -----
    Years -2000 to 6000, within 0.0003 degrees by its authors.
    """
    from pvlib import spa

    unix = np.array([moment(time).timestamp()])
    lat, lon = (
        np.degrees(given.latitude(latitude)),
        np.degrees(given.number("longitude", longitude)),
    )
    found = spa.solar_position(
        unix,
        float(lat),
        float(lon),
        float(elevation),
        float(pressure) / 100,
        float(temperature) - ZERO_CELSIUS,
        float(delta_t),
        float(np.degrees(refraction)),
    )
    zenith, _, _, true, azimuth = (float(np.radians(each[0])) for each in found[:5])
    return Position(np.asarray(zenith), np.asarray(true), np.asarray(azimuth))


@method(
    title="Terms of the sun's position",
    equation="L, B and R of the earth by periodic terms; nutation; geocentric right ascension and "
    "declination",
    source=_SPA,
)
def sun_terms(time: str, delta_t: float = 67.0) -> Terms:
    """Give what the sun's position is worked out from (pvlib).

    Parameters
    ----------
    time : str
        Date and time with the offset from UTC. [text]
    delta_t : float
        Terrestrial time less UT1. [s]

    Returns
    -------
    julian_day : float
        Days since noon of 1 January -4712. [-]
    longitude, latitude : float
        Of the earth, seen from the sun: L and B. [rad]
    distance : float
        Of the earth from the sun, in astronomical units: R. [-]
    obliquity : float
        True obliquity of the ecliptic. [rad]
    right_ascension, declination : float
        Of the sun, seen from the middle of the earth. [rad]
    """
    from pvlib import spa

    jd = spa.julian_day(moment(time).timestamp())
    jme = spa.julian_ephemeris_millennium(
        spa.julian_ephemeris_century(spa.julian_ephemeris_day(jd, delta_t))
    )
    jce = jme * 10
    long, lat = spa.heliocentric_longitude(jme), spa.heliocentric_latitude(jme)
    distance = spa.heliocentric_radius_vector(jme)
    terms = [
        spa.mean_elongation(jce),
        spa.mean_anomaly_sun(jce),
        spa.mean_anomaly_moon(jce),
        spa.moon_argument_latitude(jce),
        spa.moon_ascending_longitude(jce),
    ]
    nutation = np.zeros((2, 1))
    spa.longitude_obliquity_nutation(
        *(np.atleast_1d(np.asarray(v, float)) for v in (jce, *terms)), nutation
    )
    turn, nod = nutation[0, 0], nutation[1, 0]
    tilt = spa.true_ecliptic_obliquity(spa.mean_ecliptic_obliquity(jme), nod)
    seen = spa.apparent_sun_longitude(
        spa.geocentric_longitude(long), turn, spa.aberration_correction(distance)
    )
    beta = spa.geocentric_latitude(lat)
    angles = (
        long,
        lat,
        tilt,
        spa.geocentric_sun_right_ascension(seen, tilt, beta),
        spa.geocentric_sun_declination(seen, tilt, beta),
    )
    el, be, ep, ra, de = (float(np.radians(a)) for a in angles)
    return Terms(float(jd), el, be, float(distance), ep, ra, de)


@method(
    title="Sunrise, sunset and solar noon",
    equation="roots of the sun's height against -0.8333 degrees",
    source=_SPA,
)
def sun_course(
    date: str, latitude: float, longitude: float, offset: float, delta_t: float = 67.0
) -> Course:
    """Give when the sun rises, sets and stands highest, by the published algorithm (pvlib).

    Parameters
    ----------
    date : str
        As "2015-01-02". [text]
    latitude, longitude : float
        North and east are positive. [rad]
    offset : float
        Of the local clock from UTC, west is negative. [s]
    delta_t : float
        Terrestrial time less UT1. [s]

    Returns
    -------
    sunrise, sunset, transit : float
        Since local midnight; not a number where the sun does not rise or set. [s]
    """
    from pvlib import spa

    try:
        day = datetime.date.fromisoformat(date)
    except ValueError:
        raise OutOfRange("date", f"{date!r} is not a date", 'write it as in "2015-01-02"') from None
    utc = datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC).timestamp()
    lat, lon = float(np.degrees(given.latitude(latitude))), float(np.degrees(longitude))
    midnight = utc - float(offset)
    # the algorithm answers for one day of UTC: take what falls between the two local midnights
    found = spa.transit_sunrise_sunset(
        np.array([utc - 86400, utc, utc + 86400]), lat, lon, delta_t, 1
    )

    def inside(times: Array) -> float:
        since = np.asarray(times, float) - midnight
        there = since[(since >= 0) & (since < 86400)]
        return float(there[0]) if len(there) else float("nan")

    transit, sunrise, sunset = (inside(each) for each in found[:3])
    return Course(sunrise, sunset, transit)


@method(
    title="Place of the sun in the sky, short form",
    equation="mean longitude and anomaly, equation of centre, obliquity; hour angle from sidereal "
    "time; refraction left out",
    source="The Astronomical Almanac's low-precision formulas for the sun (from memory)",
)
def sun_position_fast(unix_time: ArrayLike, latitude: ArrayLike, longitude: ArrayLike) -> Position:
    """Give where the sun stands at many moments at once.

    Parameters
    ----------
    unix_time : (...) array
        Seconds since the start of 1970, UTC. [s]
    latitude, longitude : (...) array
        North and east are positive. [rad]

    Returns
    -------
    zenith, elevation : (...) array
        Without refraction. [rad]
    azimuth : (...) array
        Clockwise from north. [rad]

    Notes
    -----
    1950 to 2050, within 0.02 degrees of the full algorithm.
    """
    t = given.number("unix_time", unix_time) / 86400 + _EPOCH - _J2000  # days from J2000
    phi, lon = given.latitude(latitude), given.number("longitude", longitude)
    ra, d = _equatorial(t)
    sidereal = np.radians(280.46061837 + 360.98564736629 * t) + lon
    return _horizontal(phi, d, sidereal - ra)


def _equatorial(t: Array) -> tuple[Array, Array]:
    """Right ascension and declination, t days from J2000 [rad]."""
    mean = np.radians(280.460 + 0.9856474 * t)
    g = np.radians(357.528 + 0.9856003 * t)
    long = mean + np.radians(1.915 * np.sin(g) + 0.020 * np.sin(2 * g))
    tilt = np.radians(23.439 - 4e-7 * t)
    ra = np.arctan2(np.cos(tilt) * np.sin(long), np.cos(long))
    return ra, np.arcsin(np.sin(tilt) * np.sin(long))


def _horizontal(phi: Array, d: Array, hour_angle: Array) -> Position:
    up = np.sin(phi) * np.sin(d) + np.cos(phi) * np.cos(d) * np.cos(hour_angle)
    north = np.cos(phi) * np.sin(d) - np.sin(phi) * np.cos(d) * np.cos(hour_angle)
    east = -np.cos(d) * np.sin(hour_angle)
    elevation = np.arcsin(np.clip(up, -1.0, 1.0))
    azimuth = np.arctan2(east, north) % (2 * np.pi)
    return Position(np.asarray(np.pi / 2 - elevation), np.asarray(elevation), np.asarray(azimuth))


class Paths(NamedTuple):
    """The sun through the year: t moments at which it is up."""

    month: Index  # (t,) 0 is January
    elevation: Array  # (t,) [rad]
    azimuth: Array  # (t,) clockwise from north [rad]
    distance: Array  # (t,) inverse relative distance, squared [-]
    step: float  # time that each moment stands for [s]
    days: Array  # (12,) days of each month that were looked at


_LENGTHS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def paths(latitude: float, every: int = 1, step: float = 1800.0) -> Paths:
    """Give the sun's places through a mean year, in solar time.

    Parameters
    ----------
    latitude : float
        North is positive [rad].
    every : int
        Look at every so manyth day.
    step : float
        Between two moments; each stands for the middle of its time [s].
    """
    phi = given.latitude(latitude)
    month = np.repeat(np.arange(12), _LENGTHS)
    first = (every - 1) // 2
    looked = np.arange(first, 365, every)
    count = round(86400 / step)
    hour = (np.arange(count) + 0.5) * step
    # 2025 stands for a mean year: half way between two leap days
    days = looked[:, None] + hour[None, :] / 86400 + 9131.5
    _, d = _equatorial(days)
    angle = 2 * np.pi * (hour / 86400 - 0.5)
    place = _horizontal(phi, d, np.broadcast_to(angle, d.shape))
    up = place.elevation > 0
    of_day = month[looked]
    strength = np.asarray(1 + 0.033 * np.cos(2 * np.pi * (looked + 1) / 365))
    return Paths(
        np.broadcast_to(of_day[:, None], up.shape)[up].astype(np.intp),
        place.elevation[up],
        place.azimuth[up],
        np.broadcast_to(strength[:, None], up.shape)[up],
        step,
        np.bincount(of_day, minlength=12).astype(float),
    )
