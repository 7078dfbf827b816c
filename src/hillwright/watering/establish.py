"""New plants: roots still in a small ball, and a canopy that is a fraction of the grown one.

Steps by weeks after planting, no wait longer than published guidance has it and none longer than
the root ball lasts; after them, what the first year wants of the grown plants' minutes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.watering import landscape, tables
from hillwright.watering.crops import coefficient_curve
from hillwright.watering.model import (
    Climate,
    Demand,
    Establishment,
    Planted,
    Program,
    Rules,
    Soil,
    Store,
    Valves,
)

WEEK = 7 * 86400.0
YEAR = 365.25 * 86400.0
_SEED_BED = 0.1  # depth that the roots of a sown or set out crop draw on at first [m]


@dataclass(frozen=True, slots=True, eq=False)
class _Young:
    """New plants of n cells at one age: what they use in a day, and what they can wait on."""

    use: Array  # (n,) [m3/day]
    ready: Array  # (n,) [m3]
    ball: Array  # (n,) least of one watering: wets the root balls through [m3]


def canopy_at(planted: Planted, age: float) -> Array:
    """Give the canopy of each cell's plants some time after planting (n,) [m2]."""
    kind = np.maximum(planted.kind, 0)
    young, grown = (2 * np.sqrt(c / np.pi) for c in (planted.young_canopy, planted.canopy))
    time = planted.grown[kind]
    found = landscape.canopy_area(np.full(len(kind), age), np.minimum(young, grown), grown, time)
    return np.asarray(np.where(planted.kind >= 0, found, 0.0))


def establishment(
    climate: Climate,
    planted: Planted,
    soil: Soil,
    demand: Demand,
    store: Store,
    valves: Valves,
    rules: Rules,
    longest: Array,
    soak: Array,
) -> tuple[Establishment, ...]:
    """Give the waterings of new plants, step by step, in the busiest month."""
    weeks = rules.establishment / WEEK
    found: list[Establishment] = []
    for v, name in enumerate(valves.names):
        here = np.flatnonzero((valves.valve == v) & (valves.flow > 0))
        if not len(here):
            continue
        steps: list[Establishment] = []
        for step in tables.rows("young_plants", "steps"):
            first, last = float(step["from_week"]), min(float(step["to_week"]), weeks)
            if last <= first:
                continue
            young = _young(climate, planted, soil, demand, store, (first + last) / 2 * WEEK)
            use, ready = young.use[here], young.ready[here]
            with np.errstate(divide="ignore", invalid="ignore"):
                lasts = np.where(use > 0, ready / use, np.inf)
            wait = int(min(max(math.floor(float(lasts.min()) + 0.02), 1), step["longest_wait"]))
            # what guidance gives at its own wait; oftener, so much the less at a time
            least = young.ball[here] * wait / step["longest_wait"]
            dose = np.maximum(use * wait, least) / rules.efficiency
            need = float((dose / valves.flow[here]).max()) / 60
            most = max(longest[v] // 60, 1.0) if np.isfinite(longest[v]) else math.inf
            cycles = max(math.ceil(need / most - 1e-9), 1)
            each = max(math.ceil(need / cycles - 1e-9), 1)
            rest = math.ceil(soak[v] / 60) if cycles > 1 else 0
            same = (wait, each * cycles, cycles, rest)
            if steps and same == _setting(steps[-1]):  # one step, not two alike
                first = float(steps.pop().weeks.split(" ")[0])
            steps.append(Establishment(name, f"{first:.0f} to {last:.0f}", *same,
                                       str(step["go_on_when"])))  # fmt: skip
        found += steps
    return tuple(found)


def _setting(step: Establishment) -> tuple[int, int, int, int]:
    return step.interval, step.minutes, step.cycles, step.soak


def _young(
    climate: Climate, planted: Planted, soil: Soil, demand: Demand, store: Store, age: float
) -> _Young:
    m, kind = demand.peak_month, np.maximum(planted.kind, 0)
    there = planted.kind >= 0
    held = tables.rows("young_plants", "store")[0]
    given = tables.rows("young_plants", "watering")[0]
    ball, deep = planted.ball[kind], planted.ball_deep[kind]
    reference = climate.reference[m] * demand.slope_factor[:, m]
    # what stays: its own small canopy, out of the ball and what roots have reached beside it
    factor = np.maximum(planted.factor[kind, m], held["factor"])
    use = factor * reference * canopy_at(planted, age)
    radius = np.sqrt(ball / (np.pi * deep)) + given["roots_grow_m_year"] * age / YEAR
    beside = np.maximum(np.pi * radius**2 * deep - ball, 0.0) * planted.plants
    grown = store.total * np.maximum(planted.canopy, 1e-9)
    water = held["available"] * ball * planted.plants
    ready = held["depletion"] * (water + np.minimum(beside * soil.available, grown))
    least = given["share_of_ball"] * ball * planted.plants
    # crops: by their stage, over their whole cell, out of soil as deep as their roots
    days = age / 86400
    for k in np.unique(kind[there]):
        if planted.life[k] != "annual":
            continue
        lengths, kc = planted.stages[k], planted.stage_factor[k]
        now = float(coefficient_curve(np.array([days]), list(lengths), *kc)[0])
        share = min(days / max(float(lengths[:2].sum()), 1.0), 1.0)
        here = planted.kind == k
        roots = np.minimum(np.maximum(planted.roots[k], _SEED_BED), np.maximum(soil.depth, 1e-3))
        reached = np.minimum((_SEED_BED + (roots - _SEED_BED) * share) / roots, 1.0)
        use = np.where(here, now * reference * planted.canopy, use)
        ready = np.where(here, reached * grown * store.depletion, ready)
        least = np.where(here, 0.0, least)
    return _Young(*(np.asarray(np.where(there, a, 0.0)) for a in (use, ready, least)))


def first_year(
    planted: Planted, demand: Demand, valves: Valves, program: Program
) -> tuple[Array, Index]:
    """Give what the first year wants, after the steps, of each valve's minutes.

    Returns
    -------
    share : (v, 12) array
        The neediest new plant's time over the neediest grown one's, at half a year. [-]
    minutes : (v, 12) int array
        To set, on the days and starts of the program. [min]
    """
    now = canopy_at(planted, 0.5 * YEAR)
    v = len(valves.names)
    share = np.zeros((v, 12))
    with np.errstate(divide="ignore", invalid="ignore"):
        per = np.where(valves.flow > 0, 1 / valves.flow, 0.0)[:, None] * demand.coefficient
    for i in range(v):
        here = valves.valve == i
        grown = (per * planted.canopy[:, None])[here].max(axis=0, initial=0.0)
        young = (per * now[:, None])[here].max(axis=0, initial=0.0)
        share[i] = np.where(grown > 0, young / np.maximum(grown, 1e-30), 0.0)
    minutes = np.ceil(program.minutes * share - 1e-9).astype(np.intp)
    each = -(-minutes // np.maximum(program.cycles, 1))
    return frozen(share), frozen(np.minimum(each * program.cycles, program.minutes))
