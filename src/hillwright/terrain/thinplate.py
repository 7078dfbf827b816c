"""Thin plate spline with a linear trend; smoothed as much as leaving points out asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.method import method

_WHOLE = 500  # points up to which one spline is fitted to all
_LEAF = 100  # points in the middle of each block when there are more
_OVERLAP = 0.3  # a block reaches this share of its size beyond itself on every side
_AT_ONCE = 30_000  # distances held at once: small enough to stay in cache
# smoothing tried, in terms of the median stiffness of the points; 0 goes through every point
_SMOOTHINGS = np.concatenate([[0.0], np.geomspace(1e-6, 1e4, 41)])


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One spline and the box it stands for."""

    box: Array  # (4,) x0, y0, x1, y1, overlap counted; infinite for the one that stands alone [m]
    centre: Array  # (2,) [m]
    scale: float  # [m]
    points: Array  # (n, 2), centred and scaled
    bend: Array  # (n,) weight of each point's bending
    trend: Array  # (3,) plane in scaled coordinates

    def at(self, x: Array, y: Array) -> Array:
        """(k,) heights [m]."""
        x, y = (x - self.centre[0]) / self.scale, (y - self.centre[1]) / self.scale
        z = self.trend[0] + self.trend[1] * x + self.trend[2] * y
        rows = max(1, _AT_ONCE // len(self.points))
        for k in range(0, len(x), rows):
            part = slice(k, k + rows)
            r2 = x[part, None] - self.points[:, 0]
            r2 *= r2
            dy = y[part, None] - self.points[:, 1]
            dy *= dy
            r2 += dy
            z[part] += _kernel(r2, dy) @ self.bend
        return np.asarray(z)


@dataclass(frozen=True, slots=True, eq=False)
class ThinPlate:
    """Splines that overlap and blend into one smooth surface."""

    blocks: tuple[Block, ...]
    left_out: Array  # (n,) height predicted at each point from all others [m]
    through: Array  # (n,) the same for the spline that goes through every point [m]
    odd: Array  # (n,) miss of left_out in units of its own standard error, up to one common factor

    def at(self, x: ArrayLike, y: ArrayLike) -> Array:
        """Heights at places in plan [m]."""
        x, y = np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float))
        shape, x, y = x.shape, x.ravel(), y.ravel()
        if len(self.blocks) == 1:
            return self.blocks[0].at(x, y).reshape(shape)
        total, weights = np.zeros(x.size), np.zeros(x.size)
        for block in self.blocks:
            w = _weight(block.box, x, y)
            inside = np.flatnonzero(w > 0)
            total[inside] += w[inside] * block.at(x[inside], y[inside])
            weights[inside] += w[inside]
        return np.asarray(total / weights).reshape(shape)


def _kernel(r2: Array, out: Array | None = None) -> Array:
    """Give r^2 log r; spoils r2 and writes into ``out``, which saves half the time."""
    r2 += 1e-300  # at the point itself log(tiny) times nought is nought
    out = np.log(r2, out=out)
    out *= r2
    out *= 0.5
    return out


def _weight(box: Array, x: Array, y: Array) -> Array:
    u = np.abs(2 * x - box[0] - box[2]) / (box[2] - box[0])
    v = np.abs(2 * y - box[1] - box[3]) / (box[3] - box[1])
    return np.asarray((np.clip(1 - u * u, 0, None) * np.clip(1 - v * v, 0, None)) ** 2)


def fit(xyz: Array, sigma: Array, scored: Mask, domain: Array) -> ThinPlate:
    """Fit a thin plate to points, each as stiff as it is sure.

    One spline up to 500 points; beyond, overlapping splines over blocks of about 100 points, each
    smoothed as its own points ask, blended into one surface.

    Parameters
    ----------
    xyz : (n, 3) array
        Points, no two alike in plan, not all in one line [m].
    sigma : (n,) array
        Standard errors of the heights. Their proportions say how stiff each point is; their size
        says how far smoothing may pull the surface off the points [m].
    scored : (n,) mask
        Points whose predictions choose the smoothing.
    domain : (4,) array
        x0, y0, x1, y1 that heights will be asked for, when blocks are needed [m].
    """
    n = len(xyz)
    if n <= _WHOLE:
        everywhere = np.array([-np.inf, -np.inf, np.inf, np.inf])
        block, missed = _fit_block(xyz, sigma, scored, everywhere)
        return ThinPlate((block,), *missed)
    low = np.minimum(xyz[:, :2].min(axis=0), domain[:2])
    high = np.maximum(xyz[:, :2].max(axis=0), domain[2:])
    blocks, missed = [], np.full((3, n), np.nan)
    for box, own in _leaves(xyz[:, :2], np.arange(n), np.array([*low, *high])):
        reach = _OVERLAP * (box[2:] - box[:2])
        wide = np.array([*(box[:2] - reach), *(box[2:] + reach)])
        inside = np.flatnonzero(((xyz[:, :2] >= wide[:2]) & (xyz[:, :2] <= wide[2:])).all(axis=1))
        block, found = _fit_block(xyz[inside], sigma[inside], scored[inside], wide)
        blocks.append(block)
        mine = np.isin(inside, own)
        missed[:, inside[mine]] = found[:, mine]
    return ThinPlate(tuple(blocks), *missed)


def _leaves(xy: Array, index: Index, box: Array) -> list[tuple[Array, Index]]:
    """Halve a box across its longer side at the middle point until few points are in each."""
    if len(index) <= _LEAF:
        return [(box, index)]
    axis = int(np.argmax(box[2:] - box[:2]))
    cut = float(np.median(xy[index, axis]))
    below = xy[index, axis] <= cut
    if below.all():
        return [(box, index)]
    lower, upper = box.copy(), box.copy()
    lower[2 + axis] = upper[axis] = cut
    return _leaves(xy, index[below], lower) + _leaves(xy, index[~below], upper)


def _fit_block(xyz: Array, sigma: Array, scored: Mask, box: Array) -> tuple[Block, Array]:
    """Fit one spline; also (3, n) left_out, through and odd of its points.

    With c = S^-1 Q2 e, everything about every smoothing follows from one eigendecomposition:
    Q2' S^-1 K S^-1 Q2 = U D U', e = U (D + l)^-1 U' Q2' S^-1 z, and the residual of a point that
    is left out is e_i over g_i, the i-th diagonal of Q2 U (D + l)^-1 U' Q2'; its own variance
    goes as 1 / g_i, large at the edge where a prediction has to reach out.
    """
    n = len(xyz)
    centre = xyz[:, :2].mean(axis=0)
    scale = float(np.abs(xyz[:, :2] - centre).max())
    p = (xyz[:, :2] - centre) / scale
    s = sigma / sigma.mean()
    kernel = _kernel(((p[:, None] - p[None]) ** 2).sum(axis=2))
    plane = np.column_stack([np.ones(n), p])
    q, r = np.linalg.qr(plane / s[:, None], mode="complete")
    free = q[:, 3:]
    stiffness, turned = np.linalg.eigh(free.T @ (kernel / np.outer(s, s)) @ free)
    stiffness = np.maximum(stiffness, 1e-14 * stiffness.max(initial=1e-14))
    basis = free @ turned
    scaled = xyz[:, 2] / s
    weight = basis.T @ scaled
    trial = _SMOOTHINGS * (np.median(stiffness) if n > 3 else 1.0)
    inverse = 1 / (stiffness[:, None] + trial)
    bend = basis @ (inverse * weight[:, None])
    hat = (basis * basis) @ inverse
    with np.errstate(divide="ignore", invalid="ignore"):
        off = bend / hat * s[:, None]
    if n > 3 and scored.any():
        error = (off[scored] ** 2).mean(axis=0)
        # Few points predict one another badly, and a plane then scores best by chance: it would
        # hide a bank that was measured. What the errors of the heights do not explain is ground
        # (discrepancy principle, Morozov 1966, from memory).
        pulled_off = trial * np.sqrt((bend**2).mean(axis=0)) / sigma.mean()
        error[pulled_off > 1] = np.inf
        best = int(np.nanargmin(np.where(np.isfinite(error), error, np.inf)))
    else:
        best = 0
    c = bend[:, best] / s
    trend = np.linalg.solve(
        r[:3], q[:, :3].T @ (scaled - (kernel @ c) / s - trial[best] * bend[:, best])
    )
    block = Block(box, centre, scale, p, c, trend)
    with np.errstate(divide="ignore", invalid="ignore"):
        odd = bend[:, best] / np.sqrt(hat[:, best])
    return block, np.stack([xyz[:, 2] - off[:, best], xyz[:, 2] - off[:, 0], odd])


@method(
    title="Height between spots by a thin plate",
    equation="z(x) = a + b x + c y + sum w_i r_i^2 log r_i; (K + l I) w + P a = z, P' w = 0",
    source="Duchon 1977; Wahba 1990, Spline Models for Observational Data (from memory)",
)
def thin_plate_height(points: ArrayLike, x: ArrayLike, y: ArrayLike) -> Array:
    """Lay a thin plate through spots and read heights off it.

    Parameters
    ----------
    points : (n, 3) array
        Spots, at least 3 and not in one line. [m]
    x, y : (k,) array
        Places in plan. [m]

    Returns
    -------
    (k,) array
        Height. [m]

    Raises
    ------
    OutOfRange
        Spots in one line or at one place.

    Notes
    -----
    Goes through every spot and is exact on a plane. It rings beside a sharp edge.
    """
    xyz = np.asarray(points, float)
    if xyz.ndim != 2 or xyz.shape[1] != 3 or len(xyz) < 3 or not np.isfinite(xyz).all():
        raise OutOfRange("points", "not three spots or more", "give x, y, z of at least 3 spots")
    spread = np.linalg.svd(xyz[:, :2] - xyz[:, :2].mean(axis=0), compute_uv=False)
    if spread[1] < 1e-9 * spread[0] or len(np.unique(xyz[:, :2], axis=0)) < len(xyz):
        raise OutOfRange("points", "in one line or twice at one place", "give spread-out spots")
    nobody = np.zeros(len(xyz), bool)
    box = np.array([np.min(x), np.min(y), np.max(x), np.max(y)], float)
    return fit(xyz, np.ones(len(xyz)), nobody, box).at(x, y)


@method(
    title="Error of a surface by leaving out one spot at a time",
    equation="RMSE = sqrt(sum (z_i - z_(i))^2 / n), z_(i) predicted from all other spots",
    source="Stone 1974, Cross-validatory choice and assessment of statistical predictions "
    "(from memory)",
    symbols={"z_i": "heights", "n": "their number", "i": "a spot", "z_(i)": "predicted"},
)
def left_out_error(heights: ArrayLike, predicted: ArrayLike) -> float:
    """Give the cross-validated error of a surface.

    Parameters
    ----------
    heights : (n,) array
        As surveyed. [any]
    predicted : (n,) array
        The same spots, each as predicted from the others. [any]

    Returns
    -------
    float
        Root mean square of the differences. [any]

    Raises
    ------
    OutOfRange
        No spots, or one without a number.

    Notes
    -----
    Says how well the surface does between the spots, not beyond their edge.
    """
    off = np.asarray(heights, float) - np.asarray(predicted, float)
    if not off.size or not np.isfinite(off).all():
        raise OutOfRange("predicted", "a spot without a prediction", "leave it out of both lists")
    return float(np.sqrt(np.mean(off**2)))
