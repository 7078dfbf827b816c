"""Days, starts and cycles: a program that a person can set at a controller by hand."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.watering.model import Program, Rules
from hillwright.watering.tables import DAYS

MINUTE = 60.0
_MOST_STARTS = 4  # waterings in a day that a controller takes


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """On which days each valve runs in each month: v valves, 12 months."""

    interval: Index  # (v, 12) longest wait between two waterings [days]; 0 = none needed
    starts: Index  # (v, 12) waterings on such a day
    weekdays: tuple[tuple[tuple[int, ...], ...], ...]  # () = every interval days
    too_few: tuple[tuple[int, int, int], ...]  # valve, month, days that the soil lasts


def pattern_of(ready: Array, use: Array, wanted: Array, rules: Rules) -> Pattern:
    """Choose the days: as seldom as the soil of the thirstiest cell allows.

    Parameters
    ----------
    ready : (v, 12) array
        Days that the readily available water of the valve's thirstiest cell lasts. [days]
    use : (v, 12) array
        Its use on the hottest day. [m]
    wanted : (v, 12) array
        Water wanted in the month at all. [m]
    rules : Rules
        Weekdays that are allowed, and the longest interval.
    """
    v = len(ready)
    interval = np.zeros((v, 12), dtype=np.intp)
    starts = np.zeros((v, 12), dtype=np.intp)
    allowed = tuple(sorted(set(rules.weekdays)))
    names, short = [], []
    for i in range(v):
        row: list[tuple[int, ...]] = []
        for m in range(12):
            if not wanted[i, m] > 0:
                row.append(())
                continue
            lasts = ready[i, m]
            # a little more than whole days lasts whole days: figures are not so sharp
            whole = int(min(max(math.floor(lasts + 0.02), 1), rules.longest_interval))
            often = 1 if lasts >= 0.98 else min(math.ceil(1 / max(lasts, 1e-6)), _MOST_STARTS)
            chosen: tuple[int, ...] = ()
            if len(allowed) < 7:
                chosen, gap = _weekdays(allowed, whole)
                if gap > max(lasts + 0.02, 1):
                    short.append((i, m, int(lasts)))
                whole = gap
            interval[i, m], starts[i, m] = whole, often
            row.append(chosen)
        names.append(tuple(row))
    return Pattern(frozen(interval), frozen(starts), tuple(names), tuple(short))


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


def start_times(program: Program, window: float, valve: int, month: int) -> tuple[float, ...]:
    """Give when a valve opens on a day that it runs on: every cycle of every watering [s]."""
    if not program.minutes[valve, month]:
        return ()
    cycles, starts = int(program.cycles[valve, month]), int(program.starts[valve, month])
    run = math.ceil(int(program.minutes[valve, month]) / cycles) * MINUTE
    rest = float(program.soak[valve, month]) * MINUTE
    first = float(program.first[valve, month])
    return tuple(
        (first + s * window / starts + c * (run + rest)) % 86400
        for s in range(starts)
        for c in range(cycles)
    )


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
    most = np.where(np.isfinite(longest_run), np.maximum(longest_run / MINUTE, 1.0), np.inf)
    cycles = np.where(minutes > 0, np.ceil(minutes / most[:, None] - 1e-9), 0).astype(np.intp)
    cycles = np.where((minutes > 0) & (cycles < 1), 1, cycles)
    rest = np.ceil(soak / MINUTE).astype(np.intp)[:, None] * (cycles > 1)
    first = np.zeros((v, 12))
    busiest = np.zeros(12)
    start = rules.windows[0][0]
    volume = np.zeros((v, 12))
    for m in range(12):
        clock = total = 0.0
        # all that may fall on one day, one valve after another; soaks of one are runs of others
        for i in range(v):
            first[i, m] = (start + clock * MINUTE) % 86400
            clock += float(minutes[i, m])
            total += float(minutes[i, m] * pattern.starts[i, m])
            volume[i, m] = (
                flow[i] * minutes[i, m] * MINUTE * pattern.starts[i, m] * waterings(pattern, i, m)
            )
        alone = [
            float(minutes[i, m] + (cycles[i, m] - 1) * rest[i, m]) * pattern.starts[i, m]
            for i in range(v)
            if minutes[i, m]
        ]
        busiest[m] = max([total, *alone]) * MINUTE
    top = volume.max(axis=1, keepdims=True)
    percent = np.rint(100 * volume / np.maximum(top, 1e-12)).astype(np.intp)
    return Program(
        interval=pattern.interval,
        starts=pattern.starts,
        minutes=frozen(minutes.astype(np.intp)),
        cycles=frozen(cycles.astype(np.intp)),
        soak=frozen(np.broadcast_to(rest, cycles.shape).astype(np.intp)),
        weekdays=pattern.weekdays,
        first=frozen(first),
        percent=frozen(percent),
        busiest=frozen(busiest),
        volume=frozen(volume),
    )
