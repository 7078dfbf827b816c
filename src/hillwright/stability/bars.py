"""The bars of a job: what can be driven here, and what each holds by the rules or by a test."""

from __future__ import annotations

import numpy as np

from hillwright.job.ground import Holding, SoilText
from hillwright.stability.anchorbars import (
    BarCapacities,
    BarGround,
    PullTest,
    bar_capacities,
    bars,
    choice,
)
from hillwright.stability.friction import lateral_bearing, shaft_beta
from hillwright.stability.given import WATER
from hillwright.stability.soiltable import Soil

_SHAFT = ("sand-silt", "medium dense")  # the weakest row of the table: a floor


def bar_ground(soil: Soil, text: SoilText) -> BarGround:
    """Give the soaked ground that bars are driven into; strengths at the low end of their range."""
    weight = max(soil.saturated.low - WATER, 1.0)
    uscs = text.uscs.strip().upper()
    try:
        code = lateral_bearing(uscs) if uscs else 0.0
    except ValueError:
        code = 0.0
    return BarGround(
        unit_weight=weight,
        friction=soil.friction.low,
        beta=shaft_beta(*_SHAFT),
        undrained_strength=soil.undrained.low if soil.undrained else 0.0,
        lateral_bearing=code,
    )


def depths(holding: Holding) -> tuple[float, ...]:
    """Give the depths that bars may be driven to [m]."""
    longest = holding.longest_bar
    usual = (d for d in choice()["embedments"] if d < longest * (1 - 1e-6))
    return (*usual, longest)


def numbers(holding: Holding) -> tuple[int, ...]:
    """Give the numbers of the bars that can be had, thinnest first."""
    return tuple(sorted(int(name.lstrip("#")) for name in holding.bars))


def diameter(number: int) -> float:
    """Give the diameter of a bar by its number [m]."""
    every = bars()
    return float(every.diameter[np.flatnonzero(every.bar == number)[0]])


def site_test(holding: Holding) -> PullTest | None:
    """Give the pull test that was made on the site, if there was one."""
    pull, bar, depth = holding.tested_pull, holding.tested_bar, holding.tested_depth
    if pull is None or bar is None or depth is None:
        return None
    return PullTest(pull, diameter(int(bar.lstrip("#"))), depth, wet=True, along_slope=True)


def capacities(ground: BarGround, holding: Holding, test: PullTest | None) -> BarCapacities:
    """Give what the bars that can be had here hold at the depths that they can be driven to.

    Where a bar meets its cell it is held to hold what one clip does.
    """
    every = bar_capacities(
        ground,
        connection=holding.clip_strength,
        test=test,
        grade=holding.grade,
        embedments=depths(holding),
        zinc=None if holding.steel == "galvanised" else 0.0,
        life=holding.life,
    )
    mine = np.isin(every.bar, numbers(holding))
    return every._replace(
        bar=every.bar[mine],
        diameter=every.diameter[mine],
        length=every.length[mine],
        capacity=every.capacity[:, mine],
        required=every.required[:, mine],
        allowable=every.allowable[mine],
        spacing=every.spacing[mine],
        effort=every.effort[mine],
    )
