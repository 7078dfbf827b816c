"""What lies between a cell's flat base and the ground: dips take soil, humps displace it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.fill.given import at_least_zero, share
from hillwright.fill.plane import base_of
from hillwright.method import method
from hillwright.terrain.model import Ground

_PLACES = 8  # along each side, at the middles of equal strips
_AT_ONCE = 20_000  # cells sampled together: bounds the memory


class Under(NamedTuple):
    """What the ground under the n bases changes."""

    dips: Array
    humps: Array
    unknown: Array


@method(
    title="Soil that runs into the dips under a cell, and that humps displace",
    equation="change = integral of max(0, t - h) - max(0, t) dA, h ground above the base plane "
    "square to it, at 8 by 8 places",
    source="exact geometry, by the midpoint rule",
)
def under_cells(corners: Array, ground: Ground, lip: ArrayLike, levelled: ArrayLike = 0.0) -> Under:
    """Give how much more, or less, soil a cell takes than over a flat base.

    Parameters
    ----------
    corners : (n, 4, 3) array
        Base corners in order round each cell. [m]
    ground : Ground
        What the cells stand on. [surface]
    lip : (n,) array or float
        Depth of the soil at the lowest corner, square to the base. [m]
    levelled : (n,) array or float, optional
        How far the top is raked level, as :func:`cell_soil` takes it. [-]

    Returns
    -------
    dips : (n,) array
        Soil that runs under the base, 0 or more; none under a cell that stays empty. [m3]
    humps : (n,) array
        Soil that ground standing into the cell takes the place of, 0 or more. [m3]
    unknown : (n,) array
        Share of the base under which the ground is not known, taken as flat. [-]

    Raises
    ------
    OutOfRange
        A negative depth, a share outside 0 to 1, or corners that make no cell.
    """
    c = np.asarray(corners, float)
    base = base_of(c)
    n = len(c)
    deep = np.broadcast_to(at_least_zero("lip", lip), (n,))
    fall = np.broadcast_to(share("levelled", levelled), (n,)) * np.tan(base.slope)
    s = (np.arange(_PLACES) + 0.5) / _PLACES
    a, b = (g.ravel() for g in np.meshgrid(s, s))
    weights = np.stack(((1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b))  # (4, places)
    dips, humps, unknown = np.zeros(n), np.zeros(n), np.zeros(n)
    for i in range(0, n, _AT_ONCE):
        some = slice(i, i + _AT_ONCE)
        x, y = (np.einsum("nk,ks->ns", c[some, :, axis], weights) for axis in (0, 1))
        part = _plane_height(c[some], x, y)
        h = (ground.at(x, y)[0] - part) * np.cos(base.slope[some])[:, None]
        known = np.isfinite(h)
        h = np.where(known, h, 0.0)
        u = np.einsum("nk,ks->ns", base.uv[some, :, 0], weights) - base.low[some, None]
        t = deep[some, None] - fall[some, None] * u
        change = np.maximum(t - h, 0.0) - np.maximum(t, 0.0)
        change *= (deep[some] > 0)[:, None]
        each = _jacobian(base.uv[some], a, b) * (base.area[some] / len(a))[:, None]
        dips[some] = (np.maximum(change, 0.0) * each).sum(axis=1)
        humps[some] = (np.maximum(-change, 0.0) * each).sum(axis=1)
        unknown[some] = 1 - known.mean(axis=1)
    return Under(dips, humps, unknown)


def _plane_height(corners: Array, x: Array, y: Array) -> Array:
    """Give the height of each base plane (n, s) at plan positions (n, s) [m]."""
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    middle = corners.mean(axis=1)
    along = (x - middle[:, :1]) * normal[:, :1] + (y - middle[:, 1:2]) * normal[:, 1:2]
    return np.asarray(middle[:, 2:] - along / normal[:, 2:])


def _jacobian(uv: Array, a: Array, b: Array) -> Array:
    """Give the area (n, s) that each place stands for, as a multiple of the mean."""
    p, q, r, s = (uv[:, k, None] for k in range(4))
    da = (q - p) * (1 - b)[None, :, None] + (r - s) * b[None, :, None]
    db = (s - p) * (1 - a)[None, :, None] + (r - q) * a[None, :, None]
    found = np.abs(da[..., 0] * db[..., 1] - da[..., 1] * db[..., 0])
    return np.asarray(found / found.mean(axis=1)[:, None])
