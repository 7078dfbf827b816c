"""Outlines to fit cells in."""

import numpy as np

from hillwright.arrays import Array

SQUARE = np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0]])


def star(seed: int, corners: int = 11, size: float = 5.0) -> Array:
    """A crooked outline round the origin that does not cross itself."""
    rng = np.random.default_rng(seed)
    angle = (np.arange(corners) + rng.uniform(0, 0.9, corners)) * 2 * np.pi / corners
    radius = size * rng.uniform(0.3, 1.0, corners)
    return np.column_stack((radius * np.cos(angle), radius * np.sin(angle)))
