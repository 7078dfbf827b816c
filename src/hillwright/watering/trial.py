"""What the minutes of each valve and month leave in the soil of each cell, month by month.

Step by step, what is missing from a store goes from x to max(x - given, 0) + used. Through the
steps of a month that comes to max(x + through, filled), and the worst beyond what may be used to
max(x + dry, dried): what was missing before counts for as long as the store was never filled. So
a month is worked out once for each setting of its valve, whatever the months before it left.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.watering.daycourse import DayParts, longest_wait
from hillwright.watering.given import MM
from hillwright.watering.model import Store
from hillwright.watering.timetable import MINUTE, Pattern, runs_on

SLACK = 1e-9  # rounding is no stress [m]
_TRIED = 12  # minutes that are tried side by side, where there are few cells and years
_AT_ONCE = 20_000  # cells times years times tries
_KEPT = 8_000  # columns, cells times years, of which what earlier trials found is kept
_BLOCK = 16_000  # steps of columns that fit a processor's own memory


@dataclass(frozen=True, slots=True, eq=False)
class Years:
    """Days of y years side by side, 366 to a year; a day that a year lacks is not there."""

    there: Mask  # (366, y)
    reference: Array  # (366, y) [m]
    rain: Array  # (366, y) that enters the soil [m]
    year: Index  # (366, y)
    day: Index  # (366, y)
    month: Index  # (366,)


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


Known = dict[tuple[int, int, bytes], "_Month"]


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """All that does not change with the minutes: of y years, c cells, v valves."""

    years: Years
    coefficient: Array  # (c, 12)
    wet: Array  # (c, 12) rain of every day beside that of the years [m]
    store: Store
    valve: Index  # (c,)
    runs: Array  # (366, y, v) waterings of a day
    efficiency: float
    parts: DayParts
    wait: Array  # (v, 12) share of a day's use in the longest wait
    known: Known = field(default_factory=dict)  # months of these cells, however they are cut
    months: dict[tuple[int, int], _Month] = field(default_factory=dict)  # as they are cut here

    @property
    def shape(self) -> tuple[int, int]:
        """Years and cells."""
        return self.years.reference.shape[1], len(self.valve)

    @property
    def valves(self) -> int:
        """How many valves there are, with cells or without."""
        return int(self.runs.shape[2])

    @property
    def at_once(self) -> int:
        """How many sets of minutes are tried side by side."""
        return max(1, min(_TRIED, _AT_ONCE // max(self.shape[0] * self.shape[1], 1)))

    def of_cells(self, which: Index) -> Trial:
        """Give the same for some of the cells."""
        s = self.store
        some = Store(s.total[which], s.depletion[which], s.catch[which], s.rate[which])
        cells = (self.coefficient[which], self.wet[which], some, self.valve[which])
        found = Trial(self.years, *cells, self.runs, self.efficiency, self.parts, self.wait)
        for (v, m), month in self.months.items():
            kept = np.isin(np.flatnonzero(self.valve == v), which)
            found.months[v, m] = month.of_cells(np.flatnonzero(kept))
        return found

    def month(self, valve: int, month: int) -> _Month:
        """Give a month of a valve's cells: it is the same wherever its days are cut alike."""
        if (valve, month) not in self.months:
            days = self.years.month == month
            cut = (self.parts.use[:, month, valve], self.parts.given[:, month, valve])
            waits = self.wait[valve, [month, month - 1]]
            how = b"".join(a.tobytes() for a in (*cut, waits, self.runs[days, :, valve]))
            if (valve, month, how) not in self.known:
                self.known[valve, month, how] = _month(self, valve, month)
            self.months[valve, month] = self.known[valve, month, how]
        return self.months[valve, month]


def trial_of(
    years: Years,
    coefficient: Array,
    store: Store,
    valve: Index,
    pattern: Pattern,
    efficiency: float,
    parts: DayParts,
    wet: Array | float = 0.0,
    known: Known | None = None,
) -> Trial:
    """Lay out days, cells and the times at which they are watered.

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
    efficiency : float
        Share of the water that reaches the roots. [-]
    parts : DayParts
        Of the valves: when in the day water is given, and how much is used till then.
    wet : (c, 12) array
        Rain of every day beside that of the years, over the plants. [m]
    known : dict, optional
        Of an earlier trial of the same years, cells and efficiency: its months are not redone.
    """
    flat = years.year.ravel(), years.day.ravel(), np.repeat(years.month, years.year.shape[1])
    runs = runs_on(pattern, *flat).reshape(*years.year.shape, -1) * years.there[..., None]
    runs = runs * pattern.starts.T[years.month][:, None, :]
    wet = np.broadcast_to(np.asarray(wet, float), coefficient.shape)
    cells = (coefficient, wet, store, valve)
    if known is None or years.reference.shape[1] * len(valve) > _KEPT:
        known = {}
    return Trial(years, *cells, runs, efficiency, parts, longest_wait(parts), known)


class _Month:
    """A month of the k cells of a valve in y years: t steps, each begun by what fills the store.

    Parameters
    ----------
    dry : (y, k, t) array
        Used, less what may be used and the rain, at the driest moment of the step. [m]
    rain, wet : (y, t) array
        Rain from its beginning [m], and the days that are wet beside it, each step's included.
    until, watered : (y, t) array
        Reference ET until the step [m], and waterings from its beginning, the step's included;
        parts of them where a day has several.
    used : (y,) array
        Reference ET of the whole month. [m]
    cells : (4, k) array
        Crop coefficient [-], catch [-], rain of a wet day [m], what a minute brings [m].
    """

    def __init__(
        self, dry: Array, rain: Array, wet: Array, until: Array, watered: Array, used: Array,
        cells: Array,
    ) -> None:  # fmt: skip
        self._dry, self._rain, self._wet, self._until = dry, rain, wet, until
        self._watered, self._used, self._cells = watered, used, cells
        self._row: dict[int, int] = {}  # of the settings worked out so far
        self._found = np.empty((0, 4, *dry.shape[:2]))

    def of_cells(self, which: Index) -> _Month:
        """Give the same for some of the cells, with all that is worked out."""
        given = (self._rain, self._wet, self._until, self._watered, self._used)
        some = _Month(self._dry[:, which], *given, self._cells[:, which])
        some._row, some._found = dict(self._row), self._found[..., which]
        return some

    def under(self, minutes: Index) -> Array:
        """Give through, filled, dry and dried (g, 4, y, k) under g settings [m]."""
        wanted = minutes.tolist()
        if new := [m for m in dict.fromkeys(wanted) if m not in self._row]:
            made = np.array([self._course(m) for m in new])
            self._row |= {m: len(self._found) + i for i, m in enumerate(new)}
            self._found = np.concatenate([self._found, made])
        return np.asarray(self._found[[self._row[m] for m in wanted]])

    def _course(self, minutes: int) -> Array:
        y, k, t = self._dry.shape
        found = np.empty((4, y, k))
        step = max(1, _BLOCK // (y * t))
        for first in range(0, k, step):
            some = slice(first, first + step)
            use, catch, wet, dose = self._cells[:, some, None]
            given = (minutes * dose) * self._watered[:, None, :]
            since = given + catch * self._rain[:, None, :]
            if wet.any():
                since += wet * self._wet[:, None, :]
            through = use[:, 0] * self._used[:, None] - since[..., -1]
            since -= use * self._until[:, None, :]
            np.maximum.accumulate(since, axis=-1, out=since)
            dry = self._dry[:, some] - given
            found[0, :, some], found[1, :, some] = through, through + since[..., -1]
            dry.max(axis=-1, out=found[2, :, some])
            dry += since
            dry.max(axis=-1, out=found[3, :, some])
        return found


def _month(trial: Trial, v: int, m: int) -> _Month:
    years, store = trial.years, trial.store
    k = np.flatnonzero(trial.valve == v)
    days = np.flatnonzero(years.month == m)
    reference, there = years.reference[days].T, years.there[days].T  # (y, d)
    use = reference[:, None, :] * trial.coefficient[k, m][:, None]  # (y, k, d)
    ready = np.clip(store.depletion[k][:, None] + 0.04 * (5 - use / MM), 0.1, 0.8)
    ready *= store.total[k][:, None]
    # a wait over midnight holds a part of yesterday
    before = np.roll(years.month, 1)[days[0]]
    eve = years.reference[days[0] - 1][:, None] * trial.coefficient[k, before]
    held = np.maximum(use, np.concatenate([eve[..., None], use[..., :-1]], axis=-1))
    wait = np.full(len(days), trial.wait[v, m])
    wait[0] = max(wait[0], trial.wait[v, before])
    held *= wait
    held += SLACK
    np.maximum(ready, held, out=ready)
    ready[~np.broadcast_to(there[:, None, :], ready.shape)] = np.inf

    share_used, share_given = trial.parts.use[:, m, v], trial.parts.given[:, m, v]
    some = np.flatnonzero((share_used > 0) | (share_given > 0))
    j, y = len(some), len(reference)

    def steps(by_day: Array, shares: Array) -> Array:
        return np.asarray(np.cumsum((by_day[..., None] * shares).reshape(y, -1), axis=-1))

    of_reference = steps(reference, share_used[some])
    at_dawn = np.zeros(j)
    at_dawn[0] = 1.0
    of_rain, wet = steps(years.rain[days].T, at_dawn), steps(there.astype(float), at_dawn)
    watered = steps(trial.runs[days, :, v].T, share_given[some])
    # between what fills the store the driest moment is known beforehand
    rainy = trial.wet[k, m].any()
    events = np.diff(of_rain + watered + (wet if rainy else 0.0), axis=-1).any(axis=0)
    begin = np.concatenate([[0], np.flatnonzero(events) + 1])
    coefficient = trial.coefficient[k, m][:, None]
    dry = of_reference[:, None, :] * coefficient
    dry.reshape(*ready.shape, j)[:] -= ready[..., None]
    dry = np.maximum.reduceat(dry, begin, axis=-1)
    rain = of_rain[:, None, begin] * store.catch[k][:, None]
    if rainy:
        rain = rain + wet[:, None, begin] * trial.wet[k, m][:, None]
    dry -= rain
    until = np.concatenate([np.zeros((y, 1)), of_reference], axis=1)[:, begin]
    dose = store.rate[k] * trial.efficiency * MINUTE
    return _Month(
        dry,
        of_rain[:, begin],
        wet[:, begin],
        until,
        watered[:, begin],
        of_reference[:, -1],
        np.stack([coefficient[:, 0], store.catch[k], trial.wet[k, m], dose]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """What g sets of minutes (g, v, 12) do to the cells of a trial, whatever they begin with."""

    shape: tuple[int, int]
    sets: int
    valves: int
    months: tuple[tuple[int, Index, list[Array]], ...]  # valve, its cells, 12 of (g, 4, y, k)

    def short_by(self, start: Array) -> tuple[Array, Array]:
        """Give how far each cell is beyond its ready water at worst (12, g, c), and its end [m]."""
        end = np.broadcast_to(start, (self.sets, *self.shape)).copy()
        worst = np.full((12, self.sets, self.shape[1]), -np.inf)
        for _, here, months in self.months:
            d = end[:, :, here]
            for m, t in enumerate(months):
                worst[m][:, here] = np.maximum(d + t[:, 2], t[:, 3]).max(axis=1)
                d = np.maximum(d + t[:, 0], t[:, 1])
            end[:, :, here] = d
        return worst, end

    def dry(self, start: Array) -> tuple[Mask, Array]:
        """Tell where cells dry out (g, v, 12), and what is missing at the end (g, y, c) [m].

        Use is not lowered by stress: of what is never stressed that changes nothing, and what is
        stressed is only found the sooner.
        """
        worst, end = self.short_by(start)
        found = np.zeros((self.sets, self.valves, 12), dtype=bool)
        for v, here, _ in self.months:
            found[:, v] = (worst[:, :, here].max(axis=2) > SLACK).T
        return found, end


def course_of(trial: Trial, minutes: Index) -> Course:
    """Follow the cells of a trial under g sets of minutes (g, v, 12)."""
    found = []
    for v in range(trial.valves):
        here = np.flatnonzero(trial.valve == v)
        if len(here):
            months = [trial.month(v, m).under(minutes[:, v, m]) for m in range(12)]
            found.append((v, here, months))
    return Course(trial.shape, len(minutes), trial.valves, tuple(found))
