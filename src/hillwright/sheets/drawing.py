"""A drawing in the making: its view, the marks so far and what of the paper is taken."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from hillwright import units
from hillwright.arrays import Array
from hillwright.job.site import Frame
from hillwright.sheets.labels import LEAD, Label, solve
from hillwright.sheets.linetypes import FINE, HEAVY, LAYER_LINES, MEDIUM, THIN, LineStyle
from hillwright.sheets.marks import LAYERS, LEAST_TEXT, Line, Mark, Pen, Words, upright
from hillwright.sheets.place import Candidate, text_box
from hillwright.sheets.view import View

__all__ = ["FINE", "HEAVY", "MEDIUM", "THIN", "Drawing", "direction"]


@dataclass(slots=True, eq=False)
class Drawing:
    """What the parts of a plan or section add to."""

    view: View
    frame: Frame
    system: units.System
    scale: int
    bounds: tuple[float, float, float, float] | None = None  # of the paper, None = no edge
    marks: list[Mark] = field(default_factory=list)
    hard: list[Any] = field(default_factory=list)  # shapes that no label may touch
    soft: list[Any] = field(default_factory=list)  # shapes that labels should rather not lie over
    wanted: list[tuple[Label, bool]] = field(default_factory=list)  # labels, and which are needed
    notes: dict[str, str] = field(default_factory=dict)  # layer -> what its legend line says
    keys: list[tuple[list[Mark], str]] = field(default_factory=list)  # more lines of the legend
    called: dict[int, str] = field(default_factory=dict)  # what a wanted label is missed as
    unplaced: list[str] = field(default_factory=list)  # labels that found no free place

    def mm(self, size: float) -> float:
        """Give so many millimetres of paper in the view's units."""
        return size * self.view.mm

    def pen(self, weight: float) -> Pen:
        """Give the pen of a continuous line [mm of paper]."""
        return Pen(weight)

    def of(self, style: str | LineStyle) -> Pen:
        """Give the pen of a layer or of a style, its dashes in the view's units."""
        found = LAYER_LINES[style] if isinstance(style, str) else style
        return found.pen(self.view.mm)

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
                self.soft.append(shapely.LineString([a, b]))

    def keep_free(self, points: Array, radius: float) -> None:
        """Keep labels off small squares around placed points (k, 2)."""
        x, y = np.asarray(points, dtype=float).reshape(-1, 2).T
        self.hard += shapely.box(x - radius, y - radius, x + radius, y + radius).tolist()

    def words(
        self,
        layer: str,
        text: str,
        size: float,
        candidates: Iterable[Candidate],
        *,
        bold: bool = False,
        needed: bool = False,
        worth: float = 4.0,
        thing: Any = None,
        lead: float = LEAD,
        called: str = "",
    ) -> None:
        """Ask for a text [mm of paper] at one of its places; all are placed together, at the end.

        Parameters
        ----------
        needed : bool
            It is missed aloud if there is no room for it.
        worth : float
            Against other labels; a needed one counts three times as much.
        thing : geometry, optional
            What it names: a leader goes there from farther away than ``lead`` [mm].
        called : str
            What it is missed as, where that is not its text.
        """
        label = Label(
            layer,
            text,
            self.mm(max(size, LEAST_TEXT)),
            tuple(candidates),
            3 * worth if needed else worth,
            bold,
            thing=thing,
            lead=lead,
        )
        self.wanted.append((label, needed or bool(called)))
        if called:
            self.called[len(self.wanted) - 1] = called

    def settle(self) -> None:
        """Place all labels asked for, as well as they can be placed together."""
        if not self.wanted:
            return
        labels = [label for label, _ in self.wanted]
        fixed = [
            text_box(m.text, m.size, Candidate(*m.at, m.angle, m.anchor), m.bold)
            for m in self.marks
            if isinstance(m, Words)
        ]
        placed = solve(labels, [*self.hard, *fixed], self.soft, self.bounds, self.view.mm)
        missed = []
        for k, (label, needed) in enumerate(self.wanted):
            if placed.place[k] < 0:
                missed += [self.called.get(k, label.text)] if needed else []
                continue
            put = label.words(placed.place[k])
            if (line := placed.leader[k]) is not None:
                self.line_placed(label.layer, line, self.pen(THIN))
            self.marks.append(put)
        self.unplaced += missed
        self.wanted.clear()
        self.called.clear()

    def in_order(self) -> list[Mark]:
        """Give the marks layer by layer, lettering last; labels are placed first."""
        self.settle()
        rank = {layer: i for i, layer in enumerate(LAYERS)}
        return sorted(self.marks, key=lambda m: (isinstance(m, Words), rank[m.layer]))


def direction(start: Array, end: Array) -> float:
    """Give the direction of writing along a placed line, never on its head [rad]."""
    return upright(math.atan2(end[1] - start[1], end[0] - start[0]))
