"""The last look at a drawing before it is printed: no text too small, none over another."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import shapely

from hillwright.sheets.labels import Label, boxes, solve
from hillwright.sheets.marks import Mark, Words
from hillwright.sheets.place import Candidate

STEPS = (0.0, 0.55, -0.55, 1.05, -1.05)  # how far a text may be moved, in its size


def lettered(
    marks: Iterable[Mark], bounds: tuple[float, float, float, float], least: float
) -> list[Mark]:
    """Give a drawing whose texts can be read and touch neither each other nor the edge.

    A drawing that is so already comes back as it is. Otherwise texts are enlarged and moved a
    little, all at once, as `labels.solve` finds best; those for which there is no room are left
    out, and the drawing says how many.
    """
    found = list(marks)
    texts = [m for m in found if isinstance(m, Words) and m.text]
    if not texts:
        return found
    texts = [replace(m, size=max(m.size, least)) for m in texts]
    labels = [_label(m, (0.0,)) for m in texts]
    crowded = _crowded(labels, bounds)
    if not crowded and all(
        a is b or a.size == b.size
        for a, b in zip(texts, (m for m in found if isinstance(m, Words) and m.text), strict=True)
    ):
        return found
    rest = [m for m in found if not isinstance(m, Words)]
    if crowded:
        labels = [_label(m, STEPS) for m in texts]
    placed = solve(labels, bounds=bounds)
    put = [x.words(k) for x, k in zip(labels, placed.place, strict=True) if k >= 0]
    out = len(labels) - len(put)
    if out:
        said = f"{out} texts left out: no room" if out > 1 else "1 text left out: no room"
        x0, y0, x1, y1 = bounds
        places = [
            Candidate(x, y, 0.0, "left")
            for y in (y0 + 0.6 * least, y1 - 0.6 * least)
            for x in np.linspace(x0 + 1, x1 - 1, 12).tolist()
        ]
        note = Label("frame", said, least, tuple(places), 10.0)
        taken = shapely.polygons(boxes([_label(w, (0.0,)) for w in put]))
        at = solve([note], taken, bounds=bounds).place[0]
        put += [note.words(at)] if at >= 0 else []
    return [*rest, *put]


def _label(m: Words, steps: tuple[float, ...]) -> Label:
    c, s = math.cos(m.angle), math.sin(m.angle)
    moves = sorted(
        ((a * m.size, b * m.size) for a in steps for b in steps), key=lambda v: math.hypot(*v)
    )
    places = tuple(
        Candidate(m.at[0] + c * a - s * b, m.at[1] + s * a + c * b, m.angle, m.anchor)
        for a, b in moves
    )
    return Label(m.layer, m.text, m.size, places, 4.0 if m.bold else 3.0, m.bold, m.halo)


def _crowded(labels: list[Label], bounds: tuple[float, float, float, float]) -> bool:
    shapes = shapely.polygons(boxes(labels))
    one, other = shapely.STRtree(shapes).query(shapes, "intersects")
    return bool((one < other).any() or not shapely.covers(shapely.box(*bounds), shapes).all())
