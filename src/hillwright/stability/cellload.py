"""What is in each cell, as the stability room weighs it: from the fill, or as weighed on site."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.fill.model import Fill
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.fills import fill_by_name
from hillwright.stability.sliding import GRAVITY

# what a cell is taken to hold where no fill has been worked out
GARDEN_SOIL = "garden soil, structural engineers' practice"


class CellLoads(NamedTuple):
    """Soil and mulch of n cells, spread evenly over each base."""

    depth: Array  # (n,) square to the slope; 0 for a cell that stays empty [m]
    dry: Array  # (n,) unit weight as it goes in [N/m3]
    soaked: Array  # (n,) with its pores full [N/m3]
    at_wall: float  # most soil against a downhill wall [m]

    @property
    def heaviest(self) -> int:
        """The cell that presses hardest on the ground, soaked; 0 where there is none."""
        return int(np.argmax(self.depth * self.soaked)) if len(self.depth) else 0


def cell_loads(layout: Layout, holding: Holding, fill: Fill | None) -> CellLoads:
    """Give what the cells hold.

    Parameters
    ----------
    layout : Layout
        The n cells.
    holding : Holding
        Unit weights that were measured on the site override those of the mixes.
    fill : Fill, optional
        Soil of each cell; without it cells are full of garden soil to the brim.
    """
    n, usual = len(layout.row), fill_by_name(GARDEN_SOIL)
    depth, at_wall = np.full(n, layout.cell.depth), layout.cell.depth
    dry, soaked = np.full(n, usual.dry), np.full(n, usual.saturated)
    if fill is not None and n:
        volume = fill.settled + fill.mulch
        some = volume > 0
        over = np.where(some, volume, 1.0)
        depth = volume / fill.area
        dry = np.where(some, fill.moist * GRAVITY / over, usual.dry)
        soaked = np.where(some, fill.saturated * GRAVITY / over, usual.saturated)
        at_wall = float(fill.lip.max(initial=0.0))
    if holding.mix_dry is not None:
        dry = np.full(n, holding.mix_dry)
    if holding.mix_soaked is not None:
        soaked = np.full(n, holding.mix_soaked)
    # soil that was weighed dry alone never gets lighter when wet
    return CellLoads(depth, dry, np.maximum(soaked, dry), at_wall)
