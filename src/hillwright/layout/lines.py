"""Lines with equal chords on the ground, for the top row and the spine to follow.

Each next point is where the ground, a sphere about the point before and a plane meet; the kinds
of line differ only in that plane: through the normal of the ground (straight on the ground),
level (a contour), or upright through a string. A line ends in NaN rows where the ground ends.
"""

from __future__ import annotations

import math

import numpy as np

from hillwright.arrays import Array
from hillwright.layout.meet import meet_and_slope
from hillwright.terrain.model import Ground

_LEVEL = np.array([0.0, 0.0, 1.0])


def geodesic(ground: Ground, start: Array, heading: Array, step: float, count: int) -> Array:
    """Follow the straight line on the ground.

    Parameters
    ----------
    ground : Ground
        The ground.
    start : (3,) array
        First point; its height is taken from the ground [m].
    heading : (2,) array
        Direction in plan in which the line leaves.
    step : float
        Length of every chord [m].
    count : int
        How many chords.

    Returns
    -------
    (count + 1, 3) array
        The line; it bends only with the ground: each turn is along the ground's normal [m].
    """
    lines = geodesics(ground, np.asarray(start)[None], np.asarray(heading)[None], step, count)
    return np.asarray(lines[0])


def geodesics(ground: Ground, start: Array, heading: Array, step: float, count: int) -> Array:
    """Follow k straight lines on the ground together, which costs little more than one.

    ``start`` is (k, 3) and ``heading`` (k, 2); gives (k, count + 1, 3). See :func:`geodesic`.
    """
    points = np.full((count + 1, len(start), 3), np.nan)
    points[0] = _drape(ground, np.asarray(start, float))
    slope, along = _slopes(ground, points[0]), np.asarray(heading, float)
    along = np.column_stack((along, (slope * along).sum(axis=1)))
    turn = np.zeros((len(start), 2))
    for k in range(count):
        normal = np.column_stack((-slope, np.ones(len(slope))))
        plane = np.cross(normal, along)
        points[k + 1], slope = _next(ground, points[k], along, plane, step, turn)
        if np.isnan(points[k + 1, :, 0]).all():
            break
        if k:
            turn = (points[k + 1] - points[k] - along)[:, :2]
        along = points[k + 1] - points[k]
    return np.moveaxis(points, 0, 1)


def square_to(ground: Ground, point: Array, direction: Array) -> Array:
    """Give the plan direction that is square to another one on the ground, and points downhill.

    Lines that are square in plan are not square on a slope unless one of them is level.

    Parameters
    ----------
    ground : Ground
        The ground.
    point : (2,) or (3,) array
        Where [m].
    direction : (2,) array
        A direction in plan, left to right looking uphill.

    Returns
    -------
    (2,) array
        Unit vector in plan; to the right of ``direction`` where neither side falls.
    """
    slope = _slopes(ground, np.asarray(point, float)[None])[0]
    d = np.asarray(direction[:2], float)
    covector = d + (slope @ d) * slope
    square = np.array([covector[1], -covector[0]]) / np.hypot(*covector)
    return np.asarray(-square if slope @ square > 1e-12 else square)


def along_contour(ground: Ground, start: Array, step: float, count: int, side: int) -> Array:
    """Follow the contour: a level row.

    Parameters
    ----------
    ground : Ground
        The ground.
    start : (3,) array
        First point; its height is taken from the ground [m].
    step : float
        Length of every chord [m].
    count : int
        How many chords.
    side : int
        1 goes to the right looking uphill, -1 to the left.

    Returns
    -------
    (count + 1, 3) array
        The line; NaN from where the ground is flat on [m].
    """
    points = _begin(ground, start, count)
    slope = _slopes(ground, points[:1])[0]
    along = side * np.array([slope[1], -slope[0], 0.0])
    for k in range(count):
        found, slopes = _next(ground, points[k, None], along[None], _LEVEL[None], step)
        if np.isnan(found[0, 0]):
            break
        points[k + 1], slope = found[0], slopes[0]
        level = np.array([slope[1], -slope[0], 0.0])
        # go on the way we came, also where a gully turns the uphill side round
        along = level if level @ (points[k + 1] - points[k]) > 0 else -level
    return points


def along_string(
    ground: Ground, string: Array, start: Array, step: float, count: int, side: int = 1
) -> Array:
    """Follow a string that is draped on the ground, with equal chords.

    Parameters
    ----------
    ground : Ground
        The ground.
    string : (k, 2) array
        Corners of the string in plan, left to right looking uphill; carried on straight beyond
        both ends [m].
    start : (2,) or (3,) array
        First point; moved to the nearest place on the string [m].
    step : float
        Length of every chord [m].
    count : int
        How many chords.
    side : int
        1 follows the string as given, -1 backwards.

    Returns
    -------
    (count + 1, 3) array
        The line [m].

    Raises
    ------
    ValueError
        The string has no length.
    """
    corners = np.asarray(string, float)[::side, :2]
    corners = corners[np.append(True, np.any(np.diff(corners, axis=0) != 0, axis=1))]
    if len(corners) < 2:
        raise ValueError("a string needs two different ends")
    leg, place = _nearest(corners, np.asarray(start, float)[:2])
    points = _begin(ground, place, count)
    legs = np.diff(corners, axis=0)
    legs /= np.linalg.norm(legs, axis=1)[:, None]
    ends = _drape(ground, corners[1:])
    slope = _slopes(ground, points[:1])[0]
    for k in range(count):
        while leg + 1 < len(legs) and np.linalg.norm(ends[leg] - points[k]) < step:
            leg += 1
        along = np.append(legs[leg], 0.0)
        # on a new leg the last point lies off the leg, and the plane goes through its corner
        upright = np.cross(_LEVEL, along)
        turn = _to_leg(points[k], slope, along, step, corners[leg])
        through = np.append(corners[leg], 0.0)
        found, slopes = _next(
            ground, points[k, None], along[None], upright[None], step, turn, through
        )
        if np.isnan(found[0, 0]):
            break
        points[k + 1], slope = found[0], slopes[0]
    return points


def _drape(ground: Ground, places: Array) -> Array:
    """Give plan positions (n, 2), or points (n, 3), the height of the ground."""
    x, y = places[:, 0], places[:, 1]
    return np.column_stack((x, y, ground.at(x, y)[0]))


def _begin(ground: Ground, start: Array, count: int) -> Array:
    """Make room for a line and put its first point on the ground."""
    points = np.full((count + 1, 3), np.nan)
    points[0] = _drape(ground, np.asarray(start, float)[None])[0]
    return points


def _slopes(ground: Ground, points: Array) -> Array:
    """Give the gradient (n, 2) at points (n, 2) or (n, 3)."""
    return np.column_stack(ground.at(points[:, 0], points[:, 1])[1:])


def _nearest(corners: Array, point: Array) -> tuple[int, Array]:
    """Find the leg of a string, its ends carried on, that is nearest to a point, and the place."""
    legs = np.diff(corners, axis=0)
    t = ((point - corners[:-1]) * legs).sum(axis=1) / (legs * legs).sum(axis=1)
    lowest, highest = np.zeros(len(legs)), np.ones(len(legs))
    lowest[0], highest[-1] = -np.inf, np.inf
    places = corners[:-1] + np.clip(t, lowest, highest)[:, None] * legs
    leg = int(np.argmin(np.linalg.norm(places - point, axis=1)))
    return leg, np.asarray(places[leg])


def _next(
    ground: Ground,
    point: Array,
    along: Array,
    plane: Array,
    step: float,
    turn: Array | float = 0.0,
    through: Array | None = None,
) -> tuple[Array, Array]:
    """Find the next points, each a chord away and in a plane, on the side of ``along``.

    Parameters
    ----------
    ground : Ground
        The ground.
    point, along, plane : (k, 3) arrays
        The points so far [m], which way to go on, and the normals of the planes.
    step : float
        Length of the chord [m].
    turn : (k, 2) array
        How the last chord differed from the one before in plan: a better place to start from [m].
    through : (3,) array, optional
        A point of the plane; the planes go through ``point`` without it [m].

    Returns
    -------
    points : (k, 3) array
        The next points, or NaN [m].
    slope : (k, 2) array
        The gradient of the ground there.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        along = along / np.linalg.norm(along, axis=1)[:, None]
        normal = (plane / np.linalg.norm(plane, axis=1)[:, None]).T
    here = point.T
    base = here if through is None else through[:, None]
    guess = point[:, :2] + step * along[:, :2] + turn

    def chord_and_plane(p: Array) -> tuple[Array, Array, Array, Array]:
        chord = p - here
        off = (normal * (p - base)).sum(axis=0)
        return 0.5 * ((chord * chord).sum(axis=0) - step**2), chord, off, normal

    found, slope = meet_and_slope(ground, guess.T, chord_and_plane, step)
    forward = ((found.T - point) * along).sum(axis=1) > 0
    return np.where(forward[:, None], found.T, np.nan), slope.T


def _to_leg(point: Array, slope: Array, along: Array, step: float, corner: Array) -> Array:
    """Give how to get from a step straight ahead to a leg that ``point`` may not lie on (2,)."""
    back = (corner - point[:2]) @ along[:2]
    aside = corner - point[:2] - back * along[:2]
    rise = slope @ along[:2]
    ahead = math.sqrt(max(float(step**2 / (1 + rise**2) - aside @ aside), 0.0))
    return np.asarray(aside + (ahead - step) * along[:2])
