"""From which storm on the rows spill: the rarest storm that they hold altogether."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.job.water import Rain
from hillwright.runoff.beforeafter import excess_of
from hillwright.runoff.cascade import Soils, State
from hillwright.runoff.designrain import Rainfall, column, storm_of, storm_shape
from hillwright.runoff.hyetograph import Storm
from hillwright.runoff.model import Threshold

_STEPS = 288  # of a day: whether something spills needs no finer ones
_TRACE = 1e-9  # thinner spills are rounding [m]


def spill_threshold(
    soils: Soils, row: Index, rainfall: Rainfall, asked: Rain, enters: Array, number: float
) -> Threshold:
    """Find the least return period whose storm makes some cell spill.

    Until the first cell spills, all that a cell gets is rain and the water from above, so that
    each can be looked at for itself. A rarer storm has more rain in every duration: what spills in
    one spills in the next, and halving finds the first.

    Parameters
    ----------
    soils : Soils
        Of the n cells.
    row : (n,) array of int
        1 is the top row.
    rainfall : Rainfall
        What is known of rain.
    asked : Rain
        How it is spread.
    enters : (n,) array
        Ground above that sheds its water into each cell, over the cell's plan area [-].
    number : float
        Curve number of that ground.
    """
    years, storms = _storms(rainfall, asked)
    low, high, found = 0, len(storms), 0
    while low < high:
        middle = (low + high) // 2
        if spills := _first_row(soils, row, storms[middle], enters, number):
            high, found = middle, spills
        else:
            low = middle + 1
    first = years[high] if high < len(years) else float("inf")
    return Threshold(frozen(np.array(years, float)), first, found)


def _storms(rainfall: Rainfall, asked: Rain) -> tuple[list[float], list[Storm]]:
    years, storms = [], []
    for period in rainfall.years.tolist():
        try:
            durations, depths = column(rainfall, period)
            storm = storm_of(durations, depths, storm_shape(asked, durations), _STEPS)
        except OutOfRange:  # known for a few durations only: no storm can be made of it
            continue
        years.append(period)
        storms.append(storm)
    return years, storms


def _first_row(soils: Soils, row: Index, storm: Storm, enters: Array, number: float) -> int:
    """Give the row that spills first in a storm, the uppermost of several; 0 when none does."""
    state = State(soils, float(storm.time[0]))
    above = excess_of(storm.rain, number)
    for fallen, run_on in zip(storm.rain.tolist(), above.tolist(), strict=True):
        over = state.step(fallen + run_on * enters)
        if (wet := over > _TRACE).any():
            return int(row[wet].min())
    return 0
