"""Which cells hang from bars of their own, and what clips and bars carry then.

Row 1 and the head rows of panels hang from anchors; so does every other cell with no clipped cell
above it. Further rows get stakes of their own wherever the clips, or the bars above, could not
carry more. The bottom row gets them where it would slide if its clips let go. Where people are to
walk, clips and bars are left room for them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.layout.model import Layout
from hillwright.stability.clipload import clip_loads, rows_to_anchor


class Hung(NamedTuple):
    """What carries what."""

    hangs: Mask  # (n,) from bars of its own
    rows: Index  # staked besides those that must be
    pair: Array  # (m,) most through each clipped pair, but of people [N]
    held: Array  # (n,) most on the bars of each cell, with the people who are to walk [N]


class Walkers(NamedTuple):
    """Who is to walk on the filled rows, dry."""

    load: float  # of those on one row at once, which one pair or the bars of one cell take [N]
    pull: Array  # (n,) of each cell, empty or filled and dry [N]
    lowest: int  # row that they walk on; what lies under it holds nobody


def open_above(layout: Layout) -> Mask:
    """Tell which cells (n,) have no clipped cell above them."""
    return _without(layout, 1)


def open_below(layout: Layout) -> Mask:
    """Tell which cells (n,) have no clipped cell below them."""
    return _without(layout, -1)


def _without(layout: Layout, step: int) -> Mask:
    alone = np.ones(len(layout.row), bool)
    if len(layout.clips):
        i, j = layout.clips.T
        for a, b in ((i, j), (j, i)):
            alone[a[layout.row[a] - layout.row[b] == step]] = False
    return alone


def hang(
    layout: Layout,
    pull: Array,
    hangs: Mask,
    clip_limit: float,
    bar_limit: float,
    walkers: Walkers | None = None,
) -> Hung:
    """Give further rows stakes so that no pair of cells and no cell's bars carry too much.

    Parameters
    ----------
    layout : Layout
        The cells and their clips.
    pull : (s, n) array
        Net pull of each cell in each state [N].
    hangs : (n,) bool array
        Cells that have bars whatever the loads are.
    clip_limit, bar_limit : float
        Most through one clipped pair, and on the bars of one cell [N].
    walkers : Walkers, optional
        People for whom clips and bars must have room while nothing is soaked.

    Raises
    ------
    OutOfRange
        One cell by itself pulls harder than its bars may carry, or people alone do.
    """
    grid = (layout.row, layout.number, layout.clips)
    rows = rows_to_anchor(*grid, hangs, pull.max(axis=0), clip_limit, bar_limit)
    every = hangs | np.isin(layout.row, rows)
    if walkers is not None:
        load = np.where(layout.row <= walkers.lowest, walkers.load, 0.0)
        more = rows_to_anchor(*grid, every, walkers.pull, clip_limit - load, bar_limit - load)
        rows, every = np.union1d(rows, more), every | np.isin(layout.row, more)
    # a hill part filled, in whatever order, pulls nowhere harder than the worst of each cell
    loads = clip_loads(*grid, every, np.vstack([pull, pull.max(axis=0)]))
    held = loads.anchor.max(axis=0)
    if walkers is not None:
        dry = clip_loads(*grid, every, walkers.pull).anchor
        heads = every & (layout.row <= walkers.lowest)
        held = np.where(heads, np.maximum(held, dry + walkers.load), held)
    return Hung(every, rows, loads.pair.max(axis=0, initial=0.0), held)
