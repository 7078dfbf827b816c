"""Levelling: heights from a level, a rod and a string; the closure of a traverse."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class Setup(NamedTuple):
    """One set-up of the level."""

    hi: Array
    elevation: Array


class GradeRod(NamedTuple):
    """What the rod reads at grade, and how far the ground is off it."""

    hi: Array
    grade_rod: Array
    cut: Array


class LevelRun(NamedTuple):
    """A line of levels from one benchmark on."""

    hi: Array
    elevation: Array
    misclosure: float


class StringHeights(NamedTuple):
    """Ground under a level string."""

    heights: Array
    mean_slope: float


class Closure(NamedTuple):
    """How far a traverse misses its own start."""

    closure_latitude: float
    closure_departure: float
    leoc: float
    precision_1_in: float


class TraverseSums(NamedTuple):
    """Latitudes and departures of a traverse, added up by direction."""

    sum_north: float
    sum_south: float
    sum_east: float
    sum_west: float
    perimeter: float


def _finite(**given: ArrayLike) -> list[Array]:
    found = []
    for name, value in given.items():
        number = np.asarray(value, float)
        if not np.isfinite(number).all():
            raise OutOfRange(name, "a reading is missing", "give a number for every reading")
        found.append(number)
    return found


@method(
    title="Height of instrument and of a point",
    equation="HI = BM + BS; elevation = HI - FS",
    source="differential levelling (common practice)",
)
def level_setup(benchmark: ArrayLike, backsight: ArrayLike, foresight: ArrayLike) -> Setup:
    """Give the level's height and that of the points read from it.

    Parameters
    ----------
    benchmark : (...) array
        Known height. [m]
    backsight : (...) array
        Rod on the benchmark. [m]
    foresight : (...) array
        Rod on the points. [m]

    Returns
    -------
    hi : (...) array
        Height of instrument. [m]
    elevation : (...) array
        Of the points. [m]

    Raises
    ------
    OutOfRange
        A reading is missing.
    """
    bm, bs, fs = _finite(benchmark=benchmark, backsight=backsight, foresight=foresight)
    hi = np.asarray(bm + bs)
    return Setup(hi, hi - fs)


@method(
    title="Grade rod",
    equation="HI = BM + BS; grade rod = HI - grade; cut = grade rod - rod",
    source="construction levelling (common practice)",
)
def grade_rod(
    benchmark: ArrayLike, backsight: ArrayLike, grade: ArrayLike, rod: ArrayLike | None = None
) -> GradeRod:
    """Give what the rod reads at grade, and the cut (or, below zero, the fill) where it stands.

    Parameters
    ----------
    benchmark : (...) array
        Known height. [m]
    backsight : (...) array
        Rod on the benchmark. [m]
    grade : (...) array
        Height wanted. [m]
    rod : (...) array, optional
        Rod on the ground. [m]

    Returns
    -------
    hi : (...) array
        Height of instrument. [m]
    grade_rod : (...) array
        Reading at grade. [m]
    cut : (...) array
        To lower the ground; below zero, to raise it; not a number without a rod reading. [m]

    Raises
    ------
    OutOfRange
        A reading is missing, or the level stands below grade.
    """
    bm, bs, goal = _finite(benchmark=benchmark, backsight=backsight, grade=grade)
    hi = np.asarray(bm + bs)
    reading = hi - goal
    if (reading < 0).any():
        raise OutOfRange("grade", "above the height of instrument", "set the level up higher")
    (read,) = _finite(rod=rod) if rod is not None else (np.asarray(np.nan),)
    return GradeRod(hi, reading, reading - read)


@method(
    title="A line of levels",
    equation="HI_i = H_(i-1) + BS_i; H_i = HI_i - FS_i; misclosure = H_n - H_known",
    source="differential levelling (common practice)",
)
def level_run(
    benchmark: float, backsights: ArrayLike, foresights: ArrayLike, closing: float | None = None
) -> LevelRun:
    """Carry a height from turning point to turning point.

    Parameters
    ----------
    benchmark : float
        Known height at the start. [m]
    backsights, foresights : (n,) array
        Rod behind and ahead at each set-up. [m]
    closing : float, optional
        Known height at the end; left out, the run is to end where it began. [m]

    Returns
    -------
    hi : (n,) array
        Height of instrument at each set-up. [m]
    elevation : (n,) array
        Of each point ahead. [m]
    misclosure : float
        Last height less the known one. [m]

    Raises
    ------
    OutOfRange
        No set-up, readings that do not come in pairs, or one missing.
    """
    bm, bs, fs = _finite(benchmark=benchmark, backsights=backsights, foresights=foresights)
    bs, fs = np.atleast_1d(bs), np.atleast_1d(fs)
    if bs.ndim != 1 or bs.shape != fs.shape or not len(bs):
        raise OutOfRange(
            "foresights", f"{fs.size} for {bs.size} backsights", "give one of each per set-up"
        )
    elevation = bm + np.cumsum(bs - fs)
    hi = elevation + fs
    known = float(bm) if closing is None else closing
    return LevelRun(hi, elevation, float(elevation[-1] - known))


@method(
    title="Ground heights below a level string",
    equation="z_i = z_string - depth_i; mean slope = atan(|z_1 - z_n| / (o_n - o_1))",
    source="exact geometry",
)
def string_heights(string_height: float, offsets: ArrayLike, depths: ArrayLike) -> StringHeights:
    """Give the ground under a string from the depths measured below it.

    Parameters
    ----------
    string_height : float
        Of the level string. [m]
    offsets : (n,) array
        Along the string, rising, at least two. [m]
    depths : (n,) array
        From the string down to the ground. [m]

    Returns
    -------
    heights : (n,) array
        Ground. [m]
    mean_slope : float
        Steepness from the first to the last, whichever is lower. [rad]

    Raises
    ------
    OutOfRange
        Fewer than 2 depths, lists of different length, offsets that do not rise, or ground
        above the string.

    Notes
    -----
    A string sags: heights in the middle come out too high; keep spans short or level again.
    """
    level, along, down = _finite(string_height=string_height, offsets=offsets, depths=depths)
    if along.ndim != 1 or len(along) < 2 or down.shape != along.shape:
        raise OutOfRange(
            "depths", f"{down.size} for {along.size} offsets", "give one per offset, at least 2"
        )
    if (bad := np.diff(along) <= 0).any():
        i = int(np.flatnonzero(bad)[0]) + 2
        raise OutOfRange(f"offset {i}", "not beyond the one before", "give offsets that rise")
    if (bad := down < 0).any():
        i = int(np.flatnonzero(bad)[0]) + 1
        raise OutOfRange(f"depth {i}", "the ground stands above the string", "give 0 or more")
    heights = level - down
    fall = abs(float(heights[0] - heights[-1]))
    return StringHeights(heights, float(np.arctan2(fall, along[-1] - along[0])))


@method(
    title="Linear error of closure of a traverse",
    equation="LEOC = sqrt((N - S)^2 + (E - W)^2); precision = 1 : perimeter / LEOC",
    source="procedure for linear error of closure (common practice)",
)
def traverse_closure(
    sum_north: float, sum_south: float, sum_east: float, sum_west: float, perimeter: float
) -> Closure:
    """Give how far a closed traverse misses its own start.

    Parameters
    ----------
    sum_north, sum_south : float
        Sums of the latitudes, each 0 or more. [m]
    sum_east, sum_west : float
        Sums of the departures, each 0 or more. [m]
    perimeter : float
        Length of all sides, above 0. [m]

    Returns
    -------
    closure_latitude, closure_departure : float
        Amounts by which north misses south and east misses west. [m]
    leoc : float
        Linear error of closure. [m]
    precision_1_in : float
        Perimeter over that error, as 33,000 of 1:33,000; infinite without any error. [-]

    Raises
    ------
    OutOfRange
        A sum below zero, or no perimeter.
    """
    sums = np.array([sum_north, sum_south, sum_east, sum_west], float)
    if not ((sums >= 0) & np.isfinite(sums)).all():
        raise OutOfRange("sums", "one is below zero", "give each as an amount of 0 or more")
    if not (perimeter > 0 and np.isfinite(perimeter)):
        raise OutOfRange("perimeter", f"{perimeter:g} is no length", "give a length above 0")
    latitude, departure = abs(float(sums[0] - sums[1])), abs(float(sums[2] - sums[3]))
    leoc = float(np.hypot(latitude, departure))
    return Closure(latitude, departure, leoc, perimeter / leoc if leoc > 0 else np.inf)


@method(
    title="Latitudes and departures of a traverse",
    equation="latitude = d cos(azimuth); departure = d sin(azimuth)",
    source="exact geometry",
)
def traverse_sums(distance: ArrayLike, azimuth: ArrayLike) -> TraverseSums:
    """Add up the legs of a traverse by compass direction.

    Parameters
    ----------
    distance : (n,) array
        Level length of each leg, above 0. [m]
    azimuth : (n,) array
        Direction of each leg, clockwise from north. [rad]

    Returns
    -------
    sum_north, sum_south : float
        Latitudes each way, 0 or more. [m]
    sum_east, sum_west : float
        Departures each way, 0 or more. [m]
    perimeter : float
        Length of all legs. [m]

    Raises
    ------
    OutOfRange
        Fewer than 3 legs, lists of different length, or a leg of no length.
    """
    d, a = _finite(distance=distance, azimuth=azimuth)
    if d.ndim != 1 or len(d) < 3 or a.shape != d.shape:
        raise OutOfRange(
            "azimuth", f"{a.size} for {d.size} distances", "give one per leg, at least 3 legs"
        )
    if (bad := d <= 0).any():
        i = int(np.flatnonzero(bad)[0]) + 1
        raise OutOfRange(f"leg {i}", "has no length", "give a length above 0")
    north, east = d * np.cos(a), d * np.sin(a)
    return TraverseSums(
        float(np.maximum(north, 0).sum()),
        float(np.maximum(-north, 0).sum()),
        float(np.maximum(east, 0).sum()),
        float(np.maximum(-east, 0).sum()),
        float(d.sum()),
    )
