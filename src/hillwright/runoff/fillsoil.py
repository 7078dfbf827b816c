"""The soil in the cells as water meets it: how deep, and how far it is raked level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.fill.model import Fill
from hillwright.layout.model import Layout

FREEBOARD = 0.05  # that soil settles below the brim of a cell; common practice, no source [m]


@dataclass(frozen=True, slots=True, eq=False)
class CellSoil:
    """Soil of the n cells."""

    depth: Array  # (n,) mean, square to the base [m]
    levelled: Array  # (n,) 0 along the slope, 1 level [-]


def soil_on(fill: Fill) -> CellSoil:
    """Give the soil that the fill room has put into the cells; the mulch on it counts for none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        depth = np.where(fill.area > 0, fill.boxed / fill.area, 0.0)
    return CellSoil(frozen(np.asarray(depth)), frozen(np.asarray(fill.levelled, float)))


def soil_settled(layout: Layout) -> CellSoil:
    """Give cells that are full but for what settles, the soil along the slope."""
    n, wall = len(layout.row), layout.cell.depth
    return CellSoil(frozen(np.full(n, wall - min(FREEBOARD, wall / 2))), frozen(np.zeros(n)))
