"""What the rows hang from: pull of the cells, stakes, bars, and the test that bars must pass."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Mask, frozen
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import BarGround, required_factors
from hillwright.stability.anchors import BarChoice, anchor_places
from hillwright.stability.barchoice import RowsAndBars, Wanted, best_choice
from hillwright.stability.bars import capacities
from hillwright.stability.construction import people, people_pull
from hillwright.stability.hang import Walkers
from hillwright.stability.load import HillLoad
from hillwright.stability.model import Anchoring
from hillwright.stability.sliding import GRAVITY, CellPull, cell_pull, steepest_slope

# required factors with earthquake over those at rest: 1.5 / 2.0 of pullout, 1.35 / 1.8 of steel
SHAKEN = 0.75


class Held(NamedTuple):
    """The anchoring, and how its bars were chosen."""

    anchoring: Anchoring
    chosen: BarChoice | None  # None where there is nothing to hold, or nothing holds it
    trouble: str  # why no bar of the list will do; "" where one will
    wanted: Wanted | None = None  # what the bars were chosen for


def base_slopes(layout: Layout) -> Array:
    """Give the steepest slope (n,) of each base, no flatter than a figure can be told of [rad]."""
    return np.maximum(steepest_slope(layout.run_slope, layout.cross_slope), 1e-6)


def pulls(layout: Layout, hill: HillLoad, friction: float) -> CellPull:
    """Give what each cell pulls with, (4, n) by FILLINGS.

    Soaked, water stands in the whole depth of the fill and flows down the slope with it. The last
    state shakes the soaked one with the job's earthquake coefficient.
    """
    cell, slope, inside = layout.cell, base_slopes(layout), hill.cells
    full, none = inside.depth, 0 * inside.depth
    return cell_pull(
        slope,
        cell.width,
        cell.run,
        np.stack([none, full, full, full]),
        np.stack([inside.dry, inside.dry, inside.soaked, inside.soaked]),
        friction,
        cell.mass,
        water_height=np.stack([none, none, full, full]),
        kh=np.array([[0.0], [0.0], [0.0], [hill.kh]]),
    )


def design(net: Array) -> Array:
    """Give the pulls (4, n) that are held with the factors of rest: shaken ones count less."""
    return np.asarray(net * np.array([[1.0], [1.0], [1.0], [SHAKEN]]))


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
    walked: tuple[int, ...] = (),
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
    walked : tuple of int
        Rows with walking cells, where ``holding.walkers`` are to stand; without it, any row.

    Returns
    -------
    Held
        Bars by the rules, or by the site's own pull test where that is better. Where neither
        suffices, bars that steel and clips allow, and the pull test that they must pass first.
        Where nothing holds the walkers, what holds the cells alone.
    """
    if not len(layout.row):
        return Held(_nothing(), None, "")
    found, slope = pulls(layout, hill, friction), base_slopes(layout)
    person = one_person(float(slope.max()), friction)
    wanted = Wanted(layout, design(found.net), hangs, clip_limit(layout, holding), ground, holding)
    who = walkers(holding.walkers, person, found.net, max(walked, default=layout.rows))
    made = best_choice(wanted._replace(walkers=who))
    if isinstance(made, str) and who is not None:
        who, made = None, best_choice(wanted)
    wanted = wanted._replace(walkers=who)
    if isinstance(made, str):
        unheld = replace(
            _nothing(),
            slope=frozen(slope),
            weight=frozen(np.array(found.weight)),
            pull=frozen(np.array(found.net)),
            hangs=frozen(hangs),
            count=frozen(np.zeros(len(layout.row), np.intp)),
            adequate=False,
            person=person,
        )
        return Held(unheld, None, made, wanted)
    alone = capacities(ground, holding, None)
    same = (alone.bar == made.bars.bar) & np.isclose(alone.length, made.bars.length)
    by_rule = float(alone.allowable[same].max(initial=0.0))
    return Held(_told(layout, found, slope, made, by_rule, person), made.bars, "", wanted)


def one_person(slope: float, friction: float) -> float:
    """Give the pull of one person on the cells [N].

    Friction under their feet holds people as it holds a cell; steps and jolts add no weight to it.
    """
    who = people()
    pull = float(people_pull(who.mass, 1, slope, who.factor))
    return max(pull - who.mass * GRAVITY * float(np.cos(slope) * np.tan(friction)), 0.0)


def walkers(count: int, person: float, net: Array, lowest: int) -> Walkers | None:
    """Give who is to walk on rows that are empty or filled and dry; None where nobody is."""
    if not count * person:
        return None
    return Walkers(count * person, np.asarray(net[:2].max(axis=0)), lowest)


def _told(
    layout: Layout,
    found: CellPull,
    slope: Array,
    made: RowsAndBars,
    by_rule: float,
    person: float,
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
        adequate=True,
        test_load=made.test,
        by_rule=by_rule,
        person=person,
    )


def _nothing() -> Anchoring:
    none, some = frozen(np.empty(0)), frozen(np.empty(0, np.intp))
    return Anchoring(
        slope=none,
        weight=frozen(np.empty((4, 0))),
        pull=frozen(np.empty((4, 0))),
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
        person=0.0,
    )
