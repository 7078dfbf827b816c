"""Thirst along the rows: how often it changes, and whether one plant more is too many."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Index
from hillwright.planting.field import Field

BARE = -1  # nothing grows there


class Thirst:
    """The classes of thirst of what grows in the n cells, each unbroken row in its order.

    Parameters
    ----------
    field : Field
        The n cells.
    zones : int
        Stretches of one thirst, at most, in each unbroken row.
    """

    def __init__(self, field: Field, zones: int) -> None:
        order = np.lexsort((field.number, field.stretch))
        self._place = np.empty(field.count, np.intp)
        self._place[order] = np.arange(field.count)
        names = np.arange(int(field.stretch.max(initial=-1)) + 2)
        self._at = np.searchsorted(field.stretch[order], names).tolist()
        self._stretch, self._zones = field.stretch, zones
        self._there = np.full(field.count, BARE)

    def put(self, cells: Index, water: int) -> None:
        """Let plants of one thirst stand in some cells."""
        self._there[self._place[cells]] = water

    def row(self, name: int) -> Index:
        """Give the thirst in the cells of one unbroken row, -1 = nothing grows there."""
        return self._there[self._at[name] : self._at[name + 1]]

    def fits(self, cells: Index, water: int) -> bool:
        """Tell whether the rows keep to their changes with some cells more of one thirst."""
        places, names = self._place[cells], self._stretch[cells]
        for name in set(names.tolist()):
            row = self.row(name).copy()
            row[places[names == name] - self._at[name]] = water
            if not self._few(row[row != BARE]):
                return False
        return True

    def changes(self, name: int) -> int:
        """Count the changes along one unbroken row, over cells with nothing between."""
        row = self.row(name)
        row = row[row != BARE]
        return int(np.count_nonzero(row[1:] != row[:-1]))

    def fills(self, name: int, water: int) -> bool:
        """Tell whether all that is free in an unbroken row may have one thirst."""
        row = self.row(name)
        return self._few(np.where(row == BARE, water, row))

    def _few(self, row: Index) -> bool:
        return int(np.count_nonzero(row[1:] != row[:-1])) < self._zones
