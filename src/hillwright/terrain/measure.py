"""How steep, how rough and how large the ground inside the outline is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.terrain.heightfield import Window


@dataclass(frozen=True, slots=True, eq=False)
class CellPlanes:
    """The plane that fits best under a cell with its middle at each node."""

    dz_dx: Array  # (ny, nx) [-]
    dz_dy: Array  # (ny, nx) [-]
    rms: Array  # (ny, nx) of the ground off it [m]


def cell_planes(heights: Array, step: float, under: Index) -> CellPlanes:
    """Fit a plane to the heights under a cell, for a cell at every node at once.

    Parameters
    ----------
    heights : (ny, nx) array
        None missing [m].
    step : float
        Spacing of the nodes [m].
    under : (k, 2) array
        Columns and rows of the nodes under the cell, from the one in its middle.
    """
    ny, nx = heights.shape
    reach = min(int(np.abs(under).max(initial=0)), ny - 1, nx - 1)
    under = under[(np.abs(under) <= reach).all(axis=1)]
    u, v = under.T * step
    suu, suv, svv = float(u @ u), float(u @ v), float(v @ v)
    if len(under) < 3 or suu * svv - suv * suv <= 1e-9 * step**4:
        # cells smaller than the spacing: the node's own slope
        p, q = (np.asarray(np.gradient(heights, step, axis=k)) for k in (1, 0))
        return CellPlanes(p, q, np.zeros_like(heights))
    # less its own plane, so that squares of large heights do not eat the last digits
    yy, xx = np.mgrid[0:ny, 0:nx] * step
    a = np.column_stack([np.ones(4), [0, nx - 1, 0, nx - 1], [0, 0, ny - 1, ny - 1]])
    corners = np.array([heights[0, 0], heights[0, -1], heights[-1, 0], heights[-1, -1]])
    z0, p0, q0 = np.linalg.lstsq(a * [1, step, step], corners, rcond=None)[0]
    padded = np.pad(heights - (z0 + p0 * xx + q0 * yy), reach, mode="reflect", reflect_type="odd")
    total, square, along_u, along_v = (np.zeros((ny, nx)) for _ in range(4))
    for k, (i, j) in enumerate(under):
        h = padded[reach + j : reach + j + ny, reach + i : reach + i + nx]
        total += h
        square += h * h
        along_u += u[k] * h
        along_v += v[k] * h
    n, det = len(under), suu * svv - suv * suv
    p = (svv * along_u - suv * along_v) / det
    q = (suu * along_v - suv * along_u) / det
    rest = square - total * total / n - p * along_u - q * along_v
    return CellPlanes(p + p0, q + q0, np.sqrt(np.maximum(rest, 0) / n))


@method(
    title="Mean slope of an area",
    equation="mean of atan(sqrt(p^2 + q^2)), p = dz/dx, q = dz/dy, over even places",
    source="exact geometry",
)
def mean_slope(dz_dx: ArrayLike, dz_dy: ArrayLike) -> float:
    """Average the steepness of many places, whichever way each of them faces.

    Parameters
    ----------
    dz_dx, dz_dy : (n,) array
        Rise towards the east (+x) and towards the north (+y). [-]

    Returns
    -------
    float
        Mean angle from horizontal. [rad]

    Raises
    ------
    OutOfRange
        No place, or one without a slope.
    """
    gradient = np.hypot(np.asarray(dz_dx, float), np.asarray(dz_dy, float))
    if not gradient.size or not np.isfinite(gradient).all():
        raise OutOfRange("dz_dx", "no place, or one without a slope", "give the slope everywhere")
    return float(np.arctan(gradient).mean())


@method(
    title="Roughness of ground over one cell",
    equation="sqrt(mean r^2), r_k = RMS of the heights under a cell at k off their best plane",
    source="least squares; RMS off the plane as the measure is common practice, no source",
    symbols={"r": "rms", "k": "a place", "RMS": "root of the mean of the squares"},
)
def mean_roughness(rms: ArrayLike) -> float:
    """Average the roughness of all places of one cell.

    Parameters
    ----------
    rms : (n,) array
        Of the heights under a cell off their own best plane, place by place. [m]

    Returns
    -------
    float
        Root mean square over all of them. [m]

    Raises
    ------
    OutOfRange
        No place, or one without a number.
    """
    r = np.asarray(rms, float)
    if not r.size or not np.isfinite(r).all():
        raise OutOfRange("rms", "no place, or one without a number", "give every place")
    return float(np.sqrt(np.mean(r**2)))


def nodes_inside(outline: Array, window: Window) -> Mask:
    """(ny, nx) nodes inside an outline; at least the one nearest its middle."""
    polygon = shapely.Polygon(outline)
    shapely.prepare(polygon)
    out = np.zeros((window.ny, window.nx), bool)
    # rows and columns that the outline does not reach need no look
    low, high = outline.min(axis=0), outline.max(axis=0)
    i0, j0 = (np.floor((low - [window.x0, window.y0]) / window.step)).astype(int).clip(0)
    i1, j1 = (np.ceil((high - [window.x0, window.y0]) / window.step)).astype(int) + 1
    x, y = np.meshgrid(window.x[i0:i1], window.y[j0:j1])
    out[j0:j1, i0:i1] = shapely.contains_xy(polygon, x.ravel(), y.ravel()).reshape(x.shape)
    if not out.any():
        middle = polygon.representative_point()
        j = round((middle.y - window.y0) / window.step)
        i = round((middle.x - window.x0) / window.step)
        out[j, i] = True
    return out


def places_for_a_cell(outline: Array, window: Window, width: float, run: float) -> Mask:
    """(ny, nx) nodes where the middle of a cell may be; of a tiny outline all inside it."""
    inner = shapely.Polygon(outline).buffer(-min(width, run) / 2)
    if inner.is_empty:
        return nodes_inside(outline, window)
    parts = [p for p in shapely.get_parts(inner).tolist() if p.area > 0]
    found = [nodes_inside(shapely.get_coordinates(p.exterior)[:-1], window) for p in parts]
    return np.asarray(np.logical_or.reduce(found))
