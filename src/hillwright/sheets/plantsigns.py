"""Signs of plants by their kind: a shape of its own for each, and a tone, for black and white."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from hillwright.arrays import Array
from hillwright.planting.palette import KINDS
from hillwright.sheets.marks import Circle, Fill, Line, Mark, Pen, Words

# kind: corners of its shape from the top, anticlockwise; every other one is drawn in to `inner`
_SHAPES: dict[str, tuple[int, float]] = {
    "berry": (4, 0.62),
    "vegetable": (4, 1.0),
    "herb": (3, 1.0),
    "flower": (10, 0.42),
}
TONES = {"tree": 0.8, "berry": 0.35, "vegetable": 1.0, "herb": 0.65, "flower": 1.0, "cover": 0.85}
SAID = {"tree": "tree", "berry": "berry", "vegetable": "vegetable", "herb": "herb",
        "flower": "flower", "cover": "ground cover"}  # fmt: skip
_STEP = 2.0  # between sign and word in the legend, in the radius of a sign


def sign(
    kind: str, at: tuple[float, float], radius: float, layer: str = "plants", pen: Pen | None = None
) -> list[Mark]:
    """Draw the sign of a kind of plant.

    Parameters
    ----------
    kind : str
        One of `palette.KINDS`.
    at : (x, y)
        Its middle, in the view's units.
    radius : float
        Of the circle round it, in the view's units.
    layer : str
        That it lies on.
    pen : Pen, optional
        Of its edge.
    """
    pen = pen or Pen(0.18)
    if kind == "tree":
        x, y = at
        cross = [np.array([[x - radius, y], [x + radius, y]]),
                 np.array([[x, y - radius], [x, y + radius]])]  # fmt: skip
        ring = Circle(layer, at, radius, pen, TONES[kind])
        return [ring, *(Line(layer, bar, pen) for bar in cross)]
    corners = np.array(at) + radius * outline(kind)
    return [Fill(layer, corners, TONES[kind]), Line(layer, corners, pen, closed=True)]


def outline(kind: str) -> Array:
    """Give the corners (k, 2) of a sign within the unit circle."""
    if kind == "cover":  # a low dome on its flat side
        turn = np.linspace(0, math.pi, 9)
        return np.column_stack([np.cos(turn), np.sin(turn) - 0.5])
    if kind == "tree":
        turn = np.linspace(0, 2 * math.pi, 24, endpoint=False)
        return np.column_stack([np.cos(turn), np.sin(turn)])
    count, inner = _SHAPES[kind]
    turn = math.pi / 2 + np.arange(count) * 2 * math.pi / count
    turn += math.pi / 4 if kind == "vegetable" else 0.0  # a square stands on its side
    away = np.where(np.arange(count) % 2, inner, 1.0)
    return np.column_stack([away * np.cos(turn), away * np.sin(turn)])


def legend(
    kinds: Iterable[str], box: tuple[float, float, float], radius: float, letter: float
) -> list[Mark]:
    """Draw the signs of some kinds with their words, in lines from the top of a box down [mm].

    Parameters
    ----------
    kinds : iterable of str
        That are planted.
    box : (left, top, right)
        Where they may stand; a line that is full goes on below.
    radius, letter : float
        Of the signs, and the body of the letters.
    """
    found: list[Mark] = []
    left, top, right = box
    x, y = left + radius, top - 1.2 * letter
    for kind in (k for k in KINDS if k in set(kinds)):
        wide = _STEP * radius + 0.56 * letter * len(SAID[kind]) + radius
        if x + wide > right and x > left + radius:
            x, y = left + radius, y - 1.7 * letter
        found += sign(kind, (x, y), radius)
        at = (x + _STEP * radius, y)
        found.append(Words("frame", at, SAID[kind], letter, 0.0, "left"))
        x += wide + 1.5 * letter
    return found
