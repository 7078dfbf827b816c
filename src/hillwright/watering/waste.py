"""Where the water of a year goes, and why more is given than the plants use."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.watering.model import Watering
from hillwright.watering.tables import DAYS


@dataclass(frozen=True, slots=True)
class Split:
    """What would be saved if one planting had a valve of its own."""

    valve: int
    kind: int  # of planting
    saved: float  # in a year [m3]


@dataclass(frozen=True, slots=True)
class YearUse:
    """A mean year's water, step by step from what plants use to what the valves give [m3]."""

    plants: float  # they use, beyond the rain
    way: float  # lost on the way: what the efficiency takes
    shared: float  # more for all on a valve, since its neediest cell sets the minutes
    held: float  # more for whole minutes, and for days hotter and drier than the month's mean
    given: float  # all of it
    idle: float  # of `shared`: given to cells in which nothing grows in the month
    splits: tuple[Split, ...]  # the best of each valve, where it saves anything


def year_use(found: Watering) -> YearUse:
    """Take a year's water apart.

    Parameters
    ----------
    found : Watering
        With its season simulated.
    """
    days = np.array(DAYS)
    plants = float((found.demand.net * days).sum())
    gross = plants / found.rules.efficiency
    shared = idle = 0.0
    splits = []
    for v in range(len(found.valves.names)):
        here = np.flatnonzero((found.valves.valve == v) & (found.valves.flow > 0))
        if not len(here):
            continue
        flow, wanted = found.valves.flow[here], found.demand.daily[here] * days
        whole = _driven(flow, wanted)
        shared += whole - float(wanted.sum())
        most = (wanted / flow[:, None]).max(axis=0)
        idle += float((np.where(wanted > 0, 0.0, flow[:, None]) * most).sum())
        best = _best_split(flow, wanted, found.planted.kind[here], whole)
        if best is not None and best[1] > 0:
            splits.append(Split(v, *best))
    given = float(found.season[0].given.sum())
    return YearUse(
        plants, gross - plants, shared, given - gross - shared, given, idle, tuple(splits)
    )


def _driven(flow: Array, wanted: Array) -> float:
    """Give a year's water of cells that run as long as the neediest of them, month by month."""
    if not len(flow):
        return 0.0
    return float(flow.sum() * (wanted / flow[:, None]).max(axis=0).sum())


def _best_split(flow: Array, wanted: Array, kind: Index, whole: float) -> tuple[int, float] | None:
    kinds = np.unique(kind)
    if len(kinds) < 2:
        return None
    saved = [
        (whole - _driven(flow[kind == k], wanted[kind == k])
         - _driven(flow[kind != k], wanted[kind != k]), int(k))
        for k in kinds
    ]  # fmt: skip
    much, which = max(saved)
    return which, much
