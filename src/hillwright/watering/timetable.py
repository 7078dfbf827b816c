"""Days, starts and cycles: a program that a person can set at a controller by hand."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.watering.clock import Run, place_runs
from hillwright.watering.daycourse import best_starts, starts_for
from hillwright.watering.given import DAY
from hillwright.watering.model import Program, Rules
from hillwright.watering.tables import DAYS

MINUTE = 60.0


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """On which days each valve runs in each month: v valves, 12 months."""

    interval: Index  # (v, 12) longest wait between two waterings [days]; 0 = none needed
    starts: Index  # (v, 12) waterings on such a day
    weekdays: tuple[tuple[tuple[int, ...], ...], ...]  # () = every interval days
    wished: tuple[tuple[tuple[float, ...], ...], ...]  # (v)(12) clock of each start [s]
    too_few: tuple[tuple[int, int, int], ...]  # valve, month, days that the soil lasts


def pattern_of(
    ready: Array, wanted: Array, rules: Rules, latitude: float, longest: Index | None = None
) -> Pattern:
    """Choose the days: as seldom as the soil of the thirstiest cell allows.

    Parameters
    ----------
    ready : (v, 12) array
        Days that the readily available water of the valve's thirstiest cell lasts. [days]
    wanted : (v, 12) array
        Water wanted in the month at all. [m]
    rules : Rules
        Weekdays that are allowed, the longest interval, and the windows of a day.
    latitude : float
        North positive: when in the day water is used. [rad]
    longest : (v, 12) int array, optional
        Interval that must not be passed, where the rules' own would be too long. [days]
    """
    v = len(ready)
    if longest is None:
        longest = np.full((v, 12), rules.longest_interval)
    interval = np.zeros((v, 12), dtype=np.intp)
    starts = np.zeros((v, 12), dtype=np.intp)
    allowed = tuple(sorted(set(rules.weekdays)))
    names, short, clock = [], [], []
    for i in range(v):
        row: list[tuple[int, ...]] = []
        times: list[tuple[float, ...]] = []
        for m in range(12):
            if not wanted[i, m] > 0:
                row.append(())
                times.append(())
                continue
            lasts = ready[i, m]
            # a little more than whole days lasts whole days: figures are not so sharp
            whole = int(min(max(math.floor(min(lasts, 99) + 0.02), 1), longest[i, m]))
            often = starts_for(lasts, best_starts(rules.windows, latitude, m))
            chosen: tuple[int, ...] = ()
            if len(allowed) < 7:
                chosen, gap = _weekdays(allowed, whole)
                if gap > max(lasts + 0.02, 1):
                    short.append((i, m, int(lasts)))
                whole = gap
            interval[i, m], starts[i, m] = whole, len(often.times)
            row.append(chosen)
            times.append(often.times)
        names.append(tuple(row))
        clock.append(tuple(times))
    return Pattern(frozen(interval), frozen(starts), tuple(names), tuple(clock), tuple(short))


def _weekdays(allowed: tuple[int, ...], lasts: int) -> tuple[tuple[int, ...], int]:
    """Give the fewest allowed weekdays with no wait longer than the soil lasts, and that wait."""
    for count in range(1, len(allowed) + 1):
        tried = [(_gap(days), days) for days in itertools.combinations(allowed, count)]
        gap, days = min(tried)
        if gap <= lasts:
            return days, gap
    return allowed, _gap(allowed)


def _gap(days: tuple[int, ...]) -> int:
    return max((b - a - 1) % 7 + 1 for a, b in zip(days, (*days[1:], days[0]), strict=True))


def runs_on(pattern: Pattern, year: Index, day: Index, month: Index) -> Array:
    """Tell for each of k days and v valves whether the valve runs (k, v), as 0 or 1.

    A valve that runs every few days starts anew with each month, as a controller does that is set
    by hand on the first.
    """
    days = np.array([1, *np.cumsum(DAYS)[:-1] + 1])
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    of_month = day - days[month] - (leap & (month > 1))
    found = np.zeros((len(day), len(pattern.interval)))
    if any(w for row in pattern.weekdays for w in row):
        start = (year.astype("int64") - 1970).astype("datetime64[Y]").astype("datetime64[D]")
        weekday = (start.astype("int64") + day - 1 + 3) % 7  # 1 January 1970 was a Thursday
    for i, row in enumerate(pattern.weekdays):
        step = np.maximum(pattern.interval[i], 1)[month]
        on = of_month % step == 0
        for m in range(12):
            if row[m]:
                here = month == m
                on[here] = np.isin(weekday[here], row[m])
        found[:, i] = on & (pattern.interval[i][month] > 0)
    return found


def waterings(pattern: Pattern, valve: int, month: int) -> float:
    """Give how many days of a month a valve runs on."""
    if not pattern.interval[valve, month]:
        return 0.0
    if chosen := pattern.weekdays[valve][month]:
        return len(chosen) * DAYS[month] / 7
    return float(math.ceil(DAYS[month] / pattern.interval[valve, month]))


def window_length(windows: tuple[tuple[float, float], ...]) -> float:
    """Give how long water may run in a day [s]."""
    return sum((end - start) % 86400 or 86400 for start, end in windows)


def in_cycles(minutes: Index, longest_run: Array) -> tuple[Index, Index]:
    """Split minutes (v, 12) into the fewest cycles that the soil (v,) [s] takes."""
    most = np.maximum(np.floor(longest_run / MINUTE), 1.0)
    cycles = np.where(minutes > 0, np.ceil(minutes / most[:, None] - 1e-9), 0).astype(np.intp)
    cycles = np.where((minutes > 0) & (cycles < 1), 1, cycles)
    return cycles, -(-minutes // np.maximum(cycles, 1))  # a controller takes whole minutes


def program_of(
    pattern: Pattern,
    minutes: Index,
    longest_run: Array,
    soak: Array,
    flow: Array,
    rules: Rules,
) -> Program:
    """Set cycles, soaks and the clock to a pattern of days with its minutes.

    Parameters
    ----------
    pattern : Pattern
        Days and waterings of a day.
    minutes : (v, 12) int array
        Of each watering. [min]
    longest_run : (v,) array
        Before water runs off at the valve's slowest soil; may be without limit. [s]
    soak : (v,) array
        Rest between two cycles. [s]
    flow : (v,) array
        Of all emitters of the valve. [m3/s]
    rules : Rules
        The windows.
    """
    v = len(minutes)
    cycles, each = in_cycles(minutes, longest_run)
    minutes = (each * cycles).astype(np.intp)
    rest = np.ceil(soak / MINUTE).astype(np.intp)[:, None] * (cycles > 1)
    opens: list[list[tuple[tuple[float, ...], ...]]] = [[] for _ in range(v)]
    ends: list[list[tuple[float, ...]]] = [[] for _ in range(v)]
    busiest, over = np.zeros(12), np.zeros(12)
    volume = np.zeros((v, 12))
    for m in range(12):
        runs = [
            Run(i, at, int(cycles[i, m]), each[i, m] * MINUTE, rest[i, m] * MINUTE)
            for i in range(v)
            if minutes[i, m]
            for at in pattern.wished[i][m]
        ]
        day = place_runs(rules.windows, runs)  # all that may fall on one day
        busiest[m], over[m] = day.busy, day.over
        for i in range(v):
            own = sorted((r for r in day.runs if r.valve == i), key=lambda r: r.opens[0] % DAY)
            opens[i].append(tuple(tuple(t % DAY for t in r.opens) for r in own))
            ends[i].append(tuple(r.ends % DAY for r in own))
            volume[i, m] = (
                flow[i] * minutes[i, m] * MINUTE * pattern.starts[i, m] * waterings(pattern, i, m)
            )
    a_day = volume / np.array(DAYS)  # months are not alike long
    top = a_day.max(axis=1, keepdims=True)
    percent = np.rint(100 * a_day / np.maximum(top, 1e-12)).astype(np.intp)
    return Program(
        interval=pattern.interval,
        starts=pattern.starts,
        minutes=frozen(minutes),
        cycles=frozen(cycles.astype(np.intp)),
        soak=frozen(np.broadcast_to(rest, cycles.shape).astype(np.intp)),
        weekdays=pattern.weekdays,
        opens=tuple(tuple(row) for row in opens),
        arrives=tuple(tuple(row) for row in ends),
        percent=frozen(percent),
        busiest=frozen(busiest),
        over=frozen(over),
        volume=frozen(volume),
    )
