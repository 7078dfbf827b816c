"""Where drains run: above row 1 along its string, and round the toe of the lowest cells."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.layout.model import Layout
from hillwright.terrain.model import Ground

_PIECE = 0.5  # of ditch, told apart by its fall [m]
REACH = 3.0  # that a ditch leaves the cells by to follow the contour; our choice [m]
_GENTLE, _GENTLEST = 2.5, 0.05  # times its gradient, or so much, is a ditch let fall; our choice
CLEAR = 0.3  # between a drain's brim and cells or string; common practice, no source [m]


def crest_line(layout: Layout, half_width: float) -> Array:
    """Give the middle of a ditch above row 1, left to right looking uphill.

    Parameters
    ----------
    layout : Layout
        The cells and their top string.
    half_width : float
        Of the ditch at its brim [m].

    Returns
    -------
    (k, 2) array
        No nearer to a cell than the clearance, reaching past both ends of the rows [m].
    """
    return _hull_line(layout, half_width + CLEAR, upper=True)


def toe_line(layout: Layout, half_width: float) -> Array:
    """Give the middle of a ditch below the lowest cells, left to right looking uphill (k, 2) [m].

    ``half_width`` is that of the ditch at its brim [m].
    """
    return _hull_line(layout, half_width + CLEAR, upper=False)


def _hull_line(layout: Layout, away: float, upper: bool) -> Array:
    """Follow the upper or lower side of the ring round all cells, at a distance."""
    import shapely

    right, up = axes(layout)
    points = layout.corners[:, :, :2].reshape(-1, 2)
    own = np.column_stack((points @ right, points @ up))
    ring = shapely.MultiPoint(own).convex_hull.buffer(away, join_style="mitre", mitre_limit=1.5)
    at = shapely.get_coordinates(ring)
    low, high = float(at[:, 0].min()), float(at[:, 0].max())
    middle = float(own[:, 1].mean())
    side = shapely.box(low - 1, middle, high + 1, middle + 1e4)
    if not upper:
        side = shapely.box(low - 1, middle - 1e4, high + 1, middle)
    # only what runs along the rows: the sides of the ring are no part of the ditch
    edge = shapely.intersection(ring.exterior, side)
    line = shapely.line_merge(edge) if edge.geom_type != "LineString" else edge
    found = shapely.get_coordinates(line)
    if found[0, 0] > found[-1, 0]:
        found = found[::-1]
    found = _without_sides(found)
    return np.asarray(found[:, :1] * right + found[:, 1:] * up)


def _without_sides(line: Array) -> Array:
    """Drop the first and last pieces of a line while they run more across the rows than along."""
    while len(line) > 2 and _steep(line[0], line[1]):
        line = line[1:]
    while len(line) > 2 and _steep(line[-1], line[-2]):
        line = line[:-1]
    return line


def _steep(a: Array, b: Array) -> bool:
    return bool(abs(b[1] - a[1]) > abs(b[0] - a[0]))


def axes(layout: Layout) -> tuple[Array, Array]:
    """Give the directions (2,) right along the rows and up the slope, in plan."""
    c = layout.corners[:, :, :2]
    along = (c[:, 1] - c[:, 0] + c[:, 2] - c[:, 3]).mean(axis=0)
    right = along / math.hypot(*along)
    up = np.array([-right[1], right[0]])
    return np.asarray(right), up


def length_of(line: Array) -> float:
    """Give the plan length of a line (k, 2) [m]."""
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


@dataclass(frozen=True, slots=True, eq=False)
class Bed:
    """The bed of a ditch from its high to its low end. k places."""

    along: Array  # (k,) in plan [m]
    ground: Array  # (k,) [m]
    bed: Array  # (k,) [m]

    @property
    def cut(self) -> Array:
        """(k,) how deep the bed lies below the ground [m]."""
        return np.asarray(self.ground - self.bed)

    @property
    def steepest(self) -> float:
        """Greatest fall over run of any piece."""
        return float(np.max(-np.diff(self.bed) / np.diff(self.along)))

    @property
    def drop(self) -> float:
        """How far the bed falls [m]."""
        return float(self.bed[0] - self.bed[-1])

    def dug(self, bottom: float, side: float) -> float:
        """Give the volume of ground to dig for a ditch with this bottom and these sides [m3]."""
        cut = self.cut
        section = (bottom + side * cut) * cut
        return float(np.sum((section[1:] + section[:-1]) / 2 * np.diff(self.along)))


def on_contour(line: Array, away: Array, ground: Ground, gradient: float) -> Array:
    """Move a ditch away from the cells to where the ground itself falls as the ditch does.

    Parameters
    ----------
    line : (k, 2) array
        As near to the cells as it may lie, high end first [m].
    away : (2,) array
        Away from the cells: up the slope above them, down it below. Of length 1.
    ground : Ground
        What it is dug in.
    gradient : float
        Of the ditch, fall over run.

    Returns
    -------
    (m, 2) array
        Nowhere nearer to the cells, and nowhere farther from the line than ``REACH`` [m].
    """
    along, places = _pieces(line)
    aside = np.linspace(0.0, REACH, 21)
    x, y = (places[:, k, None] + aside * away[k] for k in (0, 1))
    z = np.asarray(ground.at(x, y)[0], float) + gradient * along[:, None]
    known = np.isfinite(z)
    if not known[:, 0].all():
        return line
    last = np.where(known.all(axis=1), len(aside), (~known).argmax(axis=1)) - 1
    # along the contour every place stands as high as the one that the cells keep highest (above
    # them) or lowest (below them)
    uphill = float(np.median(z[np.arange(len(z)), last] - z[:, 0])) > 0
    level = z[:, 0].max() if uphill else z[:, 0].min()
    with np.errstate(invalid="ignore"):
        there = z >= level if uphill else z <= level
    at = np.minimum(np.where(there.any(axis=1), there.argmax(axis=1), last), last)
    before = np.maximum(at - 1, 0)
    rows = np.arange(len(z))
    a, b = z[rows, before], z[rows, at]
    share = np.where(np.abs(b - a) > 1e-9, (level - a) / np.where(b == a, 1.0, b - a), 0.0)
    moved = aside[before] + np.clip(share, 0.0, 1.0) * (aside[at] - aside[before])
    return np.asarray(places + moved[:, None] * away)


def _pieces(line: Array) -> tuple[Array, Array]:
    """Part a line into even pieces: distance along it (k,) and places (k, 2) [m]."""
    start = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    along = np.linspace(0.0, start[-1], max(2, math.ceil(start[-1] / _PIECE) + 1))
    places = [np.interp(along, start, line[:, k]) for k in (0, 1)]
    return np.asarray(along, float), np.column_stack(places)


def bed_of(line: Array, ground: Ground, gradient: float, depth: float) -> Bed:
    """Lay the bed of a ditch: as shallow as can be, and falling evenly enough.

    It falls by its gradient at least, and by twice and a half of that, or 5 %, at most.

    Parameters
    ----------
    line : (k, 2) array
        Its middle, high end first [m].
    ground : Ground
        What it is dug in.
    gradient : float
        Least fall over run.
    depth : float
        Least depth, from the bed to the brim [m].
    """
    along, places = _pieces(line)
    z = np.asarray(ground.at(places[:, 0], places[:, 1])[0], float)
    known = np.isfinite(z)
    if not known.any():
        z = -gradient * along
    elif not known.all():  # off the survey: as the nearest ground that is known
        z = np.interp(along, along[known], z[known])
    # the lowest of all places before it, each with the fall from there on
    bed = np.minimum.accumulate(z - depth + gradient * along) - gradient * along
    # and dug deeper before a steep place, as far as that keeps its fall gentle
    most = max(_GENTLE * gradient, _GENTLEST)
    bed = np.minimum.accumulate((bed + most * along)[::-1])[::-1] - most * along
    return Bed(frozen(along), frozen(z), frozen(bed))
