"""Hydrozones in black and white: an edge line of its own for each class of thirst, and a letter."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from hillwright.planting.model import Planting
from hillwright.sheets.linetypes import THIRST
from hillwright.sheets.marks import Line, Mark, Words
from hillwright.sheets.plantlayers import stretches
from hillwright.sheets.plantview import View, letter

if TYPE_CHECKING:
    from hillwright.plan import Plan

# by class of thirst, the least first
_EDGES = (
    (THIRST[0].pen(), "dotted"),
    (THIRST[1].pen(), "dashed"),
    (THIRST[2].pen(), "unbroken"),
)
_CLOSE = 0.6  # cells with no more between them are held together [mm]
_INSIDE = 0.11  # of a cell's height: how far within its cells the line runs


def thirst_marks(plan: Plan, view: View) -> list[Mark]:
    """Edge the cells of one thirst that lie together, and letter each stretch along a row."""
    planting = plan.planting
    tall = float(np.median(np.linalg.norm(view.corners[:, 3] - view.corners[:, 0], axis=1)))
    inside = _INSIDE * tall
    found: list[Mark] = []
    for zone in np.unique(planting.hydrozone[planting.hydrozone >= 0]):
        cells = shapely.polygons(view.corners[planting.hydrozone == zone])
        held = shapely.union_all(shapely.buffer(cells, _CLOSE / 2, join_style="mitre"))
        shape = shapely.buffer(held, -(_CLOSE / 2 + inside), join_style="mitre")
        for part in shapely.get_parts(shape):
            for ring in (part.exterior, *part.interiors):
                points = shapely.get_coordinates(ring)[:-1]
                found.append(Line("hydrozones", points, _EDGES[zone][0], closed=True))
    size = max(0.62 * letter(view), 1.3)
    for zone, run in stretches(plan):
        quad = view.corners[run[0]]
        right, down = quad[1] - quad[0], quad[3] - quad[0]
        at = quad[0] + right * 0.13 + down * (_INSIDE + 0.5 * size / tall + 0.04)
        word = zone_letter(planting, zone)
        found.append(Words("hydrozones", (float(at[0]), float(at[1])), word, size))
    return found


def zone_letter(planting: Planting, zone: int) -> str:
    """Give the letter of a class of thirst."""
    return planting.hydrozones[zone][0].upper()


def said_by_line(planting: Planting) -> str:
    """Say which line and letter stands for which thirst, of those that are planted."""
    zones = np.unique(planting.hydrozone[planting.hydrozone >= 0]).tolist()
    return ", ".join(
        f"{_EDGES[z][1]} {zone_letter(planting, z)} {planting.hydrozones[z]}" for z in zones
    )
