"""The clock of a day's waterings: every cycle of every valve inside the windows, one at a time."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from hillwright.watering.given import DAY

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
    the next one's turn. Rounds of a window follow one another too.

    Parameters
    ----------
    windows : tuple of (from, to)
        When water may run. [s]
    runs : list of Run
        Of one day.
    """
    rounds: dict[int, dict[float, list[Run]]] = defaultdict(lambda: defaultdict(list))
    for run in runs:
        k, wished = _window_of(windows, run.wished)
        rounds[k][wished].append(run)
    placed: list[Placed] = []
    busy = over = 0.0
    for k, of_window in rounds.items():
        start, end = windows[k]
        end = start + ((end - start) % DAY or DAY)
        drawn = [(wished, *_round(of_window[wished])) for wished in sorted(of_window)]
        left = sum(length for _, _, length in drawn)
        busy += left
        now = start
        for wished, schedule, length in drawn:
            begins = max(now, min(wished, end - left))
            placed += [
                Placed(run.valve, tuple(begins + t for t in opens), begins + opens[-1] + run.each)
                for run, opens in schedule
            ]
            left -= length
            now = begins + length
        over += max(now - end - _SLACK, 0.0)
    return DayClock(tuple(placed), busy, over)


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
