"""What the rows hang from: pull of the cells, stakes, bars, and the test that bars must pass."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Mask, frozen
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import (
    BarCapacities,
    BarGround,
    PullTest,
    required_factors,
)
from hillwright.stability.anchors import BarChoice, anchor_places, choose_bars, most_per_cell
from hillwright.stability.bars import capacities, depths, diameter, numbers, site_test
from hillwright.stability.construction import people, people_pull
from hillwright.stability.hang import Hung, hang
from hillwright.stability.load import HillLoad
from hillwright.stability.model import Anchoring
from hillwright.stability.sliding import CellPull, cell_pull, steepest_slope

_PLENTY = 1e9  # a pull test that leaves the choice to steel and clips alone [N]
_TRIES = 30  # raises of the pull test that is asked for


class Held(NamedTuple):
    """The anchoring, and how its bars were chosen."""

    anchoring: Anchoring
    chosen: BarChoice | None  # None where there is nothing to hold
    trouble: str  # why no bar of the list will do; "" where one will


class _Choice(NamedTuple):
    hung: Hung
    bars: BarChoice
    test: float  # that a wet pull test must show first; 0 where none must [N]


def base_slopes(layout: Layout) -> Array:
    """Give the steepest slope (n,) of each base, no flatter than a figure can be told of [rad]."""
    return np.maximum(steepest_slope(layout.run_slope, layout.cross_slope), 1e-6)


def pulls(layout: Layout, hill: HillLoad, friction: float) -> CellPull:
    """Give what each cell pulls with, (3, n) by FILLINGS.

    Soaked, water stands in the whole depth of the fill and flows down the slope with it.
    """
    cell, slope, inside = layout.cell, base_slopes(layout), hill.cells
    fill = np.stack([0 * inside.depth, inside.depth, inside.depth])
    weight = np.stack([inside.dry, inside.dry, inside.soaked])
    water = np.stack([0 * inside.depth, 0 * inside.depth, inside.depth])
    return cell_pull(
        slope, cell.width, cell.run, fill, weight, friction, cell.mass, water_height=water
    )


def clip_limit(layout: Layout, holding: Holding) -> float:
    """Give the most that one clipped pair may carry [N]."""
    return holding.clip_strength * layout.cell.clips_per_edge / required_factors()["connection"]


def anchor(
    layout: Layout,
    hill: HillLoad,
    holding: Holding,
    ground: BarGround,
    friction: float,
    hangs: Mask,
) -> Held:
    """Choose rows, bars, their number and depth.

    Parameters
    ----------
    layout, hill, holding, ground
        The cells, what they weigh, what there is to hold them, and what bars are driven into.
    friction : float
        Of a filled cell on the ground [rad].
    hangs : (n,) bool array
        Cells that must have bars whatever the loads are.

    Returns
    -------
    Held
        Bars by the rules, or by the site's own pull test where that is better. Where neither
        suffices, bars that steel and clips allow, and the pull test that they must pass first.
    """
    if not len(layout.row):
        return Held(_nothing(), None, "")
    found, slope = pulls(layout, hill, friction), base_slopes(layout)
    limit, trouble = clip_limit(layout, holding), ""
    tested = capacities(ground, holding, site_test(holding))
    made = _choose(layout, found.net, hangs, limit, tested) or _if_tested(
        layout, found.net, hangs, limit, ground, holding
    )
    if made is None:
        trouble = (
            "no bar of the list, in any number that a cell has room for, holds what one filled "
            "and soaked cell pulls with"
        )
        hung = hang(layout, found.net, hangs, limit, np.inf)
        made = _Choice(hung, choose_bars(hung.held[hung.hangs], layout.cell.width, tested), 0.0)
    alone = capacities(ground, holding, None)
    same = (alone.bar == made.bars.bar) & np.isclose(alone.length, made.bars.length)
    by_rule = float(alone.allowable[same].max(initial=0.0))
    standing = people_pull(people().mass, holding.people, slope.max(), people().factor)
    return Held(
        _told(layout, found, slope, made, not trouble, by_rule, float(standing)),
        made.bars,
        trouble,
    )


def _choose(
    layout: Layout, pull: Array, hangs: Mask, limit: float, bars: BarCapacities
) -> _Choice | None:
    """Choose rows and bars that hold; None where none do."""
    width = layout.cell.width
    most = most_per_cell(width, bars)
    if not most > 0 or pull.max() > most:
        return None
    hung = hang(layout, pull, hangs, limit, most)
    chosen = choose_bars(hung.held[hung.hangs], width, bars)
    return _Choice(hung, chosen, 0.0) if chosen.adequate else None


def _if_tested(
    layout: Layout,
    pull: Array,
    hangs: Mask,
    limit: float,
    ground: BarGround,
    holding: Holding,
) -> _Choice | None:
    """Choose bars that steel and clips allow, and find the pull test that they must pass."""
    thin, deep = diameter(numbers(holding)[0]), depths(holding)
    # the depth at which the ground beside a bar holds it by the rules, its pullout to be tested;
    # else the deepest, both to be tested
    for least, sideways in ((deep[0], False), (deep[-1], True)):
        plenty = capacities(ground, holding, PullTest(_PLENTY, thin, least, True, sideways))
        if made := _choose(layout, pull, hangs, limit, plenty):
            break
    else:
        return None
    hung = made.hung
    per_bar = float((hung.held[hung.hangs] / made.bars.counts).max())
    load = per_bar * required_factors()["pull test"]
    for _ in range(_TRIES):  # rust may want more of the test than the factor alone
        test = PullTest(load, made.bars.diameter, made.bars.length, True, sideways)
        bars = capacities(ground, holding, test)
        chosen = choose_bars(hung.held[hung.hangs], layout.cell.width, bars)
        if chosen.adequate and chosen.total <= made.bars.total:
            return _Choice(hung, chosen, load)
        load *= 1.05
    return None


def _told(
    layout: Layout,
    found: CellPull,
    slope: Array,
    made: _Choice,
    adequate: bool,
    by_rule: float,
    standing: float,
) -> Anchoring:
    hung, bars = made.hung, made.bars
    heads = np.flatnonzero(hung.hangs)
    count = np.zeros(len(layout.row), np.intp)
    count[heads] = bars.counts
    staked = np.unique(layout.row[hung.hangs & (layout.row > 1)])
    return Anchoring(
        slope=frozen(slope),
        weight=frozen(np.array(found.weight)),
        pull=frozen(np.array(found.net)),
        pair=frozen(hung.pair),
        hangs=frozen(hung.hangs),
        held=frozen(hung.held),
        count=frozen(count),
        place=frozen(anchor_places(layout.corners[heads], bars.counts)),
        place_cell=frozen(np.repeat(heads, bars.counts)),
        staked_rows=frozen(staked),
        bar=bars.bar,
        length=bars.length,
        spacing=bars.spacing,
        adequate=adequate,
        test_load=made.test,
        by_rule=by_rule,
        standing=standing,
    )


def _nothing() -> Anchoring:
    none, some = frozen(np.empty(0)), frozen(np.empty(0, np.intp))
    return Anchoring(
        slope=none,
        weight=frozen(np.empty((3, 0))),
        pull=frozen(np.empty((3, 0))),
        pair=none,
        hangs=frozen(np.empty(0, bool)),
        held=none,
        count=some,
        place=frozen(np.empty((0, 3))),
        place_cell=some,
        staked_rows=some,
        bar=0,
        length=0.0,
        spacing=0.0,
        adequate=True,
        test_load=0.0,
        by_rule=0.0,
        standing=0.0,
    )
