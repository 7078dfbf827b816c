"""Where to drive the two pegs that the tapes are hooked on, when nobody says."""

from __future__ import annotations

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.layout.groundtapes import BENT, along_ground, bent_by, spread_of
from hillwright.layout.tapes import FLATTEST, SHARPEST
from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.model import Surface

_OUTSIDE = (0.6, 0.15)  # of the outline: clear of the cells, near enough to reach [m]
_AROUND = 32  # places tried on each ring round the outline
_POINTS = 48  # points that a pair is tried on
_LONG = 30.0  # a hand tape: common practice, no source [m]


def choose_pegs(
    surface: Surface,
    points: Array,
    uphill: Array,
    keep_off: tuple[list[Array], Array],
    base_line: Array | None,
    given: tuple[Array | None, Array | None],
) -> tuple[Array, Array] | None:
    """Choose two pegs from which tapes meet well at most points, low on the hill.

    Parameters
    ----------
    surface : Surface
        The ground.
    points : (n, 3) array
        What is to be set out, n >= 1 [m].
    uphill : (2,) array
        Direction in plan, of length 1.
    keep_off : list of (k, 2) arrays, and (n, 4, 2) array
        Exclusions and cells, in which no peg may stand [m].
    base_line : (2, 2) array, optional
        Pegs may stand on it too [m].
    given : pair of (3,) arrays or None
        A peg that the person has chosen [m].

    Returns
    -------
    tuple of (3,) arrays, or None
        Pegs A (to the left looking uphill, unless given) and B; None where no place is known [m].
    """
    places = _candidates(surface, keep_off, base_line)
    a, b = given
    fixed = a if a is not None else b
    if fixed is not None:
        places = np.concatenate([fixed[None], places])
    if len(places) < 2:
        return None
    tried = points[np.linspace(0, len(points) - 1, min(len(points), _POINTS)).astype(int)]
    i, j = np.triu_indices(len(places), 1)
    if fixed is not None:
        i, j = i[: len(places) - 1], j[: len(places) - 1]  # pairs with the given one
    bent = bent_by(surface.graded, places[:, None], tried)[1] > BENT
    lie = along_ground(surface.graded, tried, places)
    best = int(np.argmin(_score(places, tried, bent, lie, i, j)))
    first, second = places[i[best]], places[j[best]]
    if a is not None:
        return a, second
    if b is not None:
        return second, b
    right = np.array([uphill[1], -uphill[0]])
    if (second - first)[:2] @ right < 0:
        first, second = second, first
    return first, second


def _score(places: Array, points: Array, bent: Mask, lie: Array, i: Index, j: Index) -> Array:
    """Tell how poor each pair of places is: badly meeting tapes count most, then bent ones."""
    tape = np.linalg.norm(places[:, None] - points, axis=2)
    apart = np.linalg.norm(places[i] - places[j], axis=1)[:, None]
    da, db = np.maximum(tape[i], 1e-6), np.maximum(tape[j], 1e-6)
    angle = np.arccos(np.clip((da**2 + db**2 - apart**2) / (2 * da * db), -1, 1))
    poor = ((angle < SHARPEST) | (angle > FLATTEST)).mean(axis=1)
    spread = np.minimum(np.nan_to_num(spread_of(lie[i], lie[j]), nan=10.0), 10).mean(axis=1)
    # points on both sides of A to B: each pair of readings then means two places
    way = (places[j] - places[i])[:, None, :2]
    to = points[None, :, :2] - places[i][:, None, :2]
    left = (way[..., 0] * to[..., 1] - way[..., 1] * to[..., 0] > 0).mean(axis=1)
    two_sided = np.minimum(left, 1 - left)
    long = np.maximum(np.maximum(da, db) - _LONG, 0).mean(axis=1) / _LONG
    z = places[:, 2]
    high = ((z[i] + z[j]) / 2 - z.min()) / max(float(np.ptp(z)), 1e-9)
    over = (bent[i].mean(axis=1) + bent[j].mean(axis=1)) / 2
    return np.asarray(10 * poor + spread + 5 * two_sided + 2 * over + long + 0.3 * high)


def _candidates(
    surface: Surface, keep_off: tuple[list[Array], Array], base_line: Array | None
) -> Array:
    outline = shapely.Polygon(surface.outline)
    rings = [outline.buffer(d, join_style="mitre", mitre_limit=2).exterior for d in _OUTSIDE]
    share = np.arange(_AROUND) / _AROUND
    spots = [shapely.line_interpolate_point(ring, share, normalized=True) for ring in rings]
    if base_line is not None:
        spots.append(
            shapely.line_interpolate_point(shapely.LineString(base_line), share, normalized=True)
        )
    xy = shapely.get_coordinates(np.concatenate(spots))
    rings, cells = keep_off
    # a twisted cell may cross itself in plan by a hair; its hull does as well
    taken = [shapely.Polygon(ring) for ring in rings] + [
        *shapely.convex_hull(shapely.polygons(cells))
    ]
    if taken:
        hit = shapely.STRtree(taken).query(shapely.points(xy), predicate="dwithin", distance=0.1)[0]
        xy = np.delete(xy, hit, axis=0)
    z = height_at(surface, xy)
    known = np.isfinite(z)
    sure = known & is_supported(surface, xy)
    use = sure if sure.sum() >= 4 else known  # better a peg of doubtful height than none
    return np.column_stack([xy[use], z[use]])


def height_at(surface: Surface, xy: Array) -> Array:
    """(n,) height of the ground as surveyed; NaN where there is none [m]."""
    with np.errstate(all="ignore"):
        return np.asarray(surface.ground.at(xy[:, 0], xy[:, 1])[0])


def is_supported(surface: Surface, xy: Array) -> Mask:
    """(n,) whether the survey covers each place, by the nearest node of the field."""
    field = surface.ground
    if not isinstance(field, HeightField):
        return np.isfinite(height_at(surface, xy))
    with np.errstate(all="ignore"):
        column = np.round((xy[:, 0] - field.x0) / field.step)
        line = np.round((xy[:, 1] - field.y0) / field.step)
    ny, nx = surface.supported.shape
    inside = (column >= 0) & (column < nx) & (line >= 0) & (line < ny)
    found = np.zeros(len(xy), bool)
    found[inside] = surface.supported[line[inside].astype(int), column[inside].astype(int)]
    return found
