"""Where the sun stands: the solar position algorithm, as the open solar library works it out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import given as guard

_SPA = (
    "Reda and Andreas 2004 (revised 2008), Solar Position Algorithm for Solar Radiation "
    "Applications, NREL/TP-560-34302"
)


REFRACTION = 0.5667 * np.pi / 180  # of the air at sunrise and sunset, as the source takes it [rad]


class Position(NamedTuple):
    """The sun at one moment, with the steps that the source prints."""

    julian_day: Array
    heliocentric_longitude: Array
    heliocentric_latitude: Array
    distance: Array
    obliquity: Array
    right_ascension: Array
    declination: Array
    hour_angle: Array
    zenith: Array
    zenith_true: Array
    elevation: Array
    azimuth: Array


class RiseSet(NamedTuple):
    """The sun's day."""

    sunrise: Array
    sunset: Array
    transit: Array


def moment(name: str, text: str) -> datetime:
    """Read a moment with its offset from UTC, as in "2003-10-17T12:30:30-07:00"."""
    right = 'write date, time and offset, as in "2003-10-17T12:30:30-07:00"'
    try:
        at = datetime.fromisoformat(str(text).strip())
    except ValueError:
        raise OutOfRange(name, f'"{text}" is not a moment', right) from None
    if at.tzinfo is None:
        raise OutOfRange(name, f'"{text}" has no offset from UTC', right)
    return at


@method(
    title="Position of the sun",
    equation="steps 3.1 to 3.13 of the solar position algorithm",
    source=_SPA,
)
def sun_position(
    time: str,
    latitude: ArrayLike,
    longitude: ArrayLike,
    altitude: ArrayLike = 0.0,
    pressure: ArrayLike = 101325.0,
    temperature: ArrayLike = 12.0,
    delta_t: ArrayLike = 67.0,
    refraction: ArrayLike = REFRACTION,
) -> Position:
    """Give where the sun stands at one moment.

    Parameters
    ----------
    time : str
        Date, time and offset from UTC, as in "2003-10-17T12:30:30-07:00". [text]
    latitude, longitude : (...) array
        North and east positive. [rad], [rad]
    altitude : (...) array
        Above the sea. [m]
    pressure : (...) array
        Mean of the air. [Pa]
    temperature : (...) array
        Mean of the air. [degC]
    delta_t : (...) array
        Of the earth's clock behind terrestrial time. [s]
    refraction : (...) array
        Of the air at sunrise and sunset. [rad]

    Returns
    -------
    julian_day : (...) array
        Julian day. [-]
    heliocentric_longitude, heliocentric_latitude : (...) array
        L and B of the earth. [rad]
    distance : (...) array
        R, in astronomical units. [-]
    obliquity, right_ascension, declination : (...) array
        True obliquity, and geocentric right ascension and declination of the sun. [rad]
    hour_angle : (...) array
        Topocentric. [rad]
    zenith, zenith_true : (...) array
        With and without refraction. [rad]
    elevation : (...) array
        Without refraction. [rad]
    azimuth : (...) array
        Clockwise from north. [rad]

    Raises
    ------
    OutOfRange
        No moment, or no place.

    Notes
    -----
    Good to 0.0003 deg from 2000 BC to AD 6000.
    """
    from pvlib import spa

    at = moment("time", time)
    f = np.degrees(guard.latitude(latitude))
    east = np.degrees(given.within("longitude", longitude, -np.pi, np.pi))
    t = guard.temperature("temperature", temperature)
    mbar = given.above_zero("pressure", pressure) / 100
    z, late = guard.altitude(altitude), given.number("delta_t", delta_t)
    unix = np.array([at.timestamp()])
    jd = spa.julian_day(unix)
    jde = spa.julian_ephemeris_day(jd, late)
    jc, jce = spa.julian_century(jd), spa.julian_ephemeris_century(jde)
    jme = spa.julian_ephemeris_millennium(jce)
    r = spa.heliocentric_radius_vector(jme)
    lon, lat = spa.heliocentric_longitude(jme), spa.heliocentric_latitude(jme)
    theta, beta = spa.geocentric_longitude(lon), spa.geocentric_latitude(lat)
    x = _moon(spa, jce)
    both = np.empty((2, len(jce)))  # in longitude and in obliquity
    spa.longitude_obliquity_nutation(jce, *x, out=both)
    eps = spa.true_ecliptic_obliquity(spa.mean_ecliptic_obliquity(jme), both[1])
    lam = spa.apparent_sun_longitude(theta, both[0], spa.aberration_correction(r))
    nu = spa.apparent_sidereal_time(spa.mean_sidereal_time(jd, jc), both[0], eps)
    alpha = spa.geocentric_sun_right_ascension(lam, eps, beta)
    delta = spa.geocentric_sun_declination(lam, eps, beta)
    hour = spa.local_hour_angle(nu, east, alpha)
    xi, u = spa.equatorial_horizontal_parallax(r), spa.uterm(f)
    x_term, y_term = spa.xterm(u, f, z), spa.yterm(u, f, z)
    shift = spa.parallax_sun_right_ascension(x_term, xi, hour, delta)
    delta2 = spa.topocentric_sun_declination(delta, x_term, y_term, xi, shift, hour)
    hour2 = spa.topocentric_local_hour_angle(hour, shift)
    e0 = spa.topocentric_elevation_angle_without_atmosphere(f, delta2, hour2)
    bent = np.degrees(given.number("refraction", refraction))
    e = e0 + spa.atmospheric_refraction_correction(mbar, t, e0, bent)
    azimuth = spa.topocentric_azimuth_angle(spa.topocentric_astronomers_azimuth(hour2, delta2, f))
    rad = [np.radians(v)[..., 0] if np.ndim(v) else np.radians(v)
           for v in (lon, lat, eps, alpha, delta, hour2, 90 - e, 90 - e0, e0, azimuth)]  # fmt: skip
    rad[1] = (rad[1] + np.pi) % (2 * np.pi) - np.pi
    return Position(np.asarray(jd[0]), rad[0], rad[1], np.asarray(r[0]), *rad[2:])


def _moon(spa: Any, jce: Array) -> list[Any]:
    return [
        spa.mean_elongation(jce),
        spa.mean_anomaly_sun(jce),
        spa.mean_anomaly_moon(jce),
        spa.moon_argument_latitude(jce),
        spa.moon_ascending_longitude(jce),
    ]


@method(
    title="Sunrise, sunset and solar noon",
    equation="appendix A.2 of the solar position algorithm",
    source=_SPA,
)
def sun_rise_and_set(date: str, offset: float, latitude: float, longitude: float) -> RiseSet:
    """Give when the sun rises, sets and stands highest on a date, by the clock of its zone.

    Parameters
    ----------
    date : str
        As in "2015-01-02". [text]
    offset : float
        Of the clock from UTC: -7 h for US Mountain standard time. [s]
    latitude, longitude : float
        North and east positive. [rad], [rad]

    Returns
    -------
    sunrise, sunset, transit : array
        Time of day; not a number where the sun does not rise or set. [s]

    Raises
    ------
    OutOfRange
        No date, or no place.
    """
    import pandas as pd
    from pvlib.solarposition import sun_rise_set_transit_spa

    try:
        day = datetime.fromisoformat(str(date).strip()).replace(tzinfo=UTC)
    except ValueError:
        raise OutOfRange("date", f'"{date}" is not a date', 'write "2015-01-02"') from None
    f = float(np.degrees(guard.latitude(latitude)))
    east = float(np.degrees(given.within("longitude", longitude, -np.pi, np.pi)))
    ahead = float(given.within("offset", offset, -14 * 3600, 14 * 3600, 'give it as "-7 h"'))
    midnight = day - timedelta(seconds=ahead)
    zone = pd.DatetimeIndex([midnight]).tz_convert(f"{_sign(ahead)}")
    found = sun_rise_set_transit_spa(zone, f, east, delta_t=67.0)
    seconds = [
        (found[k].iloc[0] - pd.Timestamp(midnight)).total_seconds()
        for k in ("sunrise", "sunset", "transit")
    ]
    return RiseSet(*(np.asarray(s) for s in seconds))


def _sign(ahead: float) -> str:
    minutes = round(abs(ahead) / 60)
    return f"{'-' if ahead < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"
