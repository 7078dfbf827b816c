"""The rain that a hill is held against: one return period, and the storm that is made of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange
from hillwright.job.rainfall import RainTable
from hillwright.job.water import Rain
from hillwright.runoff.hyetograph import Storm, nested_storm, recorded_storm, regional_storm
from hillwright.runoff.storms import frequency, rain_in, rain_once_in

DAY, HOUR = 86400.0, 3600.0
# rain where none is given, the same for every job: invented, a day of 100 mm with its bursts
COMPARED = (
    (300.0, 0.012),
    (900.0, 0.025),
    (1800.0, 0.035),
    (HOUR, 0.045),
    (6 * HOUR, 0.07),
    (DAY, 0.1),
)
STEPS = 720  # of a day: 2 minutes, as a burst fills the cells before its own 5 minutes are over
_SHARPEST = "II"  # of the regional shapes of 24 hours: our choice where none is named
_RIGHT = "add that return period to rain.depths, or ask for one that is there"


@dataclass(frozen=True, slots=True, eq=False)
class Rainfall:
    """Rain by duration and return period, typed or read; NaN where nothing is known."""

    durations: Array  # (n,) from short to long [s]
    years: Array  # (m,) from short to long [years]
    depths: Array  # (n, m) [m]
    source: str  # in words
    given: bool  # False: the stated storm for comparison
    lower: Array | None = None  # (n, m) 90 % interval [m]
    upper: Array | None = None


@dataclass(frozen=True, slots=True, eq=False)
class DesignRain:
    """The storm of one return period. n durations, t steps."""

    source: str
    given: bool
    period: float  # [years]
    durations: Array  # (n,) [s]
    depths: Array  # (n,) [m]
    duration: float  # of the storm [s]
    depth: float  # of the storm [m]
    low: float  # 90 % interval of that depth, not a number where unknown [m]
    high: float
    two_year: float  # rain of 2 years in 24 h, for sheet flow [m]
    two_year_note: str  # "" or what stands for it
    shape: str  # "nested", "I", "IA", "II" or "III"
    peak_shape: str  # rain type of the graphical peak; "" where no rain of 24 h is known
    time: Array  # (t,) end of each step [s]
    rain: Array  # (t,) [m]

    @property
    def step(self) -> float:
        """Length of a step [s]."""
        return float(self.time[0])


def rainfall_of(rain: Rain, table: RainTable | None) -> Rainfall:
    """Gather what the job knows of rain; without any, the stated storm for comparison."""
    if table is not None:
        where = f"{table.source or 'a rainfall table'} ({table.where})"
        return Rainfall(
            table.durations, table.years, table.mean, where, True, table.lower, table.upper
        )
    if rain.depths:
        years = sorted({t for t, _, _ in rain.depths})
        durations = sorted({d for _, d, _ in rain.depths})
        depths = np.full((len(durations), len(years)), np.nan)
        for t, d, p in rain.depths:
            depths[durations.index(d), years.index(t)] = p
        return Rainfall(
            frozen(np.array(durations)),
            frozen(np.array(years)),
            frozen(depths),
            "rain.depths as typed in",
            True,
        )
    return Rainfall(
        frozen(np.array([duration for duration, _ in COMPARED])),
        frozen(np.array([rain.return_period])),
        frozen(np.array([[depth] for _, depth in COMPARED])),
        "no rain was given: an invented storm, the same for every job",
        False,
    )


def column(rainfall: Rainfall, period: float, of: Array | None = None) -> tuple[Array, Array]:
    """Give durations (k,) [s] and depths (k,) [m] of one return period.

    A duration whose rows do not reach that period on both sides is left out.

    Raises
    ------
    OutOfRange
        Nothing reaches the period, or the rain falls with duration.
    """
    depths = rainfall.depths if of is None else of
    found = np.full(len(rainfall.durations), np.nan)
    for i, row in enumerate(depths):
        known = np.isfinite(row)
        years, here = rainfall.years[known], row[known]
        if not years.size or not years[0] * (1 - 1e-9) <= period <= years[-1] * (1 + 1e-9):
            continue
        found[i] = rain_once_in(years, here, float(np.clip(period, years[0], years[-1])))
    has = np.isfinite(found)
    if not has.any():
        spans = f"{rainfall.years[0]:g} to {rainfall.years[-1]:g} years"
        what = f"{period:g} years, and the rain known is of {spans}"
        raise OutOfRange("rain.return_period", what, _RIGHT)
    return frequency(rainfall.durations[has], found[has])


def storm_of(durations: Array, depths: Array, shape: str, most: int = STEPS) -> Storm:
    """Make the storm of one return period: a day, or as long as the longest rain known.

    ``most`` is the number of steps of a day; a shorter storm has fewer, and 60 at least.
    """
    if shape != "nested":
        day = float(rain_in(durations, depths, DAY).depth)
        return regional_storm(day, shape, DAY / most)
    duration = float(min(DAY, durations[-1]))
    steps = int(np.clip(round(duration / (DAY / most)), 60, most))
    return nested_storm(durations, depths, duration, duration / steps)


def design_rain(rain: Rain, rainfall: Rainfall) -> DesignRain:
    """Give the storm that rows and drains are held against.

    Raises
    ------
    OutOfRange
        A return period that the rain known does not reach, rain that falls with duration, or a
        regional storm without rain of 24 hours.
    """
    durations, depths = column(rainfall, rain.return_period)
    shape = storm_shape(rain, durations)
    storm = storm_of(durations, depths, shape)
    duration, depth = float(storm.time[-1]), float(storm.cumulative[-1])
    two_year, note = _two_year(rainfall, durations, depths)
    low, high = (_bound(rainfall, b, rain.return_period, duration) for b in ("lower", "upper"))
    whole_day = durations[-1] >= DAY * (1 - 1e-9)
    return DesignRain(
        rainfall.source,
        rainfall.given,
        rain.return_period,
        frozen(durations),
        frozen(depths),
        duration,
        depth,
        low,
        high,
        two_year,
        note,
        shape,
        (shape if shape != "nested" else _SHARPEST) if whole_day else "",
        frozen(storm.time),
        frozen(storm.rain),
    )


def storm_shape(rain: Rain, durations: Array) -> str:
    """Say how the rain is spread: as the job says, else nested where short rain is known.

    Raises
    ------
    OutOfRange
        A nested storm without short rain, or a regional one without rain of 24 hours.
    """
    short = durations[0] <= HOUR * (1 + 1e-9)
    shape = rain.storm or ("nested" if short else _SHARPEST)
    if shape == "nested" and not short:
        what = f"nests short bursts into long ones, and the shortest is {durations[0] / HOUR:g} h"
        raise OutOfRange("rain.storm", what, 'give rain of an hour or less, or write storm = "II"')
    if shape != "nested" and durations[-1] < DAY * (1 - 1e-9):
        what = f"is a shape of 24 hours, and the longest rain known is {durations[-1] / HOUR:g} h"
        raise OutOfRange("rain.storm", what, 'give rain of 24 h, or write storm = "nested"')
    return shape


def event_storm(time: Array, total: Array) -> Storm:
    """Put a storm as it fell into equal steps of whole minutes, 600 at most."""
    minutes = max(1, int(np.ceil((time[-1] - time[0]) / 60 / 600)))
    return recorded_storm(time, total, 60.0 * minutes)


def hardest(time: Array, rain: Array, window: float) -> float:
    """Give the greatest mean intensity over any ``window`` [s] of a storm in steps [m/s]."""
    at = np.concatenate(([0.0], time))
    total = np.concatenate(([0.0], np.cumsum(rain)))
    ends = np.union1d(at, np.clip(at + window, 0.0, at[-1]))
    within = np.interp(ends, at, total) - np.interp(ends - window, at, total)
    return float(within.max() / window)


def intensity_of(rain: DesignRain, window: float) -> float:
    """Give the greatest mean intensity over a time [s]: by the table, else of the storm [m/s]."""
    if rain.shape == "nested" and window <= rain.durations[-1]:
        return float(rain_in(rain.durations, rain.depths, window).intensity)
    return hardest(rain.time, rain.rain, window)


def _two_year(rainfall: Rainfall, durations: Array, depths: Array) -> tuple[float, str]:
    """Give the rain of 2 years in 24 h, or what stands for it: less time, so more flow."""
    try:
        t, p = column(rainfall, 2.0)
    except OutOfRange:
        t, p = durations, depths
        note = "the storm's own rain stands for that of 2 years: the water comes sooner, if at all"
    else:
        note = ""
    return float(rain_in(t, p, min(DAY, float(t[-1]))).depth), note


def _bound(rainfall: Rainfall, name: str, period: float, duration: float) -> float:
    bound = rainfall.lower if name == "lower" else rainfall.upper
    if bound is None:
        return float("nan")
    t, p = column(rainfall, period, bound)
    return float(rain_in(t, p, min(duration, float(t[-1]))).depth)
