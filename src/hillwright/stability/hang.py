"""Which cells hang from bars of their own, and what clips and bars carry then.

Row 1 and the head rows of panels hang from anchors; so does every other cell with no clipped cell
above it. Further rows get stakes of their own wherever the clips, or the bars above, could not
carry more. The bottom row gets them where it would slide if its clips let go.
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
    pair: Array  # (m,) most through each clipped pair [N]
    held: Array  # (n,) most on the bars of each cell [N]


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


def hang(layout: Layout, pull: Array, hangs: Mask, clip_limit: float, bar_limit: float) -> Hung:
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

    Raises
    ------
    OutOfRange
        One cell by itself pulls harder than its bars may carry.
    """
    grid = (layout.row, layout.number, layout.clips)
    rows = rows_to_anchor(*grid, hangs, pull.max(axis=0), clip_limit, bar_limit)
    every = hangs | np.isin(layout.row, rows)
    # a hill part filled, in whatever order, pulls nowhere harder than the worst of each cell
    loads = clip_loads(*grid, every, np.vstack([pull, pull.max(axis=0)]))
    return Hung(every, rows, loads.pair.max(axis=0, initial=0.0), loads.anchor.max(axis=0))
