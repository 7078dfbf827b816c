"""Sun on every cell: hours of direct light and irradiation, by month, with all that shades it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array
from hillwright.planting import sunplace
from hillwright.planting.clearsky import clear_sky
from hillwright.planting.horizon import BELOW
from hillwright.planting.screens import Band
from hillwright.planting.spots import Spots, all_of, spots

SECTORS = 90  # directions that the horizon is looked at in: every 4 degrees
EVERY = 3  # every third day is looked at
STEP = 1800.0  # [s]
_BLOCK = 250_000  # moments times cells worked at once: stays in cache


@dataclass(frozen=True, slots=True, eq=False)
class Sky:
    """What n places see of the sky."""

    normal: Array  # (n, 3) square to each place: east, north, up
    horizon: Array  # (n, m) of the ground and what is far off, by bearing [rad]
    # each thing in the sun, and the share it lets through
    bands: tuple[tuple[Band | Spots, float], ...]


@dataclass(frozen=True, slots=True, eq=False)
class SunTable:
    """What the sun gives n places in a mean day of each month."""

    hours: Array  # (12, n) direct light; a thing that lets half through counts half [s]
    energy: Array  # (12, n) under a clear sky, on the sloping area [J/m2]
    level: Array  # (12,) the same on open level ground [J/m2]
    share: Array  # (12, n) of the direct light that things in the sun leave [-]


def sun_table(
    sky: Sky, latitude: float, altitude: float = 0.0, every: int = EVERY, step: float = STEP
) -> SunTable:
    """Follow the sun through a year over every place.

    Parameters
    ----------
    sky : Sky
        What each place sees.
    latitude : float
        North is positive [rad].
    altitude : float
        Over the sea: thin air lets more through [m].
    every, step : int, float
        Look at every so manyth day, so often [s].

    Notes
    -----
    The sun is a point, and not lifted by refraction; direct light counts from the moment it is
    above the horizon and before the plane. The sky is clear: clouds take from all cells alike.
    """
    sun = sunplace.paths(latitude, every, step)
    n = len(sky.normal)
    flat = np.cos(sun.elevation)
    ray = np.stack([flat * np.sin(sun.azimuth), flat * np.cos(sun.azimuth), np.sin(sun.elevation)])
    starts = np.searchsorted(sun.month, np.arange(12))
    ends = np.searchsorted(sun.month, np.arange(12), "right")
    air = clear_sky(sun.elevation, sun.distance, altitude)
    beam, diffuse = air.beam * step, air.diffuse * step
    hours, energy, share = np.zeros((12, n)), np.zeros((12, n)), np.ones((12, n))
    level = np.zeros(12)
    view = _sky_view(sky)
    tilted = (1 - sky.normal[:, 2]) / 2
    m = sky.horizon.shape[1]
    turned = np.ascontiguousarray(sky.horizon.T)
    top = turned.max(axis=1, initial=BELOW)  # over it a horizon hides nothing from any place
    things, passes = all_of([(spots(band), share) for band, share in sky.bands], m)
    size = max(1, _BLOCK // max(n, 1))
    for month in range(12):
        bare = np.zeros(n)
        for begin in range(starts[month], ends[month], size):
            some = slice(begin, min(begin + size, ends[month]))
            place = sun.azimuth[some] * (m / (2 * np.pi))
            low = place.astype(int) % m
            part = (place - np.floor(place))[:, None]
            facing = ray[:, some].T @ sky.normal.T
            up = sun.elevation[some]
            lit = (facing > 0).astype(float)
            veiled = np.flatnonzero(up <= np.maximum(top[low], top[(low + 1) % m]))
            if len(veiled):
                low, part = low[veiled], part[veiled]
                edge = turned[low] * (1 - part) + turned[(low + 1) % m] * part
                lit[veiled] *= up[veiled, None] > edge
            bare += lit.sum(axis=0)
            if len(things.place):
                near = np.round(place).astype(int) % m
                for k, (sector, height) in enumerate(zip(near, up, strict=True)):
                    mine = slice(things.at[sector], things.at[sector + 1])
                    hidden = (height > things.lower[mine]) & (height < things.upper[mine])
                    np.multiply.at(lit[k], things.place[mine][hidden], passes[mine][hidden])
            hours[month] += lit.sum(axis=0)
            lit *= np.maximum(facing, 0, out=facing)
            energy[month] += beam[some] @ lit
            whole = diffuse[some].sum()
            around = whole + (beam[some] * ray[2, some]).sum()
            energy[month] += whole * view + around * ALBEDO * tilted
            level[month] += around
        with np.errstate(invalid="ignore", divide="ignore"):
            share[month] = np.where(bare > 0, hours[month] / bare, 1.0)
        days = max(sun.days[month], 1.0)
        hours[month] *= step / days
        energy[month] /= days
        level[month] /= days
    return SunTable(hours, energy, level, share)


ALBEDO = 0.2  # of soil and plants before a cell: common practice, no source


def _sky_view(sky: Sky) -> Array:
    """(n,) share of the sky that a tilted place sees over its horizon, isotropic [-].

    Integral of the cosine to the plane over the sky, sector by sector, over that of a level open
    place.
    """
    m = sky.horizon.shape[1]
    bearing = 2 * np.pi * np.arange(m) / m
    top = np.maximum(sky.horizon, 0.0)
    for band, passes in sky.bands:
        if passes < 0.5:
            # a band over the horizon narrows the sky by as much as it stands above it
            some = spots(band)
            at = some.place, np.repeat(np.arange(m), np.diff(some.at))
            taken = np.maximum(some.upper - np.maximum(some.lower, top[at]), 0.0)
            top[at] = np.minimum(top[at] + taken * (1 - passes), np.pi / 2)
    slant = sky.normal[:, :1] * np.sin(bearing) + sky.normal[:, 1:2] * np.cos(bearing)  # (n, m)
    up = sky.normal[:, 2:]
    # the plane itself hides what lies behind it
    edge = np.maximum(top, np.arctan2(-slant, up))
    edge = np.clip(edge, 0.0, np.pi / 2)
    wide = (np.pi / 2 - edge) / 2 - np.sin(2 * edge) / 4  # of cos^2
    high = np.cos(edge) ** 2 / 2  # of sin cos
    return np.asarray(np.clip((slant * wide + up * high).sum(axis=1) * 2 / m, 0.0, 1.0))


def open_sky(normal: Array, sectors: int = SECTORS) -> Sky:
    """Give a sky with nothing in it."""
    return Sky(normal, np.full((len(normal), sectors), BELOW), ())
