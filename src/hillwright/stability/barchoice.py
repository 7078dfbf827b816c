"""Which rows hang from bars, which bars and how many: by rules, by a test, or by one to be made.

The plan that a named pull test leads to is worked out with that test as if it had been made, so
that writing its result into the job gives the same bars back.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import (
    WAYS,
    BarCapacities,
    BarGround,
    PullTest,
    required_factors,
)
from hillwright.stability.anchors import BarChoice, choose_bars, most_per_cell
from hillwright.stability.bars import capacities, depths, diameter, numbers, site_test
from hillwright.stability.hang import Hung, Walkers, hang

_PLENTY = 1e9  # a pull test that leaves the choice to steel and clips alone [N]
_STEP = 50.0  # loads that a test is asked for are whole steps of this, rounded up [N]
_MARGIN = 6.0  # what is lost at most where such a load is printed in pounds or kilonewtons [N]
_TRIES = 60  # steps by which the load of a test is raised
_SAVES = 0.75  # a test is asked for where it makes do with so few of the bars that rules want

_LIMITED = {
    "steel": "the steel of the bars",
    "connection": "what one clip holds where bar and cell meet (holding.clip_strength)",
}


class RowsAndBars(NamedTuple):
    """What hangs, and from what."""

    hung: Hung
    bars: BarChoice
    test: float  # that a wet pull test must show first; 0 where none must [N]


class Wanted(NamedTuple):
    """What must be held, and where there may be bars."""

    layout: Layout
    pull: Array  # (s, n) of each cell in each state [N]
    hangs: Mask  # (n,) cells that have bars whatever they carry
    clip_limit: float  # most through one clipped pair [N]
    ground: BarGround
    holding: Holding
    walkers: Walkers | None = None  # people for whom there must be room


def best_choice(wanted: Wanted) -> RowsAndBars | str:
    """Choose rows and bars, or say what limits them so that none hold."""
    holding = wanted.holding
    made_test = site_test(holding)
    now = _choose(wanted, capacities(wanted.ground, holding, made_test))
    if now and made_test is not None:
        return now
    tested = _if_tested(wanted)
    if now and (tested is None or tested.bars.total > _SAVES * now.bars.total):
        return now
    return tested or now or _limited(wanted)


def _choose(wanted: Wanted, bars: BarCapacities) -> RowsAndBars | None:
    """Choose rows and bars that hold; None where none do."""
    layout, width = wanted.layout, wanted.layout.cell.width
    most = most_per_cell(width, bars)
    if not most > 0 or wanted.pull.max() > most or not _room(wanted, most):
        return None
    hung = hang(layout, wanted.pull, wanted.hangs, wanted.clip_limit, most, wanted.walkers)
    chosen = choose_bars(hung.held[hung.hangs], width, bars)
    return RowsAndBars(hung, chosen, 0.0) if chosen.adequate else None


def _room(wanted: Wanted, most: float) -> bool:
    """Tell whether clips and bars hold the people at all, with a cell of its own at each."""
    who = wanted.walkers
    if who is None:
        return True
    return wanted.clip_limit > who.load and most > who.load + float(who.pull.max())


def _if_tested(wanted: Wanted) -> RowsAndBars | None:
    """Find the least pull test of one bar that lets the rows do with the bars that steel allows.

    The deepest that can be driven is tested: the rules credit no shorter one with enough, so
    nothing else says which depth would do.
    """
    ground, holding = wanted.ground, wanted.holding
    deep, need = depths(holding)[-1], required_factors()["pull test"]
    found: list[RowsAndBars] = []
    for number in numbers(holding):
        wide = diameter(number)
        plenty = capacities(ground, holding, PullTest(_PLENTY, wide, deep, True, True))
        only = _only(plenty, number, deep)
        best = _choose(wanted, only)
        if best is None:
            continue
        per_bar = float((best.hung.held[best.hung.hangs] / best.bars.counts).max())
        load = _round_up(per_bar * need)
        for _ in range(_TRIES):
            made = _choose(
                wanted, capacities(ground, holding, PullTest(load, wide, deep, True, True))
            )
            same = made is not None and made.bars.bar == number
            if made and same and made.bars.total <= best.bars.total:
                found.append(made._replace(test=load))
                break
            load = max(_round_up(load * 1.03), load + _STEP)
    return min(found, key=lambda each: _effort(each, wanted), default=None)


def _effort(made: RowsAndBars, wanted: Wanted) -> float:
    bars = capacities(wanted.ground, wanted.holding, None)
    i = (bars.bar == made.bars.bar) & np.isclose(bars.length, made.bars.length)
    return float(made.bars.total * bars.effort[i].min())


def _round_up(load: float) -> float:
    return float(np.ceil((load + _MARGIN) / _STEP) * _STEP)


def _only(bars: BarCapacities, number: int, deep: float) -> BarCapacities:
    """Keep one bar at one depth."""
    mine = (bars.bar == number) & np.isclose(bars.length, deep)
    return bars._replace(
        bar=bars.bar[mine],
        diameter=bars.diameter[mine],
        length=bars.length[mine],
        capacity=bars.capacity[:, mine],
        required=bars.required[:, mine],
        allowable=bars.allowable[mine],
        spacing=bars.spacing[mine],
        effort=bars.effort[mine],
    )


def _limited(wanted: Wanted) -> str:
    """Say what keeps even the best-tested bars from holding one cell."""
    holding = wanted.holding
    thin, deep = diameter(numbers(holding)[0]), depths(holding)[-1]
    bars = capacities(wanted.ground, holding, PullTest(_PLENTY, thin, deep, True, True))
    own = bars.capacity / bars.required
    i = int(np.argmax(bars.allowable))
    way = WAYS[int(np.argmin(own[:, i]))]
    said = _LIMITED.get(way, "the ground that they are driven into")
    return (
        "no bar of the list, in any number that a cell has room for, holds what one filled and "
        f"soaked cell pulls with: {said} is too weak"
    )
