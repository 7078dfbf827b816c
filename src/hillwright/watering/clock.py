"""The clock of a day's waterings: every cycle of every valve inside the windows, one at a time."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from hillwright.watering.given import DAY
from hillwright.watering.packing import share_out, tightest

_SLACK = 1.0  # [s]


@dataclass(frozen=True, slots=True)
class Run:
    """One watering of one valve."""

    valve: int
    wished: float  # when, on the clock [s]
    cycles: int
    each: float  # [s]
    soak: float  # least rest between two cycles [s]


@dataclass(frozen=True, slots=True)
class Placed:
    """A watering on the clock."""

    valve: int
    opens: tuple[float, ...]  # each cycle, from midnight; past 24 h on the next day [s]
    ends: float  # of the last cycle [s]


@dataclass(frozen=True, slots=True)
class DayClock:
    """All waterings that may fall on one day."""

    runs: tuple[Placed, ...]
    busy: float  # from first to last, round by round [s]
    over: float  # that do not fit into their window [s]


def place_runs(windows: tuple[tuple[float, float], ...], runs: list[Run]) -> DayClock:
    """Set every run as near to its wish as its window lets it.

    Runs that wish for one time are one round: valves follow one another, and one valve's rest is
    the next one's turn. Rounds of a window follow one another too. What does not fit so is shared
    out over all windows.

    Parameters
    ----------
    windows : tuple of (from, to)
        When water may run. [s]
    runs : list of Run
        Of one day.
    """
    homes = [_window_of(windows, run.wished) for run in runs]
    own = [Run(r.valve, at, r.cycles, r.each, r.soak)
           for r, (_, at) in zip(runs, homes, strict=True)]  # fmt: skip
    first = [k for k, _ in homes]

    def drawn(k: int, inside: list[int]) -> DayClock:
        return _window(windows[k], [_moved(windows[k], own[i], first[i] == k) for i in inside])

    chosen = first
    by_home = [drawn(k, [i for i, h in enumerate(first) if h == k]) for k in range(len(windows))]
    if sum(each.over for each in by_home) > 0 and len(windows) > 1:
        chosen = share_out(own, first, lambda k, inside: drawn(k, inside).over, len(windows))
    days = [drawn(k, [i for i, h in enumerate(chosen) if h == k]) for k in dict.fromkeys(chosen)]
    return DayClock(
        tuple(run for day in days for run in day.runs),
        sum(day.busy for day in days),
        sum(day.over for day in days),
    )


def _moved(window: tuple[float, float], run: Run, home: bool) -> Run:
    """Let a run that comes from another window wish for the end that is nearer to its wish."""
    if home:
        return run
    start = window[0]
    end = start + ((window[1] - start) % DAY or DAY)
    before, after = (start - run.wished) % DAY, (run.wished - end) % DAY
    return Run(run.valve, start if before <= after else end, run.cycles, run.each, run.soak)


def _window(window: tuple[float, float], runs: list[Run]) -> DayClock:
    """Draw the rounds of one window one after another; where they do not fit, all as one."""
    rounds: dict[float, list[Run]] = defaultdict(list)
    for run in runs:
        rounds[run.wished].append(run)
    start = window[0]
    room = (window[1] - start) % DAY or DAY
    end = start + room
    drawn = [(wished, *_round(rounds[wished])) for wished in sorted(rounds)]
    left = busy = sum(length for _, _, length in drawn)
    if busy - room > _SLACK or any(_again(each) for each in rounds.values()):
        turns, length = tightest(sorted(runs, key=lambda r: r.wished), room)
        if length < busy or busy <= room:
            drawn = [(min(rounds), turns, length)]
            left = busy = length
    placed: list[Placed] = []
    now = start
    for wished, schedule, length in drawn:
        begins = max(now, min(wished, end - left))
        placed += [
            Placed(run.valve, tuple(begins + t for t in opens), begins + opens[-1] + run.each)
            for run, opens in schedule
        ]
        left -= length
        now = begins + length
    over = now - end
    return DayClock(tuple(placed), busy, over if over > _SLACK else 0.0)


def _again(runs: list[Run]) -> bool:
    """Tell whether a valve comes twice in a round."""
    return len({r.valve for r in runs}) < len(runs)


def _window_of(windows: tuple[tuple[float, float], ...], wished: float) -> tuple[int, float]:
    """Give the window that holds a time, and the time counted on from the window's midnight."""
    for k, (start, end) in enumerate(windows):
        into = (wished - start) % DAY
        if into <= ((end - start) % DAY or DAY):
            return k, start + into
    return 0, windows[0][0]


def _round(runs: list[Run]) -> tuple[list[tuple[Run, list[float]]], float]:
    """Let the valves of a round take turns: who has rested first is next."""
    ready = [0.0] * len(runs)
    opens: list[list[float]] = [[] for _ in runs]
    now = 0.0
    while any(len(o) < r.cycles for o, r in zip(opens, runs, strict=True)):
        waiting = [i for i, r in enumerate(runs) if len(opens[i]) < r.cycles]
        i = min(waiting, key=lambda k: (max(ready[k], now), k))
        now = max(ready[i], now)
        opens[i].append(now)
        now += runs[i].each
        ready[i] = now + runs[i].soak
    return list(zip(runs, opens, strict=True)), now
