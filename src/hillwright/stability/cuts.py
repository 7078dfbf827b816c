"""Sections through the hill for whole-slope stability: the fall line and two beside it.

Beyond what the survey covers the ground is carried on level at both ends, so that a circle can
come out below the toe and break the ground behind the crest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.layout.model import Layout
from hillwright.terrain.model import Surface

BESIDE = (0.25, 0.75)  # of the outline's width: where the two others are cut
LEVEL = 1.5  # of the height: how far level ground is carried on at both ends
LEAST = 0.3  # lower slopes than this have no circle worth a search [m]
_POINTS = 160  # along one section before it is simplified
_BEND = 5e-3  # off the surveyed line that a simplified one may lie [m]


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """One section, from the top down."""

    name: str
    line: Array  # (k, 3) on the ground [m]
    profile: Array  # (m, 2) distance along and height, level ground at both ends included [m]
    loaded: Array  # (s, 2) from and to, where cells lie on it [m]
    slope: float  # mean, of the part with cells or else of all of it [rad]
    gentlest: float  # of its facets between the ends of the survey [rad]
    beside: float  # of section S, to the right looking uphill [m]

    @property
    def relief(self) -> float:
        """From the lowest to the highest ground [m]."""
        return float(np.ptp(self.profile[:, 1]))


def cuts(surface: Surface, layout: Layout) -> tuple[Cut, ...]:
    """Give the section down the fall line and two beside it, as far as they are slopes."""
    fall = surface.fall_line
    if len(fall) < 2:
        return ()
    down = fall[-1, :2] - fall[0, :2]
    down = down / np.hypot(*down)
    across = np.array([-down[1], down[0]])
    u = surface.outline @ across
    own = float(fall[0, :2] @ across)
    inside = _inside(surface, own, across, down)
    reach = np.array([fall[0, :2] @ down, fall[-1, :2] @ down])
    beyond = reach - inside if len(inside) else np.zeros(2)  # as far as the fall line goes on
    lines = [("S", _graded(surface, fall))]
    for k, share in enumerate(BESIDE, 1):
        offset = float(u.min() + share * np.ptp(u))
        if abs(offset - own) > layout.cell.width:  # else it is the same section again
            ends = _inside(surface, offset, across, down)
            if len(ends):
                lines.append((f"S{k}", _line(surface, offset * across, down, ends + beyond)))
    # `across` is to the left of the way down: to the right of one who looks uphill
    found = (
        _cut(name, line, layout, float(line[0, :2] @ across) - own)
        for name, line in lines
        if len(line) > 1
    )
    return tuple(c for c in found if c.relief >= LEAST)


def _graded(surface: Surface, fall: Array) -> Array:
    """Give the fall line on the ground as grading leaves it, as the sheets draw it."""
    z = np.asarray(surface.graded.at(fall[:, 0], fall[:, 1])[0])
    return np.column_stack([fall[:, :2], np.where(np.isfinite(z), z, fall[:, 2])])


def _inside(surface: Surface, offset: float, across: Array, down: Array) -> Array:
    """Give how far down a straight line enters and leaves the outline, (2,) or nothing [m]."""
    v = surface.outline @ down
    ends = offset * across + np.array([[v.min() - 1], [v.max() + 1]]) * down
    part = shapely.intersection(shapely.LineString(ends), shapely.Polygon(surface.outline))
    if part.is_empty:
        return np.empty(0)
    t = shapely.get_coordinates(part) @ down
    return np.array([t.min(), t.max()])


def _line(surface: Surface, foot: Array, down: Array, ends: Array) -> Array:
    """Draw a straight section on the graded ground, as far as there is any."""
    xy = foot + np.linspace(ends[0], ends[1], _POINTS)[:, None] * down
    z = np.asarray(surface.graded.at(xy[:, 0], xy[:, 1])[0])
    return np.column_stack([xy, z])[np.isfinite(z)]


def _cut(name: str, line: Array, layout: Layout, beside: float) -> Cut:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line[:, :2], axis=0).T))])
    ground = np.column_stack([along, line[:, 2]])
    kept = shapely.get_coordinates(shapely.simplify(shapely.LineString(ground), _BEND))
    more = LEVEL * float(np.ptp(kept[:, 1]))
    profile = np.vstack([[kept[0, 0] - more, kept[0, 1]], kept, [kept[-1, 0] + more, kept[-1, 1]]])
    loaded = _loaded(line, layout)
    part = ground
    if len(loaded):
        first, last = loaded[0, 0], loaded[-1, 1]
        part = np.array([[s, np.interp(s, *ground.T)] for s in (first, last)])
    fall = float(part[0, 1] - part[-1, 1])
    slope = float(np.arctan2(fall, np.ptp(part[:, 0])))
    facets = np.arctan2(-np.diff(kept[:, 1]), np.diff(kept[:, 0]))
    gentlest = float(np.clip(facets.min(), 0.0, max(slope, 0.0)))
    return Cut(name, line, profile, loaded, slope, gentlest, beside)


def _loaded(line: Array, layout: Layout) -> Array:
    """Find from where to where cells lie on a section (s, 2) [m]."""
    if not len(layout.corners):
        return np.empty((0, 2))
    plan = shapely.LineString(line[:, :2])
    quads = shapely.polygons(layout.corners[:, :, :2])
    near = quads[shapely.intersects(quads, plan)]
    spans = []
    for part in shapely.get_parts(shapely.intersection(plan, shapely.union_all(near))):
        ends = shapely.line_locate_point(plan, shapely.points(shapely.get_coordinates(part)))
        if np.ptp(ends) > 0:
            spans.append((float(ends.min()), float(ends.max())))
    return np.array(sorted(spans)).reshape(-1, 2)
