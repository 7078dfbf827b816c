"""Placing of labels: none over another, none where it cannot be read."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import Anchor, Words


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place where a label might go."""

    x: float
    y: float
    angle: float = 0.0
    anchor: Anchor = "middle"

    @classmethod
    def on(cls, point: Array, angle: float = 0.0, anchor: Anchor = "middle") -> Self:
        """Give a place on a placed point (2,)."""
        return cls(float(point[0]), float(point[1]), angle, anchor)


class Taken:
    """What is already taken on a drawing; asked before each label is put down."""

    def __init__(self, bounds: tuple[float, float, float, float] | None = None) -> None:
        self._edge = shapely.box(*bounds) if bounds else None
        self._bounds = np.empty((64, 4))
        self._shapes: list[shapely.Polygon] = []
        self._lines: set[int] = set()  # which of the shapes are only lines

    def free(self, shape: shapely.Polygon, over_lines: bool = False) -> bool:
        """Say whether a shape touches nothing taken and stays inside the drawing."""
        if self._edge is not None and not shapely.covers(self._edge, shape):
            return False
        x0, y0, x1, y1 = shape.bounds
        b = self._bounds[: len(self._shapes)]
        near = np.flatnonzero((b[:, 0] < x1) & (b[:, 2] > x0) & (b[:, 1] < y1) & (b[:, 3] > y0))
        return not any(
            shapely.intersects(self._shapes[i], shape)
            for i in near.tolist()
            if not (over_lines and i in self._lines)
        )

    def take(self, shape: shapely.Polygon, line: bool = False) -> None:
        """Mark a shape as taken; a label that finds no other place may lie over a line."""
        n = len(self._shapes)
        if line:
            self._lines.add(n)
        if n == len(self._bounds):
            self._bounds = np.concatenate([self._bounds, np.empty_like(self._bounds)])
        self._bounds[n] = shape.bounds
        self._shapes.append(shape)

    def take_points(self, points: Array, radius: float) -> None:
        """Mark small squares around points (k, 2) as taken."""
        for x, y in np.asarray(points).reshape(-1, 2):
            self.take(shapely.box(x - radius, y - radius, x + radius, y + radius))

    def put(
        self,
        layer: str,
        text: str,
        size: float,
        candidates: Iterable[Candidate],
        *,
        bold: bool = False,
        pad: float = 0.15,
        over_lines: bool = False,
    ) -> Words | None:
        """Put a label at the first free candidate and take its place; None if all are taken."""
        for c in candidates:
            shape = text_box(text, size, c, bold, pad * size)
            if self.free(shape, over_lines):
                self.take(shape)
                return Words(layer, (c.x, c.y), text, size, c.angle, c.anchor, bold)
        return None


def text_box(
    text: str, size: float, at: Candidate, bold: bool = False, pad: float = 0.0
) -> shapely.Polygon:
    """Give the turned rectangle that a line of text covers."""
    wide = text_width(text, size, bold)
    left = {"left": 0.0, "middle": -wide / 2, "right": -wide}[at.anchor]
    x = np.array([left - pad, left + wide + pad])
    y = np.array([-0.42 * size - pad, 0.42 * size + pad])
    corners = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
    c, s = math.cos(at.angle), math.sin(at.angle)
    return shapely.Polygon(corners @ np.array([[c, s], [-s, c]]) + (at.x, at.y))


def around(
    x: float, y: float, distances: Iterable[float], half_width: float = 0.0
) -> Iterable[Candidate]:
    """Give places round a point, nearest first, beside it before above and below it."""
    for r in distances:
        for turn in (0, 180, 30, 150, -30, 210, 90, -90, 60, 120, -60, 240):
            a = math.radians(turn)
            # half of the text goes with the direction, so that its near edge keeps the distance
            yield Candidate(x + (r + half_width) * math.cos(a), y + r * math.sin(a))
