"""Soil of 5,000 cells, exact, as a ratio to adding up thin columns in numpy in the same run."""

from __future__ import annotations

import time

import numpy as np

from hillwright.fill.cellvolume import cell_soil
from hillwright.fill.plane import base_of

CELLS, FINE = 5000, 40


def cells(n: int) -> np.ndarray:
    """Lay invented cells on slopes of 10 to 45 degrees."""
    rng = np.random.default_rng(1)
    slope = np.radians(rng.uniform(10, 45, n))
    c = np.zeros((n, 4, 3))
    c[:, 1:3, 0] = 0.6
    c[:, 2:, 1] = -0.45 * np.cos(slope)[:, None]
    c[:, 2:, 2] = -0.45 * np.sin(slope)[:, None]
    return c


def columns(c: np.ndarray, lip: float, levelled: np.ndarray) -> np.ndarray:
    """Add up FINE by FINE columns in each cell: the yardstick."""
    base = base_of(c)
    s = (np.arange(FINE) + 0.5) / FINE
    a, b = np.meshgrid(s, s)
    w = np.stack(((1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b)).reshape(4, -1)
    u = base.uv[:, :, 0] @ w - base.low[:, None]
    t = lip - (levelled * np.tan(base.slope))[:, None] * u
    return np.asarray(np.maximum(t, 0).mean(axis=1) * base.area)


def main() -> None:
    """Run both in turn and print the ratio."""
    c = cells(CELLS)
    by = np.ones(CELLS)  # level: the soil runs out on steep cells
    best = {"exact": 9e9, "columns": 9e9}
    for _ in range(5):
        for name, work in (
            ("exact", lambda: cell_soil(c, 0.125, by).volume),
            ("columns", lambda: columns(c, 0.125, by)),
        ):
            start = time.perf_counter()
            work()
            best[name] = min(best[name], time.perf_counter() - start)
    off = np.abs(cell_soil(c, 0.125, by).volume / columns(c, 0.125, by) - 1).max()
    print(
        f"numpy {np.__version__}; {CELLS} cells; {FINE}x{FINE} columns differ by {off:.1e} at most"
    )
    print(f"exact / columns: {best['exact'] / best['columns']:.4f} of the time")


if __name__ == "__main__":
    main()
