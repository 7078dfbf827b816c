"""Rainfall by duration and return period: how much falls in how long, and how hard."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard

_ORDER = "list the durations from short to long, each once"


class Rain(NamedTuple):
    """Rain in some time."""

    depth: Array
    intensity: Array


def frequency(durations: ArrayLike, depths: ArrayLike) -> tuple[Array, Array]:
    """Pass one column of a rainfall table on: durations that rise, depths that do not fall."""
    t = guard.rising("durations", durations, _ORDER)
    p = np.atleast_1d(guard.rain_depth(depths, "depths"))
    if p.shape != t.shape:
        what = f"{p.size} depths stand beside {t.size} durations"
        raise OutOfRange("depths", what, "give one depth for each duration")
    given.above_zero("depths", p)
    if (bad := np.diff(p) < 0).any():
        at = int(np.flatnonzero(bad)[0])
        what = f"rain falls from {p[at]:g} m to {p[at + 1]:g} m as the duration grows"
        right = "a longer time never brings less rain: is it an intensity, or a slip of the pen?"
        raise OutOfRange(f"depths, value {at + 2}", what, right)
    return t, p


@method(
    title="Rain of any duration from a table of durations",
    equation="log P straight in log t between the tabled durations; intensity = P / t",
    source="common practice, no source",
)
def rain_in(durations: Array, depths: Array, duration: ArrayLike) -> Rain:
    """Give the rain that falls in some time, from a table for one return period.

    Parameters
    ----------
    durations : (n,) array
        From short to long. [s]
    depths : (n,) array
        Rain in each duration; never less in a longer one. [m]
    duration : (...) array
        What is asked for, above 0 and no longer than the longest tabled. [s]

    Returns
    -------
    depth : (...) array
        Rain in that time. [m]
    intensity : (...) array
        Its mean over the time. [m/s]

    Raises
    ------
    OutOfRange
        Durations out of order, rain that falls with duration, or a duration beyond the table.

    Notes
    -----
    Below the shortest tabled duration the intensity of that duration is kept: a table cannot tell
    how much harder it rains within it.
    """
    t, p = frequency(durations, depths)
    wanted = given.above_zero("duration", duration)
    if (bad := wanted > t[-1] * (1 + 1e-9)).any():
        what = f"{float(wanted[bad].flat[0]) / 3600:g} h is longer than the table"
        raise OutOfRange(
            given.where("duration", bad), what, f"give {t[-1] / 3600:g} h or less, or a longer row"
        )
    inside = np.exp(np.interp(np.log(np.maximum(wanted, t[0])), np.log(t), np.log(p)))
    depth = np.where(wanted < t[0], p[0] * wanted / t[0], inside)
    return Rain(np.asarray(depth), np.asarray(depth / wanted))


@method(
    title="Rain of any return period from a table of return periods",
    equation="log P straight in log T between the tabled return periods",
    source="common practice, no source",
)
def rain_once_in(years: Array, depths: Array, period: float) -> Array:
    """Give the rain of one return period for every row of a table.

    Parameters
    ----------
    years : (m,) array
        Return periods, from short to long. [-]
    depths : (..., m) array
        Rain, one column for each return period; never less in a rarer storm. [m]
    period : float
        Return period asked for, within the table. [-]

    Returns
    -------
    (...) array
        Rain of that return period, one for each row. [m]

    Raises
    ------
    OutOfRange
        Return periods out of order, rain that falls as storms get rarer, or a period outside the
        table.
    """
    t = guard.rising("years", years, "list the return periods from short to long, each once")
    p = given.above_zero("depths", guard.rain_depth(depths, "depths"))
    if p.shape[-1] != t.size:
        what = f"{p.shape[-1]} columns stand beside {t.size} return periods"
        raise OutOfRange("depths", what, "give one column for each return period")
    if (bad := np.diff(p, axis=-1) < 0).any():
        right = "a rarer storm never brings less: check the columns of the table"
        raise OutOfRange(given.where("depths", bad), "falls as the storm gets rarer", right)
    right = f"the table goes from {t[0]:g} to {t[-1]:g} years"
    wanted = float(given.within("period", period, float(t[0]), float(t[-1]), right))
    k = min(max(int(np.searchsorted(t, wanted)) - 1, 0), max(t.size - 2, 0))
    if t.size == 1:
        return np.asarray(p[..., 0])
    w = np.log(wanted / t[k]) / np.log(t[k + 1] / t[k])
    return np.asarray(np.exp((1 - w) * np.log(p[..., k]) + w * np.log(p[..., k + 1])))
