"""Sunlight on a cell's own slope, and reference evapotranspiration by it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.watering.skyday import plane_incidence, sky_day, sun_on_slope

GROUND_ALBEDO = 0.2


class SlopeLight(NamedTuple):
    """Sunlight of a day on a slope."""

    diffuse_share: Array
    per_slope: Array
    ratio: Array


@method(
    title="Share of sky light in a day's sunlight",
    equation="ws <= 81.4 deg: Kt < 0.715: 1 - 0.2727 Kt + 2.4495 Kt^2 - 11.9514 Kt^3 + "
    "9.3879 Kt^4, else 0.143; ws > 81.4 deg: Kt < 0.722: 1 + 0.2832 Kt - 2.5557 Kt^2 + "
    "0.8448 Kt^3, else 0.175",
    source="Erbs, Klein and Duffie 1982, Solar Energy 28(4); Duffie and Beckman, equation 2.11.1 "
    "(from memory)",
)
def diffuse_share(clearness: ArrayLike, sunset: ArrayLike) -> Array:
    """Give the part of a day's sunlight that comes from the whole sky.

    Parameters
    ----------
    clearness : (...) array
        Kt, sunlight over that above the air. [-]
    sunset : (...) array
        Hour angle of sunset: it tells winter from the rest. [rad]

    Returns
    -------
    (...) array
        Diffuse share. [-]

    Raises
    ------
    OutOfRange
        A clearness that is no share.
    """
    k = given.share("clearness", clearness)
    winter = np.where(
        k < 0.715, 1 - 0.2727 * k + 2.4495 * k**2 - 11.9514 * k**3 + 9.3879 * k**4, 0.143
    )
    rest = np.where(k < 0.722, 1 + 0.2832 * k - 2.5557 * k**2 + 0.8448 * k**3, 0.175)
    low = given.number("sunset", sunset) <= np.radians(81.4)
    return np.asarray(np.clip(np.where(low, winter, rest), 0, 1))


@method(
    title="Sunlight of a day on a slope (isotropic sky)",
    equation="R = Rs [(1 - Fd) Rb + Fd (1 + cos b)/2 + albedo (1 - cos b)/2]; "
    "Rb = Ra(slope)/Ra(level); per map area R/cos b",
    source="Liu and Jordan 1963; Klein 1977; Duffie and Beckman, section 2.19 (from memory)",
)
def light_on_slope(
    latitude: ArrayLike,
    day: ArrayLike,
    slope: ArrayLike,
    aspect: ArrayLike,
    clearness: ArrayLike,
    albedo: ArrayLike = GROUND_ALBEDO,
) -> SlopeLight:
    """Give the sunlight of a day on a slope over that on level ground.

    Parameters
    ----------
    latitude : (...) array
        North positive. [rad]
    day : (...) array
        Day of the year. [-]
    slope : (...) array
        From level, less than upright. [rad]
    aspect : (...) array
        Compass bearing that it faces: south is 180 deg. [rad]
    clearness : (...) array
        Kt, sunlight over that above the air. [-]
    albedo : (...) array
        Of the ground in front. [-]

    Returns
    -------
    diffuse_share : (...) array
        Part that comes from the whole sky. [-]
    per_slope : (...) array
        On an area of the slope itself, over that on level ground. [-]
    ratio : (...) array
        On an area of the map, over that on level ground: what depths of water go with. [-]

    Raises
    ------
    OutOfRange
        No place, day or slope, or a clearness that is no share.

    Notes
    -----
    A level, clear horizon. The beam is taken as above the air, alike before and after noon.
    """
    sky = sky_day(latitude, day)
    on = sun_on_slope(latitude, day, slope, aspect)
    share = diffuse_share(clearness, sky.sunset)
    with np.errstate(divide="ignore", invalid="ignore"):
        beam = np.where(sky.radiation > 0, on.radiation / sky.radiation, 0.0)
    b = given.within("slope", slope, 0, 1.5, "give less than upright")
    rest = share * (1 + np.cos(b)) / 2 + np.asarray(albedo) * (1 - np.cos(b)) / 2
    found = (1 - share) * beam + rest
    return SlopeLight(share, np.asarray(found), np.asarray(found / np.cos(b)))


@method(
    title="Sunlight of a day on a shaded slope under the climate's sky",
    equation="beam = max[(rc - Fc V - G)/(1 - Fc), 0]; R/Rs = (1 - Fd) beam + Fd V + G; V = (1 + "
    "cos b)/2, G = albedo (1 - cos b)/2; per map area over cos b",
    source="own derivation from the isotropic sky of Liu and Jordan 1963: of the clear sky's ratio "
    "rc only the beam is shaded, and clouds take from the beam",
)
def light_in_place(
    clear: ArrayLike,
    slope: ArrayLike,
    clear_share: ArrayLike,
    share: ArrayLike,
    albedo: ArrayLike = GROUND_ALBEDO,
) -> Array:
    """Give the sunlight on a shaded place from its light under a clear sky.

    Parameters
    ----------
    clear : (...) array
        rc, light of a clear day on an area of the slope itself, over that on open level ground. [-]
    slope : (...) array
        From level, less than upright. [rad]
    clear_share, share : (...) array
        Diffuse share of a clear day, and of the climate's. [-]
    albedo : (...) array
        Of the ground in front. [-]

    Returns
    -------
    (...) array
        Light on an area of the map, over that on open level ground. [-]

    Raises
    ------
    OutOfRange
        Negative light, no slope, or no share.

    Notes
    -----
    What hides a part of the sky is counted in the beam alone.
    """
    rc = given.at_least_zero("clear", clear)
    b = given.within("slope", slope, 0, 1.5, "give less than upright")
    fc, fd = given.within("clear_share", clear_share, 0, 0.9), given.share("share", share)
    sky, ground = (1 + np.cos(b)) / 2, np.asarray(albedo) * (1 - np.cos(b)) / 2
    beam = np.maximum((rc - fc * sky - ground) / (1 - fc), 0.0)
    return np.asarray(((1 - fd) * beam + fd * sky + ground) / np.cos(b))


@method(
    title="Sunlight on a slope at one moment (isotropic sky)",
    equation="R = DNI max(cos i, 0) + DHI (1 + cos b)/2 + albedo GHI (1 - cos b)/2",
    source="Liu and Jordan 1963; Duffie and Beckman, section 2.15 (from memory)",
)
def plane_sunlight(
    beam: ArrayLike,
    diffuse: ArrayLike,
    level: ArrayLike,
    zenith: ArrayLike,
    azimuth: ArrayLike,
    slope: ArrayLike,
    aspect: ArrayLike,
    albedo: ArrayLike = GROUND_ALBEDO,
) -> Array:
    """Give the sunlight on a plane from measured beam and sky light.

    Parameters
    ----------
    beam : (...) array
        Of the sun, square to its rays (DNI). [W/m2]
    diffuse, level : (...) array
        From the sky, and from both, on level ground (DHI, GHI). [W/m2]
    zenith, azimuth : (...) array
        Of the sun: from straight up, clockwise from north. [rad]
    slope, aspect : (...) array
        Of the plane: from level, compass bearing that it faces. [rad]
    albedo : (...) array
        Of the ground in front. [-]

    Returns
    -------
    (...) array
        On an area of the plane itself. [W/m2]

    Raises
    ------
    OutOfRange
        Negative light, no zenith angle, or no slope.
    """
    b = given.number("slope", slope)
    cosine = plane_incidence(zenith, azimuth, slope, aspect).cosine
    up = np.asarray(zenith) < np.pi / 2
    direct = given.at_least_zero("beam", beam) * np.where(up, np.maximum(cosine, 0), 0.0)
    sky = given.at_least_zero("diffuse", diffuse) * (1 + np.cos(b)) / 2
    ground = given.at_least_zero("level", level) * given.share("albedo", albedo)
    return np.asarray(direct + sky + ground * (1 - np.cos(b)) / 2)


@method(
    title="Reference evapotranspiration on a slope",
    equation="ET(slope)/ET0 = 1 + s (R/Rs - 1), s = d ET0/d Rs Rs/ET0",
    source="first-order change of the Penman-Monteith equation with sunlight (own derivation)",
    symbols={
        "R": "sunlight on the slope",
        "Rs": "sunlight on level ground",
        "s": "sun_share",
        "d": "change",
        "ET": "evapotranspiration",
        "ET0": "evapotranspiration of level ground",
    },
)
def slope_factor(ratio: ArrayLike, sun_share: ArrayLike) -> Array:
    """Give how much more or less is used on a slope than on level ground.

    Parameters
    ----------
    ratio : (...) array
        Sunlight on the slope, per map area, over that on level ground. [-]
    sun_share : (...) array
        By how much ET0 follows sunlight; about 0.8 in a dry summer. [-]

    Returns
    -------
    (...) array
        Factor on ET0, never below 0.1. [-]

    Raises
    ------
    OutOfRange
        A negative ratio or share.

    Notes
    -----
    Where it is used, no microclimate factor may raise the same aspect again.
    """
    r = given.at_least_zero("ratio", ratio)
    s = given.within("sun_share", sun_share, 0, 1.5)
    return np.asarray(np.maximum(1 + s * (r - 1), 0.1))


def plane_of_cells(corners: Array, north: float) -> tuple[Array, Array, Array]:
    """Give slope [rad], compass bearing faced [rad] and map area [m2] of n cells.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Upper left, upper right, lower right, lower left. [m]
    north : float
        Compass bearing of +y. [rad]
    """
    across, down = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    normal = np.cross(across, down)
    normal *= np.where(normal[:, 2:] < 0, -1.0, 1.0)
    level = np.hypot(normal[:, 0], normal[:, 1])
    slope = np.arctan2(level, normal[:, 2])
    faces = np.where(level > 1e-12, np.arctan2(normal[:, 0], normal[:, 1]) + north, 0.0)
    area = np.abs(normal[:, 2]) / 2
    return slope, faces % (2 * np.pi), area
