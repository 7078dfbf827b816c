"""Plants as simple shapes at mature size; a kind is told by its shape, not by its colour."""

from __future__ import annotations

from functools import cache

import numpy as np

from hillwright.arrays import Array
from hillwright.planting.palette import Plant
from hillwright.sheets.model3d.shapes import Mesh, cylinder, joined, turned

# half width and height of each ring, in a plant one wide and one high
_PROFILES = {
    "tree": ((0, 0.3), (0.35, 0.42), (0.5, 0.65), (0.36, 0.88), (0, 1)),
    "berry": ((0, 0), (0.36, 0.1), (0.5, 0.45), (0.38, 0.8), (0, 1)),
    "vegetable": ((0, 0), (0.2, 0.02), (0.5, 1), (0, 0.8)),
    "herb": ((0, 0), (0.5, 0.05), (0.32, 0.6), (0, 1)),
    "flower": ((0, 0), (0.06, 0.02), (0.06, 0.6), (0.5, 0.75), (0, 1)),
    "cover": ((0, 0), (0.5, 0.02), (0.4, 0.75), (0, 1)),
}
TRUNK = 0.05  # half its width, in a tree one wide


@cache
def shape(kind: str) -> Mesh:
    """Give the shape of a kind, one wide and one high, its foot at the origin."""
    crown = turned(np.array(_PROFILES[kind]))
    if kind != "tree":
        return crown
    return joined([cylinder(TRUNK, 0.0, 0.35, 6), crown])


def profile(kind: str) -> Array:
    """Give the outline of a kind seen from the side (k, 2), one wide and one high, foot at 0, 0."""
    half = np.array(_PROFILES[kind])
    if kind == "tree":
        half = np.concatenate([[(TRUNK, 0.0), (TRUNK, half[0, 1])], half[1:]])
    return np.concatenate([half, half[::-1] * [-1.0, 1.0]])


def spots(count: int, across: Array, down: Array, centre: Array) -> Array:
    """Give where the plants of one planting stand: evenly over its cells.

    Parameters
    ----------
    count : int
        Plants.
    across, down : (3,) array
        Sides of the ground that they share, along the row and down the slope [m].
    centre : (3,) array
        Its middle [m].

    Returns
    -------
    (count, 3) array
        Feet of the plants [m].
    """
    wide, deep = (float(np.linalg.norm(v)) for v in (across, down))
    columns = max(1, round(float(np.sqrt(count * wide / max(deep, 1e-9)))))
    rows = -(-count // columns)
    k = np.arange(count)
    inside = np.minimum(count - (k // columns) * columns, columns)  # the last row may hold fewer
    u = (k % columns + 0.5) / inside - 0.5
    v = (k // columns + 0.5) / rows - 0.5
    return np.asarray(centre + u[:, None] * across + v[:, None] * down)


def size(plant: Plant) -> Array:
    """Give mature width, width and height (3,) [m]."""
    return np.array([plant.width, plant.width, plant.tall])
