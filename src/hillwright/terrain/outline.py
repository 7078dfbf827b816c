"""The outline that was strung on the hill: read as a ring, and held against the survey."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.errors import Problem

_FOOT = 3.28084
_LEAST_COVERED = 0.5  # share of the outline; with less the ground would be mostly guessed
_NAMED = 6  # corners named in one message


@dataclass(frozen=True, slots=True, eq=False)
class Cover:
    """How much of an outline a survey covers."""

    share: float  # of the outline's plan area [-]
    outside_area: float  # [m2]
    outside: tuple[int, ...]  # corners that are not covered, from 0


def shrunk_hull(hull: Array, spacing: float) -> Array:
    """(k, 2) the survey's hull drawn in a little, for a job without an outline [m]."""
    polygon = shapely.Polygon(hull)
    narrow = 2 * polygon.area / polygon.length  # near half the width of a long hull
    inner = polygon.buffer(-min(0.25 * spacing, 0.1 * narrow), join_style="mitre")
    return np.asarray(shapely.get_coordinates(inner.exterior)[:-1])


def ring_problems(outline: Array, where: str) -> tuple[Array, list[Problem]]:
    """Check an outline as a ring: three corners, finite, not crossing itself, with an area.

    Returns
    -------
    tuple
        (k, 2) corners counter-clockwise, none twice in a row [m]; and what is wrong with them.
    """
    ring = np.asarray(outline, float)
    if (bad := np.flatnonzero(~np.isfinite(ring).all(axis=1))).size:
        return ring, [
            Problem(f"{where}: corner {k + 1}", "not a number", "give both of its coordinates")
            for k in bad
        ]
    ring = ring[(ring != np.roll(ring, 1, axis=0)).any(axis=1)]
    if len(ring) < 3:
        return ring, [Problem(where, f"{len(ring)} different corners", "give at least 3")]
    line = shapely.LinearRing(ring)
    if not line.is_simple:
        return ring, [
            Problem(
                where,
                f"the outline crosses itself {_crossing(ring)}",
                "give the corners in order round the outline",
            )
        ]
    polygon = shapely.Polygon(ring)
    if polygon.area <= 1e-9 * polygon.length**2:
        return ring, [Problem(where, "the outline has no area", "give corners not in one line")]
    return (ring if shapely.is_ccw(line) else ring[::-1]), []


def _crossing(ring: Array) -> str:
    """Name the two sides that cross first."""
    n = len(ring)
    sides = shapely.linestrings(np.stack([ring, np.roll(ring, -1, axis=0)], axis=1))
    for i in range(n - 1):
        for j in range(i + 2, n - (i == 0)):
            if shapely.intersects(sides[i], sides[j]):
                at = shapely.get_coordinates(shapely.intersection(sides[i], sides[j]))[0]
                return (
                    f"where the side from corner {i + 1} meets the side from corner {j + 1} "
                    f"(near x {at[0]:.2f} m, y {at[1]:.2f} m of the local grid)"
                )
    return "where a side runs back along itself"


def cover(outline: Array, hull: Array) -> Cover:
    """Measure how much of an outline lies inside the hull of a survey."""
    ring, covered = shapely.Polygon(outline), shapely.Polygon(hull)
    inside = shapely.intersection(ring, covered).area
    # corners strung from hull point to hull point are covered, rounding or not
    roomy = covered.buffer(1e-6 * covered.length)
    outside = np.flatnonzero(~shapely.intersects_xy(roomy, outline[:, 0], outline[:, 1]))
    share = inside / ring.area
    share = 1.0 if share > 1 - 1e-9 else share
    return Cover(float(share), float(ring.area - inside), tuple(int(k) for k in outside))


def cover_problems(found: Cover, outline: Array, hull: Array, where: str) -> list[Problem]:
    """Refuse an outline that the survey hardly covers; a mix-up of units is named."""
    if found.share >= _LEAST_COVERED:
        return []
    right = "survey the rest, or move the outline onto what was surveyed"
    for factor, told in ((_FOOT, "metres read as feet"), (1 / _FOOT, "feet read as metres")):
        if cover(outline * factor, hull).share > 0.9:
            right = (
                f"with its coordinates times {factor:.4g} it would lie on the survey: {told}? "
                "Give outline and survey in their own units"
            )
    lying = "" if found.share > 0 else ", they do not meet at all"
    return [
        Problem(
            where,
            f"the survey covers only {found.share:.0%} of the outline{lying}; "
            f"{named_corners(found)}",
            right,
        )
    ]


def named_corners(found: Cover) -> str:
    """Say which corners lie outside the survey, and how much area."""
    names = [str(k + 1) for k in found.outside[:_NAMED]]
    more = len(found.outside) - len(names)
    text = f"{found.outside_area:.1f} m2 lie outside it"
    if names:
        corners = "corner " if len(names) == 1 and not more else "corners "
        text += f", with {corners}{', '.join(names)}" + (f" and {more} more" if more > 0 else "")
    return text
