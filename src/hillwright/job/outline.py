"""Rings on the ground: outline, exclusions and corridors, checked and in the local frame."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import Problem, SurveyError
from hillwright.job.geojson import Shape
from hillwright.job.grid import Grid
from hillwright.job.site import Exclusion

SIDES = 24  # of the polygon that stands for a circle
_SHORTEST = 1e-3  # corners nearer than this are one [m]


def checked_ring(xy: Array, where: Sequence[str], what: str) -> Array:
    """Give a closed ring's corners once each, counter-clockwise.

    Parameters
    ----------
    xy : (k, 2) array
        Corners in order, the first one repeated at the end or not. [m]
    where : sequence of str
        Each corner's place in its file.
    what : str
        "the outline", for messages.

    Raises
    ------
    SurveyError
        Fewer than three corners, or a ring that crosses itself (names the two edges).
    """
    size = float(np.ptp(xy, axis=0).max()) if len(xy) else 0.0
    if not 0.01 < size < math.inf:
        raise SurveyError(
            where[0] if where else what,
            f"{what} is {size:.3g} m across",
            "check its unit, and whether it is in longitude and latitude (then give survey.crs)",
        )
    step = np.linalg.norm(xy - np.roll(xy, 1, axis=0), axis=1)
    kept = np.flatnonzero(step > _SHORTEST).tolist()
    xy, places = xy[kept], [where[i] for i in kept]
    if len(xy) < 3:
        raise SurveyError(where[0], f"{what} has {len(xy)} corners", "give at least three")
    crossing = _crossing(xy)
    if crossing is not None:
        i, j = crossing
        n = len(xy)
        edges = [f"the edge from {places[k]} to {places[(k + 1) % n]}" for k in (i, j)]
        raise SurveyError(
            places[i],
            f"{what} crosses itself: {edges[0]} meets {edges[1]}",
            "list the corners in order round the edge",
        )
    x, y = xy.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    if abs(area) < 1e-4:
        raise SurveyError(where[0], f"{what} encloses no ground", "list corners round its edge")
    return frozen(np.ascontiguousarray(xy if area > 0 else xy[::-1]))


def _crossing(xy: Array) -> tuple[int, int] | None:
    """Find two edges that meet other than at a shared corner (edge i starts at corner i)."""
    import shapely

    if shapely.is_valid(shapely.polygons(xy)):
        return None
    n = len(xy)
    edges = shapely.linestrings(np.stack([xy, np.roll(xy, -1, axis=0)], axis=1))
    for i in range(n):
        other = np.arange(i + 2, n - (i == 0))
        hit = np.flatnonzero(shapely.intersects(edges[i], edges[other]))
        if hit.size:
            return i, int(other[hit[0]])
    for i in range(n):  # no two far edges meet: the ring doubles back on itself at a corner
        a, b = xy[i] - xy[i - 1], xy[(i + 1) % n] - xy[i]
        if abs(a[0] * b[1] - a[1] * b[0]) < 1e-9 and a @ b < 0:
            return (i - 1) % n, i
    return 0, 1


def circle(centre: Array, radius: float) -> Array:
    """Give a polygon that a circle lies wholly inside: cells keep off a little more, never less.

    Returns
    -------
    (24, 2) array
        Corners, counter-clockwise. [m]
    """
    turn = 2 * math.pi * np.arange(SIDES) / SIDES
    reach = radius / math.cos(math.pi / SIDES)
    return frozen(centre + reach * np.column_stack([np.cos(turn), np.sin(turn)]))


def corridor(xy: Array, width: float, where: str) -> Array:
    """Give the outline of a path of even width along a line.

    Raises
    ------
    SurveyError
        The line has no length, or the path closes on itself.
    """
    import shapely

    if len(xy) < 2 or np.ptp(xy, axis=0).max() < _SHORTEST:
        raise SurveyError(where, "the line has no length", "draw it from end to end")
    path = shapely.LineString(xy).buffer(width / 2, cap_style="flat", join_style="mitre")
    if path.geom_type != "Polygon" or len(path.interiors):
        raise SurveyError(where, "the corridor closes on itself", "draw it as two lines")
    ring = shapely.get_coordinates(path.exterior)[:-1]
    return frozen(np.ascontiguousarray(ring if path.exterior.is_ccw else ring[::-1]))


def placed(shapes: list[Shape], grid: Grid) -> tuple[Array | None, str, tuple[Exclusion, ...]]:
    """Bring outline and exclusions into the local frame, checked.

    Returns
    -------
    outline : (k, 2) array or None
        Counter-clockwise. [m]
    where : str
        Where the outline was written down.
    exclusions : tuple of Exclusion

    Raises
    ------
    SurveyError
        Everything wrong with any of them, together.
    """
    problems: list[Problem] = []
    outlines: list[tuple[Array, str]] = []
    exclusions: list[Exclusion] = []
    for shape in shapes:
        if shape.role == "string":
            continue
        try:
            xy = grid.local(shape.xy)
            if shape.role == "outline":
                outlines.append((checked_ring(xy, shape.where, "the outline"), shape.where[0]))
                continue
            what = f"exclusion {shape.name!r}"
            if shape.size is None:
                ring = checked_ring(xy, shape.where, what)
            elif len(xy) == 1:
                ring = circle(xy[0], shape.size)
            else:
                ring = corridor(xy, shape.size, shape.where[0])
            exclusions.append(Exclusion(shape.name, ring))
        except SurveyError as error:
            problems += error.problems
    if problems:
        raise SurveyError.all(problems)
    if not outlines:
        return None, "", tuple(exclusions)
    where = outlines[0][1].rpartition(" corner ")[0] or outlines[0][1]
    return _joined(outlines), where, tuple(exclusions)


def _joined(outlines: list[tuple[Array, str]]) -> Array:
    """Make one outline of the parts of one, where they touch."""
    if len(outlines) == 1:
        return outlines[0][0]
    import shapely

    whole = shapely.union_all([shapely.polygons(ring) for ring, _ in outlines])
    if whole.geom_type != "Polygon" or len(whole.interiors):
        raise SurveyError(
            outlines[1][1],
            f"there are {len(outlines)} outlines that do not join up into one",
            "make a job for each, or join them",
        )
    ring = shapely.get_coordinates(whole.exterior)[:-1]
    return frozen(np.ascontiguousarray(ring if whole.exterior.is_ccw else ring[::-1]))
