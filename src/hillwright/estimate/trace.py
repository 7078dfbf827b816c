"""Where a count comes from: cells by name, and its part in each row."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Index
from hillwright.layout.model import Layout


def named(layout: Layout, which: Index) -> tuple[tuple[int, int], ...]:
    """Give (row, number) of cells."""
    return tuple(zip(layout.row[which].tolist(), layout.number[which].tolist(), strict=True))


def by_row(layout: Layout, amounts: ArrayLike) -> tuple[tuple[int, float], ...]:
    """Sum amounts (n,) of cells over the rows that have any."""
    total: dict[int, float] = {}
    for row, amount in zip(layout.row.tolist(), np.asarray(amounts, float).tolist(), strict=True):
        if amount:
            total[row] = total.get(row, 0.0) + amount
    return tuple(sorted(total.items()))


def slug(words: str) -> str:
    """Write words as the end of a figure's name."""
    return re.sub(r"[^a-z0-9.]+", "-", words.lower()).strip("-.")
