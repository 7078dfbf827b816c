"""Where the upper left corner of a cell may lie so that the whole cell fits the strings.

The outline is worn down by the cell: one point test then says what a box test would say. Sheet
coordinates: u to the right looking uphill, v downhill; a cell at (u, v) takes up
[u, u + width] x [v, v + run].
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.errors import OutOfRange

TOUCH = 1e-9
"""A cell may stand this far over a string and still only touch it [m]."""

Geometry = Any  # shapely carries no types


@dataclass(frozen=True, eq=False)  # no slots: the three shapes are made when asked for
class Anchors:
    """Anchor positions for which the whole cell lies inside the outline and off the exclusions."""

    rings: tuple[Array, ...]  # every edge that a cell may touch and not cross, (k, 2) each [m]
    ground: Geometry  # outline less the exclusions
    width: float  # of the cell [m]
    run: float  # [m]

    @cached_property
    def exact(self) -> Geometry:
        """The set itself; where the cell fits only just, it shrinks to a line and is lost."""
        return self._worn(0.0)

    @cached_property
    def closed(self) -> Geometry:
        """Grown by ``TOUCH``, so that a cell that touches a string is well inside; prepared."""
        worn = self._worn(TOUCH)
        shapely.prepare(worn)
        return worn

    @cached_property
    def half_closed(self) -> Geometry:
        """Grown by half of that: its corners lie well inside :attr:`closed`."""
        return self._worn(TOUCH / 2)

    @property
    def empty(self) -> bool:
        """Whether no cell fits anywhere."""
        return bool(self.closed.is_empty)

    def _worn(self, touch: float) -> Geometry:
        half = np.array([self.width / 2, self.run / 2])
        # centred cells: a centre on an edge is always swept away, a corner might not be
        swept = shapely.union_all(
            np.concatenate([_swept(ring, half - touch) for ring in self.rings])
        )
        centres = shapely.difference(self.ground, swept)
        return shapely.transform(_areas(centres), lambda xy: xy - half)


def anchor_region(
    outlines: Sequence[Array], exclusions: Sequence[Array], width: float, run: float
) -> Anchors:
    """Wear the outline and the exclusions down by the cell.

    Parameters
    ----------
    outlines : sequence of (k, 2) array
        Corners of each part of the outline, in sheet coordinates [m]; parts do not overlap.
    exclusions : sequence of (k, 2) array
        Corners of each place that cells keep off [m]; they may overlap and reach outside.
    width, run : float
        Of the cell [m].

    Raises
    ------
    OutOfRange
        A ring crosses itself, has no area, or the cell has none.
    """
    if not (width > 4 * TOUCH and run > 4 * TOUCH and np.isfinite([width, run]).all()):
        raise OutOfRange("cell", f"{width:g} by {run:g} m has no area", "give both sides above 0")
    parts = [ring_polygon(ring, _nth("outline", i, outlines)) for i, ring in enumerate(outlines)]
    holes = [
        ring_polygon(ring, _nth("exclusion", i, exclusions)) for i, ring in enumerate(exclusions)
    ]
    ground = shapely.union_all(parts)
    if holes:
        ground = shapely.difference(ground, shapely.union_all(holes))
    rings = tuple(shapely.get_coordinates(shape.exterior) for shape in (*parts, *holes))
    return Anchors(rings, ground, width, run)


def ring_polygon(ring: Array, where: str) -> Geometry:
    """Make a polygon of a ring's corners, closed by a repeated first corner or not.

    Raises
    ------
    OutOfRange
        Fewer than 3 corners, a corner without numbers, no area, or edges that cross.
    """
    ring = np.asarray(ring, dtype=float)
    if ring.ndim != 2 or ring.shape[-1] != 2:
        raise OutOfRange(where, f"has shape {ring.shape}", "give corners as pairs of x and y")
    if not np.isfinite(ring).all():
        bad = int(np.flatnonzero(~np.isfinite(ring).all(axis=1))[0]) + 1
        raise OutOfRange(f"{where}, corner {bad}", "is not a number", "give two finite lengths")
    if len(np.unique(ring, axis=0)) < 3:
        raise OutOfRange(where, "has fewer than 3 different corners", "give at least 3 corners")
    shape = shapely.Polygon(ring)
    if shape.convex_hull.area == 0:
        raise OutOfRange(where, "has no area", "give corners that are not all in one line")
    if not shape.is_valid:
        why = shapely.is_valid_reason(shape)
        at = why[why.find("[") + 1 : why.find("]")].split() if "[" in why else []
        spot = f" near ({float(at[0]):.3f}, {float(at[1]):.3f})" if len(at) == 2 else ""
        raise OutOfRange(
            where,
            f"crosses itself{spot}",
            "give the corners in order round the edge, and a hole as an exclusion",
        )
    return shape


def _swept(ring: Array, half: Array) -> Any:
    """Everything that a centred cell's inside covers while its centre runs along each edge."""
    p, q = ring[:-1], ring[1:]
    moved = (p != q).any(axis=1)
    ends = np.stack([p[moved], q[moved]], axis=1)  # (k, 2, 2)
    corners = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    clouds = (ends[:, :, None, :] + corners).reshape(-1, 2)
    groups = np.repeat(np.arange(len(ends)), 8)
    return shapely.convex_hull(shapely.multipoints(clouds, indices=groups))


def _areas(shape: Geometry) -> Geometry:
    """Keep the polygons only."""
    parts = shapely.get_parts(shape)
    return shapely.multipolygons(parts[shapely.get_type_id(parts) == 3])


def _nth(name: str, i: int, of: Iterable[Array]) -> str:
    return name if len(list(of)) == 1 else f"{name} {i + 1}"
