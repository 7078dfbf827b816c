"""The courses that row 1 can take: the person's own string, a straight one, or the contour.

A course says where the net starts and which way its rows go. The net reaches all of the outline
from there: to both sides, down the slope, and up to whatever corners lie above the start.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.layout.lines import along_contour, along_string, geodesics, square_to
from hillwright.layout.model import Net
from hillwright.layout.net import lay_net
from hillwright.terrain.model import Ground

Kind = Literal["string", "straight", "contour"]
_PLACES = 24  # both ways over the outline, that say which way the hill falls
ROOM = 1.15  # a net is laid this much longer than the outline looks in plan, as rows may curve


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A way for the rows to go."""

    kind: Kind
    start: Array  # (2,) where the spine meets the top string [m]
    heading: Array  # (2,) plan direction of the row there, to the right looking uphill
    string: Array  # (k, 2) corners of the person's string; empty for the other kinds [m]

    def moved(self, start: Array, heading: Array) -> Course:
        """Give the same course from another start."""
        return Course(self.kind, start, heading, self.string)


def contour_direction(ground: Ground, at: Array) -> Array:
    """Give the level direction at a place, to the right looking uphill.

    Parameters
    ----------
    ground : Ground
        The ground.
    at : (2,) array
        Where [m].

    Returns
    -------
    (2,) array
        Unit vector in plan.

    Raises
    ------
    OutOfRange
        The ground is flat there, so that no direction is level and none is downhill.
    """
    _, zx, zy = ground.at(at[:1], at[1:2])
    slope = float(np.hypot(zx[0], zy[0]))
    if not slope > 1e-6:
        raise OutOfRange(
            f"layout: ground at {at[0]:.2f} m, {at[1]:.2f} m",
            "is flat or unknown, so rows have no contour to follow",
            "give the top string, or check the survey there",
        )
    return np.array([zy[0], -zx[0]]) / slope


def turned(direction: Array, angle: float) -> Array:
    """Turn a plan direction counter-clockwise."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c * direction[0] - s * direction[1], s * direction[0] + c * direction[1]])


def mean_contour(ground: Ground, outline: Array) -> Array:
    """Give the level direction of the hill as a whole, to the right looking uphill (2,).

    One place of a bumpy hill says little of which way its rows should go.

    Raises
    ------
    OutOfRange
        The hill as a whole does not fall any way.
    """
    low, high = outline.min(axis=0), outline.max(axis=0)
    x, y = (g.ravel() for g in np.meshgrid(*np.linspace(low, high, _PLACES).T))
    inside = shapely.contains_xy(shapely.Polygon(outline), x, y)
    _, zx, zy = ground.at(x[inside], y[inside])
    rise = np.array([np.nanmean(zx), np.nanmean(zy)]) if inside.any() else np.zeros(2)
    slope = float(np.hypot(*rise))
    if not slope > 1e-6:
        raise OutOfRange(
            "layout: ground inside the outline",
            "is flat or unknown, so rows have no contour to follow",
            "give the top string, or check the survey there",
        )
    return np.array([rise[1], -rise[0]]) / slope


def tilt_of(ground: Ground, outline: Array, top: Array) -> float:
    """Give the angle between a top row (k, 3), end to end, and the hill's contour, 0 to pi/2."""
    along = (top[-1] - top[0])[:2]
    if not np.linalg.norm(along) > 0:
        return 0.0
    cosine = abs(mean_contour(ground, outline) @ along) / np.linalg.norm(along)
    return float(np.arccos(np.clip(cosine, 0.0, 1.0)))


def uppermost(ground: Ground, outline: Array) -> Array:
    """Give the place where the fall line through the outline's middle leaves it uphill (2,)."""
    shape = shapely.Polygon(outline)
    middle = shape.representative_point() if not shape.contains(shape.centroid) else shape.centroid
    at = np.array([middle.x, middle.y])
    right = contour_direction(ground, at)
    up = np.array([-right[1], right[0]])
    far = np.ptp(outline, axis=0).sum()
    ray = shape.intersection(shapely.LineString([at, at + far * up]))
    first = shapely.get_coordinates(shapely.get_parts(ray)[0])
    return np.asarray(first[np.argmax((first - at) @ up)])


def straight_courses(ground: Ground, outline: Array, tilts: Array) -> list[Course]:
    """Give straight strings through the top of the outline, tilted off the contour by ``tilts``."""
    start, level = uppermost(ground, outline), mean_contour(ground, outline)
    none = np.empty((0, 2))
    return [Course("straight", start, turned(level, t), none) for t in tilts]


def contour_course(ground: Ground, outline: Array) -> Course:
    """Give the level row through the top of the outline."""
    start = uppermost(ground, outline)
    return Course("contour", start, contour_direction(ground, start), np.empty((0, 2)))


def string_course(ground: Ground, string: Array) -> Course:
    """Give the course along the person's own string, from its middle.

    A string given right to left is turned round, so that cells count from the left looking uphill.
    """
    line = shapely.LineString(string)
    middle = line.interpolate(0.5, normalized=True)
    ahead = line.interpolate(0.501, normalized=True)
    start = np.array([middle.x, middle.y])
    heading = np.array([ahead.x, ahead.y]) - start
    heading /= np.linalg.norm(heading)
    if not np.isfinite(ground.at(start[:1], start[1:])[0]).all():
        raise OutOfRange(
            "layout.string",
            "the middle of the top string lies where the ground was not surveyed",
            "check the places of the string and their unit, or survey there",
        )
    if contour_direction(ground, start) @ heading < 0:
        return Course("string", start, -heading, string[::-1])
    return Course("string", start, heading, string)


def lay(
    ground: Ground, course: Course, outline: Array, across: float, down: float, upward: bool
) -> Net:
    """Lay the net of one course over the whole outline; see :func:`lay_all`."""
    return lay_all(ground, [course], outline, across, down, upward)[0]


def lay_all(
    ground: Ground, several: list[Course], outline: Array, across: float, down: float, upward: bool
) -> list[Net]:
    """Lay the net of each course over the whole outline.

    Straight lines of all courses are followed together, which costs little more than one.

    Parameters
    ----------
    ground : Ground
        What the cells lie on.
    several : list of Course
        Where each starts and how its top row goes.
    outline : (k, 2) array
        What the nets must reach [m].
    across, down : float
        Edge lengths along a row and down the slope [m].
    upward : bool
        Also lay lines above the start, to find out what would fit there; never above a string
        that the person pulled.
    """
    falls = [square_to(ground, c.start, c.heading) for c in several]
    reach = [
        _reach(ground, c, fall, outline, across, down)
        for c, fall in zip(several, falls, strict=True)
    ]
    up = [r[2] if upward and c.kind != "string" else 0 for c, r in zip(several, reach, strict=True)]
    tops = _top_rows(ground, several, across, [r[:2] for r in reach])
    starts = [top[r[0]] for top, r in zip(tops, reach, strict=True)]
    most = max(max(r[3] for r in reach), *up)
    spines = _both_ways(ground, starts, falls, down, most)
    nets = []
    for k, (left, _, _, below) in enumerate(reach):
        spine_up = spines[1, k, : up[k] + 1] if up[k] else None
        nets.append(
            lay_net(ground, tops[k], left, spines[0, k, : below + 1], spine_up, across, down)
        )
    return nets


def _both_ways(
    ground: Ground, starts: list[Array], headings: list[Array], step: float, count: int
) -> Array:
    """Follow the straight lines through k places forward and back (2, k, count + 1, 3)."""
    at = np.array([[s[0], s[1], 0.0] for s in starts])
    ahead = np.array(headings)
    lines = geodesics(
        ground, np.concatenate((at, at)), np.concatenate((ahead, -ahead)), step, count
    )
    return lines.reshape(2, len(at), count + 1, 3)


def _top_rows(
    ground: Ground, several: list[Course], across: float, sides: list[tuple[int, ...]]
) -> list[Array]:
    """Give the crossings of each top row, left to right looking uphill."""
    straight = [k for k, c in enumerate(several) if c.kind == "straight"]
    lines: dict[int, Array] = {}
    if straight:
        both = _both_ways(
            ground,
            [several[k].start for k in straight],
            [several[k].heading for k in straight],
            across,
            max(max(sides[k]) for k in straight),
        )
        lines = {k: both[:, i] for i, k in enumerate(straight)}
    rows = []
    for k, (course, (left, right)) in enumerate(zip(several, sides, strict=True)):
        start = course.start
        if k in lines:
            to_right, to_left = lines[k][0, : right + 1], lines[k][1, : left + 1]
        elif course.kind == "contour":
            to_right = along_contour(ground, start, across, right, 1)
            to_left = along_contour(ground, start, across, left, -1)
        else:
            to_right = along_string(ground, course.string, start, across, right)
            to_left = along_string(ground, course.string, start, across, left, -1)
        rows.append(np.concatenate((to_left[:0:-1], to_right)))
    return rows


def _reach(
    ground: Ground, course: Course, fall: Array, outline: Array, across: float, down: float
) -> tuple[int, int, int, int]:
    """Count the columns to the left and right and the lines up and down that cover the outline."""
    dense = shapely.get_coordinates(shapely.segmentize(shapely.Polygon(outline), across))
    away = dense - course.start
    # columns run down the fall, so how far to the side a corner is counts square to the fall
    side = away[:, 0] * -fall[1] + away[:, 1] * fall[0]
    side, along = side * np.sign(course.heading @ np.array([-fall[1], fall[0]])), away @ fall
    # a chord is shorter in plan than on the ground by the slope that it climbs
    _, zx, zy = ground.at(dense[:, 0], dense[:, 1])
    steep = np.sqrt(1 + np.nanmax(zx**2 + zy**2))
    reach = np.array([-side.min(), side.max(), -along.min(), along.max()])
    steps = np.array([across, across, down, down]) / np.array([1, 1, steep, steep])
    counts = np.ceil(np.maximum(reach, 0) * ROOM / steps).astype(int) + 2
    counts[:2] += int(np.ceil(abs(course.heading @ fall) * counts[2:].max() * down / across))
    left, right, up, below = (int(c) for c in counts)
    return left, right, up, below
