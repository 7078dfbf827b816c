"""The rows as the tubing sees them: where a lateral lies at each station along its row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Index
from hillwright.layout.model import Layout


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Rows of cells by their centres; stations run from left to right looking uphill."""

    along: Array  # (2,) direction of the rows in plan
    station: Array  # (n,) of every cell [m]
    centre: Array  # (n, 3) of every cell's base [m]
    of: dict[int, Index]  # row -> its cells from the left
    off: shapely.Geometry | None = None  # to keep off; None: any hole in the cells

    @classmethod
    def of_layout(cls, layout: Layout, shut: Sequence[Array] | None = None) -> Rows:
        """Read the rows off a layout; ``shut`` are rings (k, 2) of places to keep off."""
        across = (layout.corners[:, 1] - layout.corners[:, 0])[:, :2].sum(axis=0)
        along = across / max(float(np.hypot(*across)), 1e-12)
        centre = layout.corners.mean(axis=1)
        station = centre[:, :2] @ along
        cells = {
            int(r): (c := np.flatnonzero(layout.row == r))[np.argsort(station[c], kind="stable")]
            for r in np.unique(layout.row)
        }
        off = None
        if shut is not None:
            off = shapely.union_all([shapely.make_valid(shapely.Polygon(r)) for r in shut])
            shapely.prepare(off)
        return cls(along, station, centre, cells, off)

    def crosses(self, line: Array) -> bool:
        """Say whether a line (k, 2 or 3) meets a place to keep off."""
        return self.off is not None and bool(
            shapely.intersects(self.off, shapely.LineString(line[:, :2]))
        )

    def within(self, line: Array) -> float:
        """Give how much of a line (k, 2 or 3) lies in a place to keep off; touching is none [m]."""
        if self.off is None:
            return 0.0
        return float(shapely.intersection(self.off, shapely.LineString(line[:, :2])).length)

    def point(self, row: int, station: Array, lift: float) -> Array:
        """Give points (k, 3) on a row's line, ``lift`` over the base; beyond its ends level on."""
        cells = self.of[row]
        s, xyz = self.station[cells], self.centre[cells]
        found = np.stack([np.interp(station, s, xyz[:, k]) for k in range(3)], axis=-1)
        past = station - np.clip(station, s[0], s[-1])
        found[..., :2] += past[..., None] * self.along
        found[..., 2] += lift
        return found
