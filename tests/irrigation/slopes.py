"""A plain slope of cells, made without the layout room."""

from __future__ import annotations

import numpy as np

from hillwright.layout.model import CellShape, Layout

WIDTH, RUN, DEPTH = 0.6, 0.45, 0.2


def hill(rows, columns, steep=0.6, mask=None):
    """Lay rows of cells that climb to the north; row 1 is the top one."""
    keep = np.ones((rows, columns), bool) if mask is None else mask
    line, column = np.nonzero(keep)
    fall = RUN * steep / np.hypot(1, steep)
    across = RUN / np.hypot(1, steep)
    x, y, z = column * WIDTH, -line * across, -line * fall
    corners = np.stack(
        [
            np.stack([x + dx, y + dy, z + dz], axis=1)
            for dx, dy, dz in (
                (0, 0, 0), (WIDTH, 0, 0), (WIDTH, -across, -fall), (0, -across, -fall),
            )
        ],
        axis=1,
    )  # fmt: skip
    n, none = len(line), np.zeros(len(line))
    number = np.concatenate([np.arange(1, k + 1) for k in keep.sum(axis=1)])
    shape = CellShape(WIDTH, RUN, DEPTH, False, 0.01, 2, 0.03, 0.05, 0.4, 5.0)
    no = np.zeros(n, bool)
    return Layout(
        shape, corners, line + 1, number, np.ones(n, int), line == 0, no, none, none, none, none,
        none, none, none, np.empty((0, 2), int), (), (), np.zeros((2, 3)), "made", 0.0, n, n, n, 1,
        (), (),
    )  # fmt: skip
