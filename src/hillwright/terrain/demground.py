"""Ground from a grid of heights: read bicubically, its holes filled from their own edges."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import SurveyError
from hillwright.job.site import HeightGrid
from hillwright.terrain.choose import Choice
from hillwright.terrain.facets import grid_tin, skirt, tin_on_grid, trend_of
from hillwright.terrain.heightfield import Window, bicubic, pad_quadratic
from hillwright.terrain.model import Survey, Trial
from hillwright.terrain.thinplate import left_out_error

DEM = "bicubic through the grid"


def surface_of_grid(grid: HeightGrid, survey: Survey, window: Window) -> Choice:
    """Read a grid at the nodes of a window, and try it on every other node left out.

    The error is that of a grid twice as coarse, so the true one is smaller.

    Raises
    ------
    SurveyError
        The grid is too small to read a surface from.
    """
    x, y, heights = _cropped(grid, window)
    known = np.isfinite(heights)
    filled = _filled(x, y, heights, survey)
    padded = pad_quadratic(filled)
    u, v = np.meshgrid((window.x - x[0]) / grid.dx, (window.y - y[0]) / grid.dy)
    z = bicubic(padded, u, v)[0]
    supported = _all_four(known, u, v)
    error, tested = _every_other(grid)
    warnings = []
    if grid.dx > 1.5 * window.step * 4 or grid.dy > 1.5 * window.step * 4:
        warnings.append(
            f"the grid has a height every {max(grid.dx, grid.dy):.2f} m: dips and rocks smaller "
            "than that are not in it; look for them on the ground"
        )
    trials = (Trial(DEM, error),)
    tin = grid_tin(x, y, heights)
    none = np.empty(0)
    return Choice(z, supported, tin, trials, none, none, none, tested, tuple(warnings))


def _cropped(grid: HeightGrid, window: Window) -> tuple[Array, Array, Array]:
    """Cut out the part under a window; nodes that the grid does not have are missing heights."""
    ny, nx = grid.heights.shape
    i0 = int(np.floor((window.x[0] - grid.x0) / grid.dx)) - 2
    i1 = int(np.ceil((window.x[-1] - grid.x0) / grid.dx)) + 3
    j0 = int(np.floor((window.y[0] - grid.y0) / grid.dy)) - 2
    j1 = int(np.ceil((window.y[-1] - grid.y0) / grid.dy)) + 3
    out = np.full((j1 - j0, i1 - i0), np.nan)
    a, b, c, d = max(i0, 0), min(i1, nx), max(j0, 0), min(j1, ny)
    if a < b and c < d:
        out[c - j0 : d - j0, a - i0 : b - i0] = grid.heights[c:d, a:b]
    x = np.asarray(grid.x0 + grid.dx * np.arange(i0, i1), float)
    y = np.asarray(grid.y0 + grid.dy * np.arange(j0, j1), float)
    if np.isfinite(out).sum() < 9:
        raise SurveyError(grid.where, "no heights under the outline", "move the outline onto it")
    return x, y, out


def _filled(x: Array, y: Array, heights: Array, survey: Survey) -> Array:
    known = np.isfinite(heights)
    if known.all():
        return heights
    # edge: known nodes with an unknown neighbour
    ringed = np.pad(known, 1)
    inner = ringed[:-2, 1:-1] & ringed[2:, 1:-1] & ringed[1:-1, :-2] & ringed[1:-1, 2:]
    j, i = np.nonzero(known & ~inner)
    edge = np.column_stack([x[i], y[j], heights[j, i]])
    plane = trend_of(survey.xyz)
    return np.where(known, heights, tin_on_grid(skirt(edge, x, y, plane), x, y))


def _all_four(known: Mask, u: Array, v: Array) -> Mask:
    """Nodes of the window whose grid neighbours on every side are known; on a node, itself."""
    slack = 1e-9

    def sides(at: Array, n: int) -> tuple[Index, Index]:
        low, high = np.floor(at + slack), np.ceil(at - slack)
        return np.clip(low, 0, n - 1).astype(np.intp), np.clip(high, 0, n - 1).astype(np.intp)

    (i0, i1), (j0, j1) = sides(u, known.shape[1]), sides(v, known.shape[0])
    return np.asarray(known[j0, i0] & known[j0, i1] & known[j1, i0] & known[j1, i1])


def _every_other(grid: HeightGrid) -> tuple[float, int]:
    """Predict the nodes between every other row and column from the rest [m]."""
    z = grid.heights
    if min(z.shape) < 7:
        return grid.sigma, 0
    z = z[: 2 * ((z.shape[0] - 1) // 2) + 1, : 2 * ((z.shape[1] - 1) // 2) + 1]
    kept = z[::2, ::2]
    # between four nodes of an even grid the weights are -1, 9, 9, -1 sixteenths each way
    w = np.array([-1, 9, 9, -1]) / 16
    across = sum(w[k] * kept[:, k : k + kept.shape[1] - 3] for k in range(4))
    predicted = sum(w[k] * across[k : k + kept.shape[0] - 3] for k in range(4))
    truth = z[3:-3:2, 3:-3:2]
    both = np.isfinite(truth) & np.isfinite(predicted)
    if not both.any():
        return grid.sigma, 0
    return left_out_error(truth[both], np.asarray(predicted)[both]), int(both.sum())
