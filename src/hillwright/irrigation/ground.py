"""The rows as the tubing sees them: where a lateral lies at each station along its row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.layout.model import Layout


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Rows of cells by their centres; stations run from left to right looking uphill."""

    along: Array  # (2,) direction of the rows in plan
    station: Array  # (n,) of every cell [m]
    centre: Array  # (n, 3) of every cell's base [m]
    of: dict[int, Index]  # row -> its cells from the left

    @classmethod
    def of_layout(cls, layout: Layout) -> Rows:
        """Read the rows off a layout."""
        across = (layout.corners[:, 1] - layout.corners[:, 0])[:, :2].sum(axis=0)
        along = across / max(float(np.hypot(*across)), 1e-12)
        centre = layout.corners.mean(axis=1)
        station = centre[:, :2] @ along
        cells = {
            int(r): (c := np.flatnonzero(layout.row == r))[np.argsort(station[c], kind="stable")]
            for r in np.unique(layout.row)
        }
        return cls(along, station, centre, cells)

    def point(self, row: int, station: Array, lift: float) -> Array:
        """Give points (k, 3) on a row's line, ``lift`` over the base; beyond its ends level on."""
        cells = self.of[row]
        s, xyz = self.station[cells], self.centre[cells]
        found = np.stack([np.interp(station, s, xyz[:, k]) for k in range(3)], axis=-1)
        past = station - np.clip(station, s[0], s[-1])
        found[..., :2] += past[..., None] * self.along
        found[..., 2] += lift
        return found
