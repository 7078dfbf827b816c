"""What to smooth first: dips that a rigid cell base would bridge, humps that it would perch on.

The bare heights, less the hill's own shape, are closed and opened with the base of one cell: a
flat plate pressed on from above, or from below. What stays between plate and ground is the void
under the cell, or the height that it would perch at.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.heightfield import Window
from hillwright.terrain.model import Spot
from hillwright.terrain.smoothing import filled_in, gaussian

_HILL = 2.5  # the hill's own shape is what stays after smoothing over this many cells
_FOOT = 0.25  # a spot ends where it is this share of what the cell tolerates
_LEAST_GAP = 5e-3  # no spot is shallower, whatever a cell tolerates: no survey is that sharp [m]


@dataclass(frozen=True, slots=True, eq=False)
class Smoothed:
    """Ground with its spots taken off and filled in, and the spots."""

    heights: Array  # (ny, nx) [m]
    spots: tuple[Spot, ...]  # largest in plan first


class SpotVolumes(NamedTuple):
    """Earth to move at one place."""

    trim: float
    fill: float


@method(
    title="Earth to trim and to fill at a spot",
    equation="trim = s^2 sum max(z - z', 0); fill = s^2 sum max(z' - z, 0)",
    source="exact geometry of square prisms; the ground z' without the spot is what the ground "
    "round it says, common practice, no source",
    symbols={"s": "step", "z": "height of the ground", "z'": "height that it is to have"},
)
def spot_volumes(change: ArrayLike, step: float) -> SpotVolumes:
    """Add up what must come off and what must go in.

    Parameters
    ----------
    change : (...) array
        Ground less what it is to be, at the nodes of a square grid. [m]
    step : float
        Spacing of the nodes. [m]

    Returns
    -------
    trim : float
        To take off. [m3]
    fill : float
        To put in, in place; loose soil takes more. [m3]

    Raises
    ------
    OutOfRange
        A height missing, or no spacing.
    """
    off = np.asarray(change, float)
    if not np.isfinite(off).all() or not step > 0:
        raise OutOfRange("change", "a height or the spacing is missing", "give every number")
    area = step * step
    return SpotVolumes(
        float(np.maximum(off, 0).sum() * area), float(np.maximum(-off, 0).sum() * area)
    )


def footprint(width: float, run: float, across: Array, step: float) -> Index:
    """(k, 2) columns and rows of the nodes under the base of a cell, from the one in its middle.

    Parameters
    ----------
    width, run : float
        Of the base, along the row and along the slope [m].
    across : (2,) array
        Direction of the row in plan, of length 1.
    step : float
        Spacing of the nodes [m].
    """
    reach = int(np.ceil(np.hypot(width, run) / 2 / step))
    j, i = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    u = (i * across[0] + j * across[1]) * step
    v = (j * across[0] - i * across[1]) * step
    slack = 1e-9 * step
    under = (np.abs(u) <= width / 2 + slack) & (np.abs(v) <= run / 2 + slack)
    return np.column_stack([i[under], j[under]])


def _lowest(z: Array, under: Index) -> Array:
    """Lowest height under the base at each node; beyond the border nothing is lower."""
    ny, nx = z.shape
    reach = int(np.abs(under).max(initial=0))
    padded = np.pad(z, reach, constant_values=np.inf)
    out = np.full_like(z, np.inf)
    for i, j in under:
        np.minimum(out, padded[reach + j : reach + j + ny, reach + i : reach + i + nx], out=out)
    return out


def perch_heights(z: Array, under: Index) -> Array:
    """(ny, nx) how far ground stands above the highest flat base that fits under it [m]."""
    return np.asarray(z + _lowest(-_lowest(z, under), under))


def find_spots(
    ground: Array,
    window: Window,
    inside: Mask,
    width: float,
    run: float,
    max_gap: float,
    across: Array,
) -> Smoothed:
    """Find what must be smoothed before cells are laid, and smooth it.

    Parameters
    ----------
    ground : (ny, nx) array
        Heights at the nodes of the window, none missing [m].
    window : Window
        Where the nodes stand.
    inside : (ny, nx) mask
        Nodes inside the outline.
    width, run : float
        Of the base of a cell, along the row and along the slope [m].
    max_gap : float
        Dip that a base may bridge, and hump that it may perch on [m].
    across : (2,) array
        Direction of the rows in plan, of length 1.
    """
    step = window.step
    under = footprint(width, run, across, step)
    if len(under) < 6:  # nodes too far apart to see what a cell would stand on
        return Smoothed(ground, ())
    reach = max(width, run) / step
    hill = gaussian(ground, _HILL * reach)
    # a cell rests on its walls, not on a needle: what is smaller than a sixth of it does not count
    needle = max(min(width, run) / 6 / step, 1.0)
    h = gaussian(ground, needle) - hill
    limit = max(max_gap, _LEAST_GAP)
    mended, found = ground, []
    # humps first, so that a dip at the foot of a boulder is refilled from ground without it
    for sign in (1.0, -1.0):
        region, label = _regions(perch_heights(sign * h, under), limit, inside)
        if not len(region):
            continue
        place = np.zeros(ground.shape, np.intp)
        place.ravel()[region] = label + 1
        # a plate does not feel the foot of a wide bump: refilled from a cell's side further out,
        # where it no longer shows
        place = _grown(place, max(round(min(width, run) / step), 2))
        level = _without(mended, hill, place > 0, reach)
        change = mended - level
        # its edge is told without the needles, or noise would fray it and add to the volume
        own = (place > 0) & inside & (sign * gaussian(change, needle) > _FOOT * limit)
        mended = np.where(own, level, mended)
        j, i = np.nonzero(own)
        number, off = place[j, i], change[j, i]
        for k in np.unique(number):
            mine = number == k
            found.append(_measure(i[mine], j[mine], off[mine], sign, window))
    return Smoothed(mended, numbered(found))


def _without(heights: Array, hill: Array, gone: Mask, reach: float) -> Array:
    """(ny, nx) ground with what the ground round it says where ``gone``.

    The hill's shape that is taken away first still has the bump in it, smeared out, and would leave
    a part of it standing: so it is taken once more from the ground without the bump.
    """
    level = hill + filled_in(heights - hill, gone, reach)
    bare = gaussian(level, _HILL * reach)
    return np.asarray(bare + filled_in(level - bare, gone, reach))


def grading_spots(
    smoothed: Smoothed, graded: Array, window: Window, inside: Mask, max_gap: float
) -> tuple[Spot, ...]:
    """Add the places where grading itself leaves the ground by more than a cell tolerates.

    Cells lie on the ground as grading will leave it. Where that is further from the ground as
    surveyed than a cell's base may bridge, earth must move before the cell can lie.

    Parameters
    ----------
    smoothed : Smoothed
        The ground without its first spots, and those.
    graded : (ny, nx) array
        The ground as grading will leave it [m].
    window : Window
        Where the nodes stand.
    inside : (ny, nx) mask
        Nodes inside the outline.
    max_gap : float
        Dip that a base may bridge, and hump that it may perch on [m].
    """
    limit = max(max_gap, _LEAST_GAP)
    change = smoothed.heights - graded
    found = list(smoothed.spots)
    for sign in (1.0, -1.0):
        region, label = _regions(sign * change, limit, inside)
        j, i = np.divmod(region, change.shape[1])
        off = change.ravel()[region]
        found += [
            _measure(i[label == k], j[label == k], off[label == k], sign, window)
            for k in np.unique(label)
        ]
    return numbered(found)


def numbered(spots: list[Spot]) -> tuple[Spot, ...]:
    """Put numbers to spots from 1, the largest in plan first."""
    ordered = sorted(spots, key=lambda s: (-round(s.area, 6), s.x, s.y))
    return tuple(replace(s, number=n) for n, s in enumerate(ordered, 1))


def _regions(off: Array, limit: float, inside: Mask) -> tuple[Index, Index]:
    """Nodes of all places that reach beyond the limit, down to their feet, and (k,) which place."""
    foot = np.flatnonzero(((off > _FOOT * limit) & inside).ravel())
    if not len(foot):
        return foot, foot
    label = _labels(foot, off.shape[1])
    deep = np.unique(label[off.ravel()[foot] > limit])
    keep = np.isin(label, deep)
    return foot[keep], np.searchsorted(deep, label[keep])


def _labels(nodes: Index, nx: int) -> Index:
    """(k,) which connected place each node belongs to; nodes are sorted, neighbours eight."""
    pairs = []
    for shift in (1, nx - 1, nx, nx + 1):
        at = np.searchsorted(nodes, nodes + shift)
        there = np.flatnonzero(
            (at < len(nodes)) & (nodes[np.minimum(at, len(nodes) - 1)] == nodes + shift)
        )
        # the last column has no neighbour to its right, nor the first to its left
        beside = np.abs(nodes[there] % nx - nodes[at[there]] % nx) <= 1
        pairs.append(np.column_stack([there[beside], at[there][beside]]))
    a, b = np.concatenate(pairs).T
    label = np.arange(len(nodes))
    while True:
        low = np.minimum(label[a], label[b])
        new = label.copy()
        np.minimum.at(new, label[a], low)
        np.minimum.at(new, label[b], low)
        new = new[new]
        if (new == label).all():
            return label
        label = new


def _grown(place: Index, times: int) -> Index:
    """Let numbered places grow by a node all round; where two meet the higher number has it."""
    for _ in range(times):
        p = np.pad(place, 1)
        p = np.maximum(np.maximum(p[:-2], p[1:-1]), p[2:])
        grown = np.maximum(np.maximum(p[:, :-2], p[:, 1:-1]), p[:, 2:])
        place = np.where(place > 0, place, grown)
    return place


def _measure(i: Index, j: Index, off: Array, sign: float, window: Window) -> Spot:
    """Measure one place from its nodes and what is to change there."""
    step = window.step
    volume = spot_volumes(off, step)
    x, y = window.x0 + step * i, window.y0 + step * j
    weight = np.maximum(sign * off, 1e-9)
    half = step / 2
    shape = shapely.union_all(shapely.box(x - half, y - half, x + half, y + half))
    largest = max(shapely.get_parts(shape).tolist(), key=lambda g: float(g.area))
    ring = shapely.get_coordinates(largest.exterior.simplify(0.75 * step))[:-1]
    return Spot(
        0,
        float(np.average(x, weights=weight)),
        float(np.average(y, weights=weight)),
        float((sign * off).max()),
        float(len(i) * step**2),
        volume.trim,
        volume.fill,
        frozen(ring),
    )
