"""One vessel in a steady rain: when it is full, and what spills. The storm in closed form."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.given import above_zero, at_least_zero
from hillwright.method import method


class FillAndSpill(NamedTuple):
    """What becomes of a steady rain on a vessel."""

    full_after: Array
    spill_rate: Array
    spilled: Array
    held: Array
    soaked: Array


@method(
    title="A cell that fills and spills in a steady rain",
    equation="n = i + q/A - f; t1 = H/(A n) where n > 0; spilled = A n max(0, t - t1)",
    source="water balance (closed form)",
)
def fill_and_spill(
    area: ArrayLike,
    hold: ArrayLike,
    rain_rate: ArrayLike,
    loss_rate: ArrayLike,
    duration: ArrayLike,
    run_on: ArrayLike = 0.0,
) -> FillAndSpill:
    """Say when a cell, empty at first, is full, and what it spills until a time.

    Parameters
    ----------
    area : (...) array
        Plan area. [m2]
    hold : (...) array
        Water that stands in it before it spills. [m3]
    rain_rate : (...) array
        i, steady. [m/s]
    loss_rate : (...) array
        f, most that the soil takes in, steady. [m/s]
    duration : (...) array
        t, how long it has rained. [s]
    run_on : (...) array
        q, flow from the cells above. [m3/s]

    Returns
    -------
    full_after : (...) array
        t1, when it begins to spill; infinite where the soil takes in all. [s]
    spill_rate : (...) array
        From then on. [m3/s]
    spilled : (...) array
        Until the time. [m3]
    held : (...) array
        Stands in it at the time. [m3]
    soaked : (...) array
        Taken in by the soil until the time. [m3]

    Raises
    ------
    OutOfRange
        An area of 0 or less, or another number below 0.
    """
    a, h = above_zero("area", area), at_least_zero("hold", hold)
    i, f = at_least_zero("rain_rate", rain_rate), at_least_zero("loss_rate", loss_rate)
    t, q = at_least_zero("duration", duration), at_least_zero("run_on", run_on)
    a, h, i, f, t, q = np.broadcast_arrays(a, h, i, f, t, q)
    comes = a * i + q
    gain = comes - a * f
    with np.errstate(divide="ignore", invalid="ignore"):
        full = np.where(gain > 0, h / gain, np.inf)
    rate = np.maximum(gain, 0.0)
    spilled = rate * np.maximum(t - full, 0.0)
    held = np.minimum(rate * t, h)
    return FillAndSpill(full, rate, spilled, held, comes * t - spilled - held)
