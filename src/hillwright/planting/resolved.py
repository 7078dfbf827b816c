"""A broken program that is solved again, from where it stood, as rows and limits change."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.planting.solver import INFINITY, Program, opened, read_out


class Resolved:
    """A broken program, its last solution and bound; ``solved``: there is one now."""

    def __init__(self, program: Program, seed: int = 1) -> None:
        self._model = opened(program, 0.0, 600.0, 1 << 30, seed, True)
        self._first = program.rows.count  # rows before any were added
        self.x: Array = np.zeros(len(program.cost))
        self.bound = np.inf
        self.solved = self._run()

    def _run(self) -> bool:
        self._model.run()
        found = read_out(self._model, True)
        if found.x is None or not np.isfinite(found.bound):
            return False
        self.x, self.bound = found.x, found.bound
        return True

    def add(self, rows: list[tuple[Array, Array]]) -> None:
        """Add rows, each at least 0: columns and values."""
        count = len(rows)
        starts = np.concatenate([[0], np.cumsum([len(c) for c, _ in rows])]).astype(np.int32)
        self._model.addRows(
            count,
            np.zeros(count),
            np.full(count, INFINITY),
            int(starts[-1]),
            starts[:-1],
            np.concatenate([c for c, _ in rows]).astype(np.int32),
            np.concatenate([v for _, v in rows]).astype(float),
        )
        self.solved = self._run()

    def drop_loose(self) -> None:
        """Drop added rows that the last solution is not held by."""
        activity = np.array(self._model.getSolution().row_value)
        loose = self._first + np.flatnonzero(activity[self._first :] > 0.02)
        if len(loose):
            self._model.deleteRows(len(loose), loose.astype(np.int32))

    def limit(self, columns: Index, low: float, high: float) -> bool:
        """Set the limits of some columns, and solve again; say whether there is a solution."""
        for column in columns.tolist():
            self._model.changeColBounds(column, low, high)
        self.solved = self._run()
        return self.solved
