"""The fewest minutes that keep every cell from stress, valve by valve and month by month.

A cell whose store cannot bridge the longest wait of its day is filled again at every watering, and
no more: what is beyond any minutes does not drive them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.watering.daycourse import DayParts, longest_wait
from hillwright.watering.given import MM
from hillwright.watering.model import Store
from hillwright.watering.timetable import MINUTE, Pattern, runs_on

SLACK = 1e-9  # rounding is no stress [m]
_TRIED = 12  # minutes that are tried side by side, where there are few cells and years
_AT_ONCE = 20_000  # cells times years times tries that fit a processor's own memory
_REPAIRS = 30


@dataclass(frozen=True, slots=True, eq=False)
class Years:
    """Days of y years side by side, 366 to a year; a day that a year lacks is not there."""

    there: Mask  # (366, y)
    reference: Array  # (366, y) [m]
    rain: Array  # (366, y) that enters the soil [m]
    year: Index  # (366, y)
    day: Index  # (366, y)
    month: Index  # (366,)


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """All that does not change with the minutes: of 366 days, y years, c cells."""

    use: Array  # (366, y, c) [m]
    ready: Array  # (366, y, c) RAW [m]
    rain: Array  # (366, y, c) [m]
    minute: Array  # (366, y, c) what a minute of the valve brings, 0 where it does not run [m]
    month: Index  # (366,)
    valve: Index  # (c,)
    valves: int
    parts: tuple[tuple[tuple[Array, Array], ...], ...]  # (12) of each part: use, given (c,)

    @property
    def at_once(self) -> int:
        """How many sets of minutes are followed side by side."""
        return max(1, min(_TRIED, _AT_ONCE // max(int(self.use[0].size), 1)))

    def of_cells(self, which: Index) -> Trial:
        """Give the same for some of the cells."""
        use, ready, rain, minute = (
            np.ascontiguousarray(a[:, :, which])
            for a in (self.use, self.ready, self.rain, self.minute)
        )
        parts = tuple(tuple((u[which], g[which]) for u, g in month) for month in self.parts)
        valve = self.valve[which]
        return Trial(use, ready, rain, minute, self.month, valve, self.valves, parts)


def side_by_side(year: Index, day: Index, reference: Array, rain: Array, month: Index) -> Years:
    """Lay k days out as a column for each year, so that all years are followed at once."""
    known = np.unique(year)
    column = np.searchsorted(known, year)
    # each day of the year keeps its row from 1 March on, leap year or not
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    row = np.where(leap | (day < 60), day - 1, day)
    shape = (366, len(known))
    there = np.zeros(shape, dtype=bool)
    there[row, column] = True
    laid = []
    for values in (reference, rain):
        table = np.zeros(shape)
        table[row, column] = values
        laid.append(table)
    days = np.ones(shape, dtype=np.intp)
    days[row, column] = day
    months = np.zeros(366, dtype=np.intp)
    months[59] = 1
    months[row] = month
    return Years(there, laid[0], laid[1], np.broadcast_to(known, shape), days, months)


def trial_of(
    years: Years,
    coefficient: Array,
    store: Store,
    valve: Index,
    pattern: Pattern,
    efficiency: float,
    parts: DayParts,
    wet: Array | float = 0.0,
) -> Trial:
    """Lay out what :func:`tune` follows, of the same inputs."""
    wet = np.broadcast_to(np.asarray(wet, float), coefficient.shape)
    flat = years.year.ravel(), years.day.ravel(), np.repeat(years.month, years.year.shape[1])
    runs = runs_on(pattern, *flat).reshape(*years.year.shape, -1) * years.there[..., None]
    use = years.reference[..., None] * coefficient.T[years.month][:, None, :]
    ready = np.clip(store.depletion + 0.04 * (5 - use / MM), 0.1, 0.8) * store.total
    wait = longest_wait(parts)[valve].T[years.month][:, None, :]  # (366, 1, c)
    # a wait over midnight holds a part of yesterday
    held = np.maximum(use, np.roll(use, 1, axis=0)) * np.maximum(wait, np.roll(wait, 1, axis=0))
    ready = np.maximum(ready, held + SLACK)
    starts = pattern.starts.T[years.month]  # (366, v)
    minute = (runs * starts[:, None, :])[:, :, valve] * store.rate * efficiency * MINUTE
    cut = tuple(
        tuple(
            (parts.use[j, m, valve], parts.given[j, m, valve])
            for j in range(len(parts.use))
            if parts.use[j, m, valve].any() or parts.given[j, m, valve].any()
        )
        for m in range(12)
    )
    return Trial(
        use,
        np.where(years.there[..., None], ready, np.inf),
        years.rain[..., None] * store.catch
        + wet.T[years.month][:, None, :] * years.there[..., None],  # no rain on a day that is not
        minute,
        years.month,
        valve,
        pattern.interval.shape[0],
        cut,
    )


def start_of(trial: Trial) -> Array:
    """Begin every year with full stores (y, c) [m]."""
    return np.zeros(trial.use.shape[1:])


def dry_under(trial: Trial, minutes: Array, start: Array) -> tuple[Mask, Array]:
    """Tell where cells dry out under g sets of minutes (g, v, 12), and what is missing at the end.

    Use is not lowered by stress: of what is never stressed that changes nothing, and what is
    stressed is only found the sooner.
    """
    worst, d = short_by(trial, minutes, start)
    found = np.zeros((len(minutes), trial.valves, 12), dtype=bool)
    for v in range(trial.valves):
        here = trial.valve == v
        if here.any():
            found[:, v] = (worst[:, :, here].max(axis=2) > SLACK).T
    return found, d


def short_by(trial: Trial, minutes: Array, start: Array) -> tuple[Array, Array]:
    """Give how far each cell is beyond its ready water at worst (12, g, c), and its end [m]."""
    g = len(minutes)
    d = np.broadcast_to(start, (g, *start.shape)).copy()
    dose = minutes[:, trial.valve, :]  # (g, c, 12)
    worst = np.full((12, g, d.shape[2]), -np.inf)
    for i in range(366):
        m = trial.month[i]
        given, use, ready = trial.minute[i] * dose[:, None, :, m], trial.use[i], trial.ready[i]
        d -= trial.rain[i]
        for of_use, of_given in trial.parts[m]:
            d -= given * of_given
            np.maximum(d, 0.0, out=d)
            d += use * of_use
            np.maximum(worst[m], (d - ready).max(axis=1), out=worst[m])
    return worst, d


def tune(
    years: Years,
    coefficient: Array,
    store: Store,
    valve: Index,
    pattern: Pattern,
    most: Index,
    efficiency: float,
    parts: DayParts,
    wet: Array | float = 0.0,
) -> tuple[Index, bool]:
    """Find the fewest whole minutes of each valve and month under which no cell is stressed.

    More water never makes a cell drier, so the minutes of each valve and month are closed in
    between too few and enough, several tries side by side; what a month leaves to the next is then
    put right by small steps.

    Parameters
    ----------
    years : Years
        The weather.
    coefficient : (c, 12) array
        Of each of c cells: share of reference ET, on its own slope. [-]
    store : Store
        Of the c cells.
    valve : (c,) int array
        Of each cell.
    pattern : Pattern
        Days and waterings of a day: v valves.
    most : (v, 12) int array
        Minutes of a watering that are enough for sure. [min]
    efficiency : float
        Share of the water that reaches the roots. [-]
    parts : DayParts
        Of the valves: when in the day water is given, and how much is used till then.
    wet : (c, 12) array
        Rain of every day beside that of the years, over the plants. [m]

    Returns
    -------
    tuple
        (v, 12) minutes, and whether no cell is stressed under them.
    """
    if not len(valve):
        return np.zeros_like(most), True
    trial = trial_of(years, coefficient, store, valve, pattern, efficiency, parts, wet)
    start = start_of(trial)

    def look(minutes: Index) -> Mask:
        """Look at one set; a year begins as the one before it ended."""
        nonlocal start
        dry, end = dry_under(trial, minutes[None].astype(float), start)
        start = np.vstack([end[0][-1:] if len(start) == 1 else start[:1], end[0][:-1]])
        first: Mask = dry[0]
        return first

    tries = trial.at_once
    high, low = most.copy(), np.full_like(most, -1)
    hopeless = look(high)
    while int((high - low).max(initial=0)) > 1:
        steps = np.arange(1, tries + 1).reshape(-1, 1, 1)
        tried = np.minimum(low + np.maximum((high - low) * steps // (tries + 1), 1), high)
        tried = np.minimum(np.maximum.accumulate(tried, axis=0), high)
        dry, _ = dry_under(trial, tried.astype(float), start)
        enough = ~dry & ~hopeless
        # the least of those tried from which on none is dry
        good = np.flip(np.logical_and.accumulate(np.flip(enough, axis=0), axis=0), axis=0)
        first = np.where(good.any(axis=0), good.argmax(axis=0), tries)
        wider = np.concatenate([low[None], tried, high[None]])
        new_high = np.take_along_axis(wider, (first + 1)[None], axis=0)[0]
        new_low = np.take_along_axis(wider, first[None], axis=0)[0]
        high, low = np.where(hopeless, high, new_high), np.where(hopeless, high, new_low)
        low = np.where(high - low <= 1, high - 1, low)
    minutes = high
    for _ in range(_REPAIRS):
        dry = look(minutes)
        wrong = dry & ~hopeless
        if not wrong.any():
            break
        more = wrong | np.roll(wrong, -1, axis=1)  # or the month before leaves too little
        minutes = np.where(more, np.minimum(minutes + np.maximum(minutes // 50, 1), most), minutes)
    return minutes, not bool(dry.any())


def leading_cells(coefficient: Array, store: Store, valve: Index) -> Index:
    """Give the cells that decide: no other on like soil and valve is thirstier in every month."""
    keys = np.column_stack([valve, store.total, store.depletion, store.rate, store.catch])
    _, group = np.unique(np.round(keys, 12), axis=0, return_inverse=True)
    group = group.ravel()
    keep = np.zeros(len(valve), dtype=bool)
    for m in range(12):
        order = np.lexsort((-coefficient[:, m], group))
        first = np.flatnonzero(np.diff(group[order], prepend=-1))
        keep[order[first]] = True
    return np.flatnonzero(keep & (valve >= 0))
