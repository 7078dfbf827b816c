"""A daily balance of water in every cell's soil: what goes in, what plants use, what is lost."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import given
from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.method import method
from hillwright.watering.air import FAO56
from hillwright.watering.given import MM
from hillwright.watering.tables import DAYS

# month of each day of a leap year, 0 = January; day 60 is 29 February
MONTH_OF_DAY = np.repeat(np.arange(12), [d + (m == 1) for m, d in enumerate(DAYS)])
_SLACK = 1e-9  # of a depth: rounding is no stress [m]


class Season(NamedTuple):
    """What became of the water of n cells, summed over the days; depths over the plants' area."""

    stress_days: Array  # (12, n) days that ended drier than plants like
    applied: Array  # (12, n) that reached the soil from the emitters [m]
    rain: Array  # (12, n) that entered the soil [m]
    used: Array  # (12, n) evapotranspiration [m]
    deep: Array  # (12, n) lost below the roots [m]
    driest: Array  # (n,) the most of the readily available water that was used; 1 = all of it
    start: Array  # (n,) missing from field capacity at the start [m]
    end: Array  # (n,) and at the end [m]


@method(
    title="Daily water balance of a root zone",
    equation="Dr(i) = Dr(i-1) - P - I + ETc + DP; ETc = Ks Kc ET0; Ks = (TAW - Dr)/[(1 - p) TAW] "
    "for Dr > RAW; DP what exceeds field capacity; p = p5 + 0.04 (5 - ETc)",
    source=FAO56 + ", equations 81, 84, 85 and 88; each part of a day begins with its water",
)
def water_balance(
    month: Index,
    reference: Array,
    rain: Array,
    coefficient: Array,
    irrigation: Array,
    total: Array,
    depletion: Array,
    start: Array | float = 0.0,
    use_share: Array | None = None,
    given_share: Array | None = None,
) -> Season:
    """Follow the water in the soil of n cells through k days.

    Parameters
    ----------
    month : (k,) int array
        Of each day, 0 = January; or any other row of what is told by month. [-]
    reference : (k,) array
        Reference evapotranspiration. [m]
    rain : (k, n) array
        That enters the soil; (k, 1) where all get the same. [m]
    coefficient : (12, n) array
        Crop coefficient by month, on the cell's own slope. [-]
    irrigation : (k, n) array
        That reaches the soil. [m]
    total : (n,) array
        TAW, above 0. [m]
    depletion : (n,) array
        p where 5 mm a day are used. [-]
    start : (n,) array
        Missing from field capacity at the start. [m]
    use_share, given_share : (j, 12, n) array, optional
        The day cut at its waterings: of its use, and of its water, what falls into each of j parts
        (`daycourse.day_parts`). Without them water is given before all use. [-]

    Returns
    -------
    stress_days : (12, n) array
        Days on which more than RAW was missing at the end of a part. [-]
    applied, rain, used, deep : (12, n) array
        By month: from emitters, from rain, used by plants, lost below. [m]
    driest : (n,) array
        Greatest depletion over RAW. [-]
    start, end : (n,) array
        Missing at the start and at the end. [m]

    Raises
    ------
    OutOfRange
        A soil that holds nothing, or negative water.

    Notes
    -----
    Field capacity is reached within the day; no water comes from below or from the side. Rain
    falls at the beginning of its day.
    """
    taw = given.above_zero("total", total)
    p5 = given.share("depletion", depletion)
    et0 = given.at_least_zero("reference", reference)
    n = len(taw)
    d = np.array(np.broadcast_to(np.asarray(start, float), (n,)))
    begun = d.copy()
    rows = len(coefficient)
    stress, used, deep = ([np.zeros(n) for _ in range(rows)] for _ in range(3))
    driest = np.zeros(n)
    etc, raw, ks, water, worst, left, spare = (np.empty(n) for _ in range(7))
    if use_share is None or given_share is None:
        use_share = given_share = np.ones((1, rows, n))
    busy = _busy(use_share, given_share)
    rainy = np.asarray(rain.any(axis=1)).tolist()
    # RAW = p TAW = most - less ETc, between its bounds
    most, less, low, high = taw * (p5 + 0.2), taw * (0.04 / MM), taw * 0.1, taw * 0.8
    for i, m in enumerate(month.tolist()):
        np.multiply(coefficient[m], et0[i], out=etc)
        np.multiply(less, etc, out=raw)
        np.subtract(most, raw, out=raw)
        np.maximum(raw, low, out=raw)
        np.minimum(raw, high, out=raw)
        np.subtract(taw, raw, out=spare)
        if rainy[i]:
            d -= rain[i]
        worst.fill(0.0)
        for part, whole, active in busy[m]:
            if whole:
                d -= irrigation[i]
                use = etc
            else:
                np.multiply(irrigation[i], given_share[part, m], out=water)
                d -= water
                use = np.multiply(etc, use_share[part, m], out=water)
            np.minimum(d, 0.0, out=ks)
            d -= ks
            deep[m] -= ks
            np.subtract(taw, d, out=left)
            np.divide(left, spare, out=ks)
            np.minimum(ks, 1.0, out=ks)
            ks *= use
            np.minimum(ks, left, out=ks)
            used[m] += ks
            d += ks
            np.maximum(worst, d, out=worst, where=active)
        stress[m] += worst > raw + _SLACK
        worst /= raw
        np.maximum(driest, worst, out=driest)
    applied, fallen = np.zeros((rows, n)), np.zeros((rows, n))
    for m in range(rows):
        given_all = given_share[[part for part, *_ in busy[m]], m].sum(axis=0)
        applied[m] = irrigation[month == m].sum(axis=0) * given_all
        fallen[m] = rain[month == m].sum(axis=0)
    sums = (np.array(stress), applied, fallen, np.array(used), np.array(deep))
    return Season(*map(frozen, (*sums, driest, begun, d)))


def _busy(use: Array, given_: Array) -> list[list[tuple[int, bool, Mask | bool]]]:
    """Give each month's parts in which anything happens, whether one has it all, and to whom.

    A part in which nothing happens to a cell does not count for it.
    """
    found = []
    for m in range(use.shape[1]):
        happens = (use[:, m] > 0) | (given_[:, m] > 0)
        some = np.flatnonzero(happens.any(axis=1)).tolist()
        whole = len(some) == 1 and bool((given_[some[0], m] == 1).all())
        # two parts of which the first is idle for all: the night before a watering at dawn
        parts = [(j, whole, happens[j].all() or happens[j]) for j in some]
        found.append(parts or [(0, True, True)])
    return found


def closure(season: Season) -> Array:
    """Give what the balance of each cell misses [m]: 0 but for rounding."""
    came = season.applied.sum(axis=0) + season.rain.sum(axis=0)
    went = season.used.sum(axis=0) + season.deep.sum(axis=0)
    return np.asarray(came - went - (season.start - season.end))
