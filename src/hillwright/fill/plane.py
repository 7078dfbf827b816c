"""The base of a cell as a plane figure, and linear depths over it integrated exactly."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange

_FLAT = 1e-9  # a base that falls less than this has no downhill wall [-]


class Base(NamedTuple):
    """The n bases in their own planes; u goes up the slope, v along the contour."""

    uv: Array  # (n, 4, 2) corners off the middle of the base [m]
    slope: Array  # (n,) of the base plane, from horizontal [rad]
    area: Array  # (n,) on the slope [m2]
    low: Array  # (n,) u of the lowest corner [m]
    high: Array  # (n,) u of the highest corner [m]


def base_of(corners: Array) -> Base:
    """Give the bases of cells.

    A rigid box with a twisted foot stands on the plane midway between its diagonals; corners are
    dropped square onto it.

    Parameters
    ----------
    corners : (n, 4, 3) array
        In order round each cell [m].

    Raises
    ------
    OutOfRange
        Corners of another shape, not finite, or without plan area.
    """
    c = checked(corners)
    normal = np.cross(c[:, 2] - c[:, 0], c[:, 3] - c[:, 1])
    normal *= np.where(normal[:, 2:] < 0, -1.0, 1.0)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    up = -normal * normal[:, 2:]
    up[:, 2] += 1.0  # the vertical, less what of it stands square to the plane
    steep = np.linalg.norm(up, axis=1)
    flat = steep < _FLAT
    if flat.any():  # no way is uphill: take the cell's own run, lower edge to upper
        run = (c[:, 0] + c[:, 1] - c[:, 2] - c[:, 3])[flat]
        n = normal[flat]
        up[flat] = run - (run * n).sum(axis=1)[:, None] * n
    up /= np.linalg.norm(up, axis=1)[:, None]
    along = np.cross(up, normal)
    off = c - c.mean(axis=1)[:, None]
    uv = np.stack(((off * up[:, None]).sum(axis=2), (off * along[:, None]).sum(axis=2)), axis=2)
    d1, d2 = uv[:, 2] - uv[:, 0], uv[:, 3] - uv[:, 1]
    area = np.abs(d1[:, 0] * d2[:, 1] - d1[:, 1] * d2[:, 0]) / 2
    slope = np.where(flat, 0.0, np.arcsin(np.clip(steep, 0.0, 1.0)))
    u = uv[:, :, 0]
    return Base(uv, slope, area, u.min(axis=1), u.max(axis=1))


def over_quads(uv: Array, depth: Array) -> tuple[Array, Array]:
    """Integrate max(0, depth) over quadrilaterals, and the area where it is above 0; exact.

    Parameters
    ----------
    uv : (n, 4, 2) array
        Corners in order, about their middle [m].
    depth : (n, 4) array
        At the corners, of a depth that is linear over the quadrilateral [m].

    Returns
    -------
    volume, covered : (n,) arrays
        [m3], [m2].
    """
    middle = depth.mean(axis=1)  # linear: the middle of the corners has the mean of their depths
    volume, covered = np.zeros(len(uv)), np.zeros(len(uv))
    for i in range(4):
        j = (i + 1) % 4
        a, b = uv[:, i], uv[:, j]
        area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2
        mean, share = _triangle(np.stack((depth[:, i], depth[:, j], middle)))
        volume += area * mean
        covered += area * share
    return volume, covered


def _triangle(depth: Array) -> tuple[Array, Array]:
    """Give the mean of max(0, d) over triangles and the share where d > 0; d (3, n) at corners."""
    low, mid, high = np.sort(depth, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        tip = (
            high / (high - low) * (high / (high - mid))
        )  # share, where one corner alone is above 0
        gone = low / (mid - low) * (low / (high - low))  # share lost, where one alone is below 0
        mean_tip, mean_gone = tip * high / 3, gone * low / 3
    whole = (low + mid + high) / 3
    mean = np.where(
        low >= 0, whole, np.where(mid > 0, whole - mean_gone, np.where(high > 0, mean_tip, 0.0))
    )
    share = np.where(low > 0, 1.0, np.where(mid > 0, 1 - gone, np.where(high > 0, tip, 0.0)))
    return np.asarray(mean), np.asarray(np.where((low == 0) & (high > 0) & (mid > 0), 1.0, share))


def checked(corners: Array) -> Array:
    """Pass corners (n, 4, 3) [m] on, or say which cell is none."""
    c = np.asarray(corners, float)
    if c.ndim != 3 or c.shape[1:] != (4, 3):
        raise OutOfRange("corners", f"of shape {c.shape}", "give n cells of 4 corners x, y, z")
    a, b = c[:, 2] - c[:, 0], c[:, 3] - c[:, 1]
    with np.errstate(invalid="ignore"):
        plan = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
        bad = ~(np.isfinite(c).all(axis=(1, 2)) & (plan > 0))
    if bad.any():
        where = f"corners, cell {int(np.argmax(bad)) + 1}"
        raise OutOfRange(where, "no plan area", "give four corners in order round the cell")
    return c
