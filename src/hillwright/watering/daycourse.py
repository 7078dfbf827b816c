"""The day's course: how much of a day's water is used by each hour, and what must be bridged."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, frozen
from hillwright.method import method
from hillwright.watering import given as guard
from hillwright.watering.air import FAO56
from hillwright.watering.given import DAY
from hillwright.watering.skyday import sky_day
from hillwright.watering.yearclimate import MIDDLE

MOST_STARTS = 4  # waterings in a day that a controller takes
_STEP = 3600.0  # at which starts inside a window are tried [s]
_SHARP = 1e-3  # of a day: figures are no sharper
_LITTLE = 0.02  # of a day's use: a further watering that gains no more is not worth a start


@method(
    title="Share of a day's water that is used by a time of day",
    equation="F = [(w + ws) sin f sin d + cos f cos d (sin w + sin ws)] / "
    "2 [ws sin f sin d + cos f cos d sin ws], w = 2 pi (t/24 h - 1/2) held to -ws..ws",
    source="own derivation: use in proportion to the sun's radiation on level ground, "
    + FAO56
    + ", "
    "equation 28",
)
def used_by(latitude: ArrayLike, day: ArrayLike, time: ArrayLike) -> Array:
    """Give how much of a day's evapotranspiration has been used by a time of that day.

    Parameters
    ----------
    latitude : (...) array
        North positive. [rad]
    day : (...) array
        Day of the year, 1 January = 1. [-]
    time : (...) array
        Of the sun's day, noon = 12 h. [s]

    Returns
    -------
    (...) array
        0 at midnight, 1 at the next. [-]

    Raises
    ------
    OutOfRange
        A latitude beyond a pole, or no day.

    Notes
    -----
    Sun time stands for the clock's. Air is warmest after noon, so that real use lags by up to an
    hour; the little that is used by night is left out. In polar night it is spread evenly.
    """
    f = guard.latitude(latitude)
    sky = sky_day(f, day)
    ws, d = sky.sunset, sky.declination
    t = np.asarray(time, float) / DAY
    w = np.clip(2 * np.pi * (t - 0.5), -ws, ws)
    a, b = np.sin(f) * np.sin(d), np.cos(f) * np.cos(d)
    whole = 2 * (ws * a + b * np.sin(ws))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = ((w + ws) * a + b * (np.sin(w) + np.sin(ws))) / whole
    return np.asarray(np.where(whole > 1e-9, np.clip(share, 0.0, 1.0), t))


class Starts(NamedTuple):
    """When a valve may be opened in a day, so that the longest wait uses least."""

    gap: float  # share of a day's use that falls into the longest wait
    times: tuple[float, ...]  # of the clock, as they follow each other in the day [s]


@lru_cache(maxsize=256)
def best_starts(
    windows: tuple[tuple[float, float], ...], latitude: float, month: int
) -> tuple[Starts, ...]:
    """Give the best one, two, three and four starts in a day.

    Parameters
    ----------
    windows : tuple of (from, to)
        When water may run. [s]
    latitude : float
        North positive. [rad]
    month : int
        0 = January.
    """
    tried = sorted({t % DAY for a, b in windows for t in _inside(a, b)})
    used = used_by(latitude, float(MIDDLE[month]), np.array(tried))
    found = [Starts(1.0, (windows[0][0],))]
    for count in range(2, min(MOST_STARTS, len(tried)) + 1):
        some = np.array(list(itertools.combinations(range(len(tried)), count)))
        at = used[some]
        waits = np.concatenate([np.diff(at, axis=1), 1 - (at[:, -1:] - at[:, :1])], axis=1)
        longest = waits.max(axis=1)
        # of those that are alike, the one that waits least on the whole
        best = int(np.lexsort(((waits**2).sum(axis=1), np.round(longest, 6)))[0])
        found.append(Starts(float(longest[best]), tuple(tried[k] for k in some[best])))
    return tuple(found)


def _inside(start: float, end: float) -> list[float]:
    length = (end - start) % DAY or DAY
    return [start + k * _STEP for k in range(int(np.ceil(length / _STEP)))] + [start + length]


def starts_for(lasts: float, choices: tuple[Starts, ...]) -> Starts:
    """Choose the fewest starts under which a store lasts, or, where none will do, the best.

    Parameters
    ----------
    lasts : float
        Days of use that the store holds. [days]
    choices : tuple of Starts
        One, two, three ... starts.
    """
    for each in choices:
        if each.gap <= lasts + _SHARP:
            return each
    least = min(each.gap for each in choices)
    return next(each for each in choices if each.gap <= least + _LITTLE)


class DayParts(NamedTuple):
    """A day cut at its waterings: v valves, 12 months, one part more than the most waterings."""

    use: Array  # (j, 12, v) share of the day's use in each part
    given: Array  # (j, 12, v) share of the day's water at the beginning of each part


def day_parts(arrivals: Sequence[Sequence[Sequence[float]]], latitude: float) -> DayParts:
    """Cut the days of each valve and month at the moments when its water is in the soil.

    Parameters
    ----------
    arrivals : (v)(12) tuples
        Times of day at which a watering ends. [s]
    latitude : float
        North positive. [rad]
    """
    v = len(arrivals)
    count = np.array([[len(at) for at in row] for row in arrivals], dtype=np.intp).reshape(v, 12)
    most = int(count.max(initial=0))
    # a day without a further cut has all its use behind it at midnight
    cuts = np.full((v, 12, most), DAY)
    for i, row in enumerate(arrivals):
        for m, at in enumerate(row):
            cuts[i, m, : len(at)] = np.sort(np.array(at) % DAY)
    used = used_by(latitude, np.array(MIDDLE, float)[:, None], cuts)
    there = np.arange(most) < count[..., None]
    whole = np.ones((v, 12, 1))
    ends = np.concatenate([0 * whole, np.where(there, used, 1.0), whole], axis=-1)
    shared = np.where(there, 1 / np.maximum(count, 1)[..., None], 0.0)
    given = np.concatenate([0 * whole, shared], axis=-1)
    use = np.diff(ends, axis=-1)
    return DayParts(frozen(use.transpose(2, 1, 0).copy()), frozen(given.transpose(2, 1, 0).copy()))


def longest_wait(parts: DayParts) -> Array:
    """Give the share of a day's use in the longest wait between two waterings of it (v, 12).

    The wait over midnight is that of a valve that runs every day.
    """
    count = (parts.given > 0).sum(axis=0)  # (12, v)
    part = np.arange(len(parts.use))[:, None, None]
    between = np.where((part >= 1) & (part < count), parts.use, 0.0).max(axis=0)
    night = parts.use[0] + np.take_along_axis(parts.use, count[None], axis=0)[0]
    return frozen(np.where(count > 1, np.maximum(between, night), 1.0).T.copy())
