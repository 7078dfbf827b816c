"""Places where a label might go, and what it covers there."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import Anchor


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
