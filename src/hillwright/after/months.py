"""Months of a place: when it rains, when it may freeze."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array
from hillwright.planting.frame import FROSTS
from hillwright.planting.season import month_of

DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def rainy_months(rain: Array, reference: Array, share: float) -> tuple[int, ...]:
    """Give the rainy months in their order, the first after a dry one in front.

    Parameters
    ----------
    rain : (12,) array
        Of the whole month [m].
    reference : (12,) array
        Reference evapotranspiration of a mean day [m].
    share : float
        A month is rainy where rain is more than this share of the reference of the month; where
        none is, the month with most rain stands for them.
    """
    wet = np.asarray(rain) > share * np.asarray(reference) * DAYS
    if not wet.any():
        return (int(np.argmax(rain)) + 1,)
    if wet.all():
        start = (int(np.argmin(rain)) + 1) % 12
        return tuple((start + k) % 12 + 1 for k in range(12))
    starts = [m for m in range(12) if wet[m] and not wet[m - 1]]

    def run(start: int) -> int:
        return next(k for k in range(1, 13) if not wet[(start + k) % 12])

    first = max(starts, key=run)
    return tuple((first + k) % 12 + 1 for k in range(12) if wet[(first + k) % 12])


def frost_months(last: int | None, first: int | None, south: bool) -> tuple[int, ...]:
    """Give the months with a risk of frost, from the first frost of autumn to the last of spring.

    Parameters
    ----------
    last, first : int or None
        Days of the year; where the job does not say, those that the planting takes.
    south : bool
        South of the equator.
    """
    if last is None or first is None:
        last, first = FROSTS[south]
    found = []
    month = month_of(first)
    while True:
        found.append(month)
        if month == month_of(last):
            return tuple(found)
        month = month % 12 + 1


def before(month: int, by: int = 1) -> int:
    """Give the month so many before another."""
    return (month - 1 - by) % 12 + 1
