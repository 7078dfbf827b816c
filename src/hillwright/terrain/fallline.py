"""The steepest section through an outline, straight down the fall of the hill."""

from __future__ import annotations

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.terrain.heightfield import HeightField

_TRIED = 41  # sections tried side by side
_LONG = 0.6  # a section this share of the longest counts as one through the outline


def fall_line(field: HeightField, outline: Array, down: Array, beyond: float) -> Array:
    """Draw the steepest of many parallel sections through an outline, top to bottom.

    Parameters
    ----------
    field : HeightField
        Ground.
    outline : (k, 2) array
        Corners [m].
    down : (2,) array
        Direction of the fall in plan, of length 1.
    beyond : float
        How far the section runs on at both ends, as far as the field goes [m].

    Returns
    -------
    (n, 3) array
        Points along it, evenly spaced in plan [m].
    """
    across = np.array([-down[1], down[0]])
    polygon = shapely.Polygon(outline)
    u, v = outline @ across, outline @ down
    offsets = np.linspace(u.min(), u.max(), _TRIED + 2)[1:-1]
    reach = np.array([v.min() - 1, v.max() + 1])
    ends = offsets[:, None, None] * across + reach[None, :, None] * down
    chords = shapely.intersection(shapely.linestrings(ends), polygon)
    spans, kept = [], []
    for offset, chord in zip(offsets, chords, strict=True):
        if shapely.length(chord) > 0:
            t = shapely.get_coordinates(chord) @ down
            spans.append((t.min(), t.max()))
            kept.append(offset)
    span, offset = np.array(spans), np.array(kept)
    length = span[:, 1] - span[:, 0]
    top = offset[:, None] * across + span[:, :1] * down
    foot = offset[:, None] * across + span[:, 1:] * down
    drop = field.at(*top.T)[0] - field.at(*foot.T)[0]
    steepness = np.where(length >= _LONG * length.max(), drop / length, -np.inf)
    # of equally steep sections the one nearest the middle, so that a plane is cut in its middle
    best_of = steepness > steepness.max() - 1e-6
    middle = np.abs(offset - (u.min() + u.max()) / 2)
    best = int(np.argmin(np.where(best_of, middle, np.inf)))
    first, last = span[best, 0] - beyond, span[best, 1] + beyond
    count = max(2, int(np.ceil((last - first) / (2 * field.step))) + 1)
    t = np.linspace(first, last, min(count, 2000))
    xy = offset[best] * across + t[:, None] * down
    z = field.at(xy[:, 0], xy[:, 1])[0]
    known = np.isfinite(z)
    return np.column_stack([xy, z])[known]
