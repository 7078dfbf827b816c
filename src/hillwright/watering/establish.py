"""The first weeks of new plants: their roots are still in a small ball that dries in a day."""

from __future__ import annotations

import math

import numpy as np

from hillwright.watering.model import (
    Demand,
    Establishment,
    Planted,
    Program,
    Rules,
    Valves,
)

WEEK = 7 * 86400.0
_BALL = 0.005  # least depth over the young plants that wets a root ball through [m]


def establishment(
    planted: Planted, demand: Demand, valves: Valves, rules: Rules, program: Program
) -> tuple[Establishment, ...]:
    """Give the waterings of new plants, in the busiest month: common practice, no source.

    Every day for two weeks, every second day for two more, then every third to the end; each
    watering gives what the young plants use till the next, and wets their root balls through.
    Never more seldom than grown plants.
    """
    weeks = rules.establishment / WEEK
    if weeks <= 0:
        return ()
    steps = [(0.0, 2.0, 1), (2.0, 4.0, 2), (4.0, weeks, 3)]
    found = []
    m = demand.peak_month
    for v, name in enumerate(valves.names):
        here = (valves.valve == v) & (valves.flow > 0)
        if not here.any():
            continue
        flow = valves.flow[here]
        daily = demand.young_daily[here, m]
        ball = _BALL * planted.young_canopy[here] / rules.efficiency
        for first, last, every in steps:
            end = min(last, weeks)
            if end <= first:
                continue
            interval = min(every, int(program.interval[v, m]) or every)
            need = np.maximum(daily * interval, ball) / flow
            minutes = max(math.ceil(float(need.max()) / 60 - 1e-9), 1)
            label = f"{first:.0f} to {end:.0f}"
            found.append(Establishment(name, label, interval, minutes, ""))
    return tuple(found)
