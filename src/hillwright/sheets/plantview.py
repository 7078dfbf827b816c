"""The cells on paper, as the pictures of the planting show them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array
from hillwright.sheets.scale import MARGIN, STRIP, paper_of, scale_text, standard_scales

if TYPE_CHECKING:
    from hillwright.plan import Plan

_LEFT, _EDGE = 9.0, 4.0  # room round the cells; at the left the names of the rows [mm]
_BESIDE = 62.0  # height that heading, signs and notes, or a table, take on the same page [mm]


class View:
    """The cells on paper, true to a standard scale: rows level, uphill at the top.

    A hill for which no standard scale is small enough fills the paper, and has no ``scale``.
    """

    def __init__(self, plan: Plan, crowns: bool = True) -> None:
        layout, paper = plan.layout, paper_of(plan.opened.job)
        top = layout.top_string[np.isfinite(layout.top_string[:, 0])]
        run = top[-1, :2] - top[0, :2] if len(top) > 1 else np.array([1.0, 0.0])
        turn = -math.atan2(run[1], run[0])
        c, s = math.cos(turn), math.sin(turn)
        self.turn = turn  # of the ground, anticlockwise [rad]
        self._turn = np.array([[c, s], [-s, c]])
        placed = layout.corners[..., :2] @ self._turn
        low, high = placed.min(axis=(0, 1)), placed.max(axis=(0, 1))
        for group in plan.planting.groups:
            plant = plan.planting.plants[group.plant]
            if crowns and plant.canopy:  # it may reach over the edge of the cells
                at = group.centre[:2] @ self._turn
                low = np.minimum(low, at - plant.width / 2)
                high = np.maximum(high, at + plant.width / 2)
        wide = paper.width - 2 * MARGIN - _LEFT - _EDGE
        tall = paper.height - 2 * MARGIN - STRIP - _BESIDE
        size = np.maximum(high - low, 1e-6)
        most = float(min(wide / size[0], tall / size[1]))
        scales = standard_scales(plan.opened.job.units)
        self.scale = next((s for s in scales if 1000 / s <= most), None)
        self.factor = 1000 / self.scale if self.scale else most  # [mm/m]
        self.width = float(size[0] * self.factor) + _LEFT + _EDGE
        self.height = float(size[1] * self.factor) + 2 * _EDGE
        self._low = low
        self.corners = self.place(layout.corners[..., :2])

    def place(self, xy: Array) -> Array:
        """Place ground points (..., 2) [m] on paper [mm]."""
        return np.asarray((xy @ self._turn - self._low) * self.factor + (_LEFT, _EDGE))


def scale_said(plan: Plan, view: View) -> str:
    """Write the scale for the title block, "" where there is none."""
    if view.scale is None:
        return ""
    job = plan.opened.job
    return f"{scale_text(view.scale, job.units)} on {paper_of(job).shown}"


def letter(view: View) -> float:
    """Give the size of letters that fit in a cell [mm]."""
    wide = np.linalg.norm(view.corners[:, 1] - view.corners[:, 0], axis=1)
    tall = np.linalg.norm(view.corners[:, 3] - view.corners[:, 0], axis=1)
    return float(min(0.42 * np.median(wide), 0.62 * np.median(tall), 3.2))
