"""A drawing in the making: its view, the marks so far and what of the paper is taken."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from hillwright import units
from hillwright.arrays import Array
from hillwright.job.site import Frame
from hillwright.sheets.marks import LAYERS, Line, Mark, Pen, Words, upright
from hillwright.sheets.place import Candidate, Taken
from hillwright.sheets.view import View

FINE, THIN, MEDIUM, HEAVY = 0.1, 0.18, 0.3, 0.6  # line weights [mm], told apart in black and white
LEAST_TEXT = 1.5  # body of the smallest lettering that is still read [mm]


@dataclass(slots=True, eq=False)
class Drawing:
    """What the parts of a plan or section add to."""

    view: View
    frame: Frame
    system: units.System
    scale: int
    bounds: tuple[float, float, float, float] | None = None  # of the paper, None = no edge
    marks: list[Mark] = field(default_factory=list)
    taken: Taken = field(init=False)
    notes: dict[str, str] = field(default_factory=dict)  # layer -> what its legend line says
    unplaced: list[str] = field(default_factory=list)  # labels that found no free place

    def __post_init__(self) -> None:
        """Start with an empty sheet."""
        self.taken = Taken(self.bounds)

    def mm(self, size: float) -> float:
        """Give so many millimetres of paper in the view's units."""
        return size * self.view.mm

    def pen(self, weight: float, *dash: float) -> Pen:
        """Give a pen; its dashes are in the view's units, its weight in mm of paper."""
        return Pen(weight, tuple(self.mm(d) for d in dash))

    def line(self, layer: str, xyz: Array, pen: Pen, closed: bool = False) -> None:
        """Draw a line through ground points (k, 2) or (k, 3) [m]."""
        xyz = np.asarray(xyz, dtype=float)
        height = self.view.height(xyz[:, 2]) if xyz.shape[1] == 3 else None
        self.marks.append(Line(layer, self.view.place(xyz), pen, closed, height))

    def line_placed(self, layer: str, points: Array, pen: Pen, closed: bool = False) -> None:
        """Draw a line through points (k, 2) that are already placed in the view."""
        self.marks.append(Line(layer, np.asarray(points, dtype=float), pen, closed))

    def keep_clear(self, xyz: Array) -> None:
        """Keep labels off a line through ground points (k, 2 or 3) while there is room [m]."""
        for a, b in pairwise(self.view.place(xyz)):
            if not np.array_equal(a, b):
                self.taken.take(
                    shapely.LineString([a, b]).buffer(self.mm(0.2), quad_segs=1), line=True
                )

    def words(
        self,
        layer: str,
        text: str,
        size: float,
        candidates: Iterable[Candidate],
        *,
        bold: bool = False,
        needed: bool = False,
    ) -> Words | None:
        """Letter a text [mm of paper] at the first free candidate; a needed one is missed aloud."""
        places = list(candidates)
        put = self.taken.put(layer, text, self.mm(size), places, bold=bold)
        if put is None and needed:
            put = self.taken.put(layer, text, self.mm(size), places, bold=bold, over_lines=True)
        if put:
            self.marks.append(put)
        elif needed:
            self.unplaced.append(text)
        return put

    def in_order(self) -> list[Mark]:
        """Give the marks layer by layer, lettering last."""
        rank = {layer: i for i, layer in enumerate(LAYERS)}
        return sorted(self.marks, key=lambda m: (isinstance(m, Words), rank[m.layer]))


def direction(start: Array, end: Array) -> float:
    """Give the direction of writing along a placed line, never on its head [rad]."""
    return upright(math.atan2(end[1] - start[1], end[0] - start[0]))
