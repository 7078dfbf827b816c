"""The fewest minutes that keep every cell from stress, valve by valve and month by month.

A cell whose store cannot bridge the longest wait of its day is filled again at every watering, and
no more: what is beyond any minutes does not drive them.
"""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.watering.model import Store
from hillwright.watering.trial import SLACK, Trial, course_of

_REPAIRS = 30


def tune(trial: Trial, most: Index) -> tuple[Index, bool]:
    """Find the fewest whole minutes of each valve and month under which no cell is stressed.

    More water never makes a cell drier, so the minutes of each valve and month are closed in
    between too few and enough, several tries side by side; what a month leaves to the next is then
    put right by small steps.

    Parameters
    ----------
    trial : Trial
        Weather, cells, and when in the day they are watered.
    most : (v, 12) int array
        Minutes of a watering that are enough for sure. [min]

    Returns
    -------
    tuple
        (v, 12) minutes, and whether no cell is stressed under them.
    """
    if not len(trial.valve):
        return np.zeros_like(most), True
    start = np.zeros(trial.shape)  # every year begins with full stores

    def look(minutes: Index) -> Mask:
        """Look at one set; a year begins as the one before it ended."""
        nonlocal start
        dry, end = course_of(trial, minutes[None]).dry(start)
        start = np.vstack([end[0][-1:] if len(start) == 1 else start[:1], end[0][:-1]])
        first: Mask = dry[0]
        return first

    hopeless = look(most)
    minutes = _closed_in(trial, most, hopeless, start)
    for _ in range(_REPAIRS):
        dry = look(minutes)
        wrong = dry & ~hopeless
        if not wrong.any():
            break
        more = wrong | np.roll(wrong, -1, axis=1)  # or the month before leaves too little
        minutes = np.where(more, np.minimum(minutes + np.maximum(minutes // 50, 1), most), minutes)
    return minutes, not bool(dry.any())


def _closed_in(trial: Trial, most: Index, hopeless: Mask, start: Array) -> Index:
    """Close the minutes in between too few and enough, all years begun as told."""
    tries = trial.at_once
    high, low = most.copy(), np.full_like(most, -1)
    while int((high - low).max(initial=0)) > 1:
        if (few := deciding(trial, np.maximum(low, 0), start, ~hopeless)) is not None:
            trial, start = trial.of_cells(few), start[:, few]
        steps = np.arange(1, tries + 1).reshape(-1, 1, 1)
        tried = np.minimum(low + np.maximum((high - low) * steps // (tries + 1), 1), high)
        tried = np.minimum(np.maximum.accumulate(tried, axis=0), high)
        first = _first_enough(trial, tried, start, hopeless)
        wider = np.concatenate([low[None], tried, high[None]])
        new_high = np.take_along_axis(wider, (first + 1)[None], axis=0)[0]
        new_low = np.take_along_axis(wider, first[None], axis=0)[0]
        high, low = np.where(hopeless, high, new_high), np.where(hopeless, high, new_low)
        low = np.where(high - low <= 1, high - 1, low)
    return high


def _first_enough(trial: Trial, tried: Index, start: Array, hopeless: Mask) -> Index:
    """Give the first of ever greater settings under which a valve's month is not dry (v, 12)."""
    first, last = np.zeros(hopeless.shape, dtype=np.intp), np.full(hopeless.shape, len(tried))
    while (open_ := (first < last) & ~hopeless).any():
        middles = np.sort((first[open_] + last[open_]) // 2)
        k = int(middles[len(middles) // 2])
        dry = course_of(trial, tried[k : k + 1]).dry(start)[0][0]
        last = np.where(dry, last, np.minimum(last, k))
        first = np.minimum(np.where(dry, np.maximum(first, k + 1), first), last)
    return last


def deciding(trial: Trial, low: Index, start: Array, counts: Mask) -> Index | None:
    """Give the cells that dry out under ``low`` in a month that counts (v, 12); None for all.

    Whoever stands it with less water stands it with more, and decides nothing.
    """
    worst, _ = course_of(trial, low[None]).short_by(start)
    short = (worst[:, 0] > SLACK) & counts[trial.valve].T
    few = np.flatnonzero(short.any(axis=0))
    return None if len(few) == len(trial.valve) else few


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
