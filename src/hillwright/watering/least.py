"""What is left of the minutes when none of them can be spared: the end of the tuning."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.watering.trial import Trial, course_of
from hillwright.watering.tune import deciding

_ROUNDS = 30  # of taking off
_AGAIN = 4  # times that the cells which decide are looked for anew
_FAR = 0.85  # of the minutes
_SETTLE = 4  # times that the years are begun as the ones before them ended
_SAME = 1e-7  # a beginning that moves less is the same [m]


def stands(trial: Trial, minutes: Index, begun: Array) -> tuple[Mask, Array]:
    """Tell where a setting leaves cells dry (v, 12), and how dry they begin a year under it (c,).

    Any year may follow any other, and a year under another setting (``begun``): a setting that
    gives no more than is used never fills up again what was missing when its year began.
    """
    start, course = begun, course_of(trial, minutes[None])
    for _ in range(_SETTLE):
        dry, end = course.dry(_years(trial, start))
        after = np.maximum(end[0].max(axis=0), start)
        moved = float((after - start).max(initial=0.0))
        start = after
        if moved < _SAME:
            break
    wrong: Mask = dry[0]
    return wrong, start


def _years(trial: Trial, start: Array) -> Array:
    return np.broadcast_to(start, trial.shape)


def next_below(minutes: Index, settable: Callable[[Index], Index]) -> Index:
    """Give the next smaller minutes that a controller can be set to, whole in each cycle."""
    found = np.maximum(minutes - 1, 0)
    while (off := (found > 0) & (settable(found) != found)).any():
        found = np.where(off, found - 1, found)
    return found


def least_minutes(
    trial: Trial,
    minutes: Index,
    floor: Index,
    most: Index,
    settable: Callable[[Index], Index],
    begun: Array,
) -> tuple[Index, bool]:
    """Take off what no cell needs, until no month of any valve can do with the next smaller.

    Parameters
    ----------
    trial : Trial
        The days, the c cells and when each is watered.
    minutes : (v, 12) int array
        To begin with. [min]
    floor, most : (v, 12) int array
        Below which none may go, and that are enough for sure. [min]
    settable : function
        Minutes rounded up to what a controller takes.
    begun : (c,) array
        Water that may be missing when a year begins. [m]

    Returns
    -------
    tuple
        (v, 12) minutes, and whether no cell is stressed under them.
    """
    most = np.maximum(settable(most), minutes)
    known, _ = stands(trial, most, begun)  # beyond any minutes
    dry, start = stands(trial, minutes, begun)
    for _ in range(_ROUNDS):
        if not (wrong := dry & ~known).any():
            break
        more = wrong | np.roll(wrong, -1, axis=1)  # or the month before leaves too little
        minutes = np.where(more, np.minimum(settable(minutes + 1), most), minutes)
        dry, start = stands(trial, minutes, begun)
    known |= dry
    for _ in range(_AGAIN):
        # what is not dry with far less water decides nothing: only the others are followed
        low = np.maximum(settable((minutes * _FAR).astype(np.intp)), floor)
        few = deciding(trial, low, _years(trial, start), ~known)
        some, begin = (trial, start) if few is None else (trial.of_cells(few), start[few])
        if not len(some.valve):
            minutes = np.where(known, minutes, np.minimum(low, minutes))
            continue
        minutes = _taken_off(some, minutes, np.minimum(low, minutes), settable, begin, known)
        if not ((minutes == low) & (low > floor) & ~known).any():
            break
    dry, _ = stands(trial, minutes, begun)
    return minutes, not bool(dry.any())


def _taken_off(
    trial: Trial,
    minutes: Index,
    low: Index,
    settable: Callable[[Index], Index],
    start: Array,
    known: Mask,
) -> Index:
    """Take off step by step, not below ``low``, while no cell that was not dry becomes so."""
    _, start = stands(trial, minutes, start)
    for _ in range(_ROUNDS):
        fewer = next_below(minutes, settable)
        may = (minutes > 0) & (fewer >= low) & ~known
        passes = may & _each_alone(trial, minutes, fewer, start, known)
        taken = np.zeros(len(minutes), dtype=bool)
        # months beside each other share a store: all at once, else every other, else one
        for some in _choices(passes) if passes.any() else ():
            tried = np.where(some & ~taken[:, None], fewer, minutes)
            # less water never fills a store up: it begins at least as dry as before
            wrong, _ = stands(trial, tried, start)
            good: Mask = np.asarray(~(wrong & ~known).any(axis=1) & (tried < minutes).any(axis=1))
            minutes = np.where(good[:, None], tried, minutes)
            taken |= good
            if taken[passes.any(axis=1)].all():
                break
        if not taken.any():
            break
        _, start = stands(trial, minutes, start)
    return minutes


def _each_alone(trial: Trial, minutes: Index, fewer: Index, start: Array, known: Mask) -> Mask:
    """Tell which months of each valve can be lowered with all others as they are (v, 12)."""
    found, begun = np.zeros(minutes.shape, dtype=bool), _years(trial, start)
    for block in np.array_split(np.arange(12), -(-12 // trial.at_once)):
        tried = np.repeat(minutes[None], len(block), axis=0)
        for k, m in enumerate(block):
            tried[k, :, m] = fewer[:, m]
        wrong = course_of(trial, tried).dry(begun)[0] & ~known
        found[:, block] = ~wrong.any(axis=2).T
    return found


def _choices(passes: Mask) -> list[Mask]:
    even = np.arange(12) % 2 == 0
    one = passes & (np.cumsum(passes, axis=1) == 1)
    last = passes & (np.cumsum(passes[:, ::-1], axis=1)[:, ::-1] == 1)
    return [passes, passes & even, passes & ~even, one, last]
