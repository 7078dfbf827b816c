"""One storm in time steps: nested from a rainfall table, of a published shape, or as it fell."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.storms import frequency, rain_in
from hillwright.runoff.tables import numbers

SHAPES = ("I", "IA", "II", "III")
_MOST_STEPS = 200_000
_DAY = 86400.0


class Storm(NamedTuple):
    """A storm of n equal steps."""

    time: Array  # (n,) end of each step from the start [s]
    rain: Array  # (n,) depth that falls within each step [m]
    cumulative: Array  # (n,) depth fallen by the end of each step [m]


def _steps(step: float, duration: float) -> int:
    dt = float(given.above_zero("step", step))
    whole = float(given.above_zero("duration", duration))
    n = round(whole / dt)
    if n < 1 or abs(n * dt - whole) > 1e-6 * whole:
        what = f"{whole:g} s is no whole number of steps of {dt:g} s"
        raise OutOfRange("step", what, "give a step that divides the storm, as 60 s")
    if n > _MOST_STEPS:
        raise OutOfRange("step", f"makes {n} steps", f"give at most {_MOST_STEPS}")
    return n


@method(
    title="Nested design storm: each duration holds its tabled rain, around one peak",
    equation="block k = P(k dt) - P((k-1) dt); k = 1 at the peak, then after and before it in turn",
    source="alternating block method, Chow, Maidment and Mays 1988, Applied Hydrology, 14.4 "
    "(from memory)",
)
def nested_storm(
    durations: Array, depths: Array, duration: float, step: float = 60.0, peak: float = 0.5
) -> Storm:
    """Make a design storm from the rainfall table of one return period.

    Parameters
    ----------
    durations : (n,) array
        From short to long. [s]
    depths : (n,) array
        Rain in each duration; never less in a longer one. [m]
    duration : float
        Length of the storm, no longer than the longest tabled. [s]
    step : float
        Time step; divides the length of the storm. [s]
    peak : float
        Where the peak lies: 0 at the start, 1 at the end. [-]

    Returns
    -------
    time : (m,) array
        End of each step from the start. [s]
    rain : (m,) array
        Rain within each step. [m]
    cumulative : (m,) array
        Rain by the end of each step. [m]

    Raises
    ------
    OutOfRange
        Durations out of order, rain that falls with duration, a storm longer than the table, a
        step that does not divide it, or a peak outside 0 to 1.

    Notes
    -----
    Every duration around the peak is as rare as the whole, which no real storm is: on the safe
    side. Within the shortest tabled duration the rain is even.
    """
    t, p = frequency(durations, depths)
    n = _steps(step, duration)
    r = float(given.share("peak", peak))
    by = rain_in(t, p, np.arange(1, n + 1) * float(step)).depth
    blocks = np.diff(by, prepend=0.0)
    # of the first k blocks beside the peak, ceil(r k - 1/2) lie before it
    before = np.ceil(r * np.arange(n) - 0.5 - 1e-12).astype(np.intp)
    before[0] = 0
    is_before = np.diff(before, prepend=0) > 0
    place = np.where(is_before, before[-1] - before, before[-1] + np.arange(n) - before)
    rain = np.empty(n)
    rain[place] = blocks
    return _storm(rain, float(step))


def _storm(rain: Array, step: float) -> Storm:
    return Storm(np.asarray(np.arange(1, len(rain) + 1) * step, float), rain, np.cumsum(rain))


@method(
    title="24-hour storm of a published regional shape",
    equation="P(t) = P24 * share(t), straight between the tabled hours",
    source="FHWA 2002, HDS-2 Highway Hydrology, Table 6.5 (SCS 24-hour storms)",
)
def regional_storm(depth: float, shape: str, step: float = 360.0) -> Storm:
    """Make a 24-hour storm of type I, IA, II or III.

    Parameters
    ----------
    depth : float
        Rain in 24 hours. [m]
    shape : str
        "I", "IA", "II" or "III". [text]
    step : float
        Time step; divides 24 hours. [s]

    Returns
    -------
    time : (m,) array
        End of each step from the start. [s]
    rain : (m,) array
        Rain within each step. [m]
    cumulative : (m,) array
        Rain by the end of each step. [m]

    Raises
    ------
    OutOfRange
        A shape that is not tabled, negative rain, or a step that does not divide 24 hours.

    Notes
    -----
    The table has half hours around the peak: bursts shorter than that come out too mild. Where a
    local rainfall table is there, the nested storm replaces these shapes.
    """
    p = float(guard.rain_depth(depth, "depth"))
    column = "type_" + given.one_of("shape", shape, SHAPES)
    n = _steps(step, _DAY)
    hours = numbers("rainfall", "shape_24h", "t_h") * 3600.0
    at = np.asarray(np.arange(0, n + 1) * float(step), float)
    share = np.interp(at, hours, numbers("rainfall", "shape_24h", column))
    return Storm(at[1:], np.diff(share) * p, share[1:] * p)


@method(
    title="A storm as it fell, in equal time steps",
    equation="P(t) straight between the readings",
    source="common practice, no source",
)
def recorded_storm(time: Array, total: Array, step: float = 60.0) -> Storm:
    """Put the readings of a real storm into equal steps.

    Parameters
    ----------
    time : (k,) array
        Time of each reading, forward. [s]
    total : (k,) array
        Rain fallen by then, never less than before. [m]
    step : float
        Time step; the last step may reach past the last reading. [s]

    Returns
    -------
    time : (m,) array
        End of each step from the first reading. [s]
    rain : (m,) array
        Rain within each step; all of them make up what fell. [m]
    cumulative : (m,) array
        Rain by the end of each step. [m]

    Raises
    ------
    OutOfRange
        Fewer than two readings, time that runs backwards, or a total that falls.
    """
    t = np.atleast_1d(given.number("time", time))
    p = np.atleast_1d(guard.rain_depth(total, "total"))
    if t.ndim != 1 or t.shape != p.shape:
        what = f"{t.size} times stand beside {p.size} totals"
        raise OutOfRange("time", what, "give one time for each total")
    if t.size < 2:
        raise OutOfRange("time", "has fewer than two readings", "give the start and the end too")
    for name, values, least in (("time", t, 0.0), ("total", p, -1e-15)):
        bad = np.diff(values) <= least if name == "time" else np.diff(values) < least
        if bad.any():
            at = int(np.flatnonzero(bad)[0]) + 2
            what = "runs backwards or stands still" if name == "time" else "falls"
            right = (
                "list the readings forward in time"
                if name == "time"
                else "rain that fell does not go back: give running totals"
            )
            raise OutOfRange(f"{name}, value {at}", what, right)
    dt = float(given.above_zero("step", step))
    n = int(np.ceil((t[-1] - t[0]) / dt - 1e-9))
    if n > _MOST_STEPS:
        raise OutOfRange("step", f"makes {n} steps", f"give at most {_MOST_STEPS}")
    by = np.interp(np.arange(n + 1) * dt, t - t[0], p - p[0])
    by[-1] = p[-1] - p[0]
    return Storm(np.asarray(np.arange(1, n + 1) * dt, float), np.diff(by), by[1:])
