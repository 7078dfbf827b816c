"""Points set by two tapes on uneven ground: where they meet, how well, and what is in the way."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.layout.meet import meet
from hillwright.layout.tapes import peg_place, refuse_short, two_tapes
from hillwright.method import method
from hillwright.terrain.model import Ground

BENT = 0.005  # a tape that lies over a hump may read this much too long [m]


class GroundPoint(NamedTuple):
    """Where two tapes meet on the ground."""

    point: Array
    angle: Array
    sigma: Array


@method(
    title="Position from two tapes on uneven ground",
    equation=(
        "|P - A| = a, |P - B| = b, P on z(x, y); sigma = s sqrt(|u|^2 + |v|^2) / |u x v|, "
        "u, v the directions of the tapes along the ground"
    ),
    source="exact geometry (two spheres and the ground), first-order propagation of errors",
)
def tapes_on_ground(
    surface: Ground,
    a: ArrayLike,
    b: ArrayLike,
    from_a: ArrayLike,
    from_b: ArrayLike,
    side: str = "left",
    sigma: float = 0.01,
) -> GroundPoint:
    """Find the place on the ground where two taut tapes meet.

    Parameters
    ----------
    surface : Ground
        Height of the ground over the plan. [surface]
    a, b : (2,) array
        The pegs in plan; they stand on the ground. [m]
    from_a, from_b : float or (n,) array
        Taped from each along the slope, above 0. [m]
    side : str
        "left" or "right" of the line as one looks from A to B. [text]
    sigma : float
        Standard error of one taped length. [m]

    Returns
    -------
    point : (3,) or (n, 3) array
        Where the tapes meet. [m]
    angle : float or (n,) array
        At which they meet. [rad]
    sigma : float or (n,) array
        Standard error of the point. [m]

    Raises
    ------
    OutOfRange
        Pegs at one place or off the ground, tapes that do not reach each other, or no place on
        the ground where they meet.
    """
    pa, pb = peg_place(a, "A"), peg_place(b, "B")
    if side not in ("left", "right"):
        raise OutOfRange("side", f"{side!r} is no side", 'write "left" or "right"')
    with np.errstate(all="ignore"):
        heights = surface.at(np.array([pa[0], pb[0]]), np.array([pa[1], pb[1]]))[0]
    for name, z in zip("AB", heights, strict=True):
        if not np.isfinite(z):
            raise OutOfRange(f"peg {name}", "stands off the ground", "give a place on the surface")
    A, B = np.append(pa, heights[0]), np.append(pb, heights[1])
    ra, rb = np.broadcast_arrays(np.asarray(from_a, float), np.asarray(from_b, float))
    apart = float(np.linalg.norm(B - A))
    if apart == 0:
        raise OutOfRange("pegs", "A and B are at one place", "give two pegs well apart")
    refuse_short(ra, rb, apart)
    flat = two_tapes((0.0, 0.0), (apart, 0.0), ra, rb, sigma)
    way = (pb - pa) / np.hypot(*(pb - pa))
    left = np.array([-way[1], way[0]]) * (1 if side == "left" else -1)
    # tapes on the tilted plane, brought down to the plan: near enough to start from
    shrink = np.hypot(*(pb - pa)) / apart
    guess = pa + flat.point[..., :1] * shrink * way + flat.point[..., 1:] * left * 0.8
    point = set_by_tapes(surface, A, B, np.ravel(ra), np.ravel(rb), guess.reshape(-1, 2))
    on_side = (point[:, :2] - pa) @ left > 0
    if (bad := ~(np.isfinite(point).all(axis=1) & on_side)).any():
        i = int(np.flatnonzero(bad)[0]) + 1
        raise OutOfRange(
            f"point {i}", f"the tapes do not meet on the ground to the {side}", "measure again"
        )
    spread = sigma * spread_on_ground(surface, point, A, B)
    shape = ra.shape
    return GroundPoint(
        point.reshape(*shape, 3),
        meeting_angle(point, A, B).reshape(shape),
        np.asarray(spread).reshape(shape),
    )


def meeting_angle(points: Array, a: Array, b: Array) -> Array:
    """(n,) angle at which taut tapes from pegs a and b (3,) meet at points (n, 3) [rad]."""
    u, v = a - points, b - points
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(u, v), axis=-1), (u * v).sum(axis=-1)))


def along_ground(surface: Ground, points: Array, pegs: Array) -> Array:
    """Give the directions in which taut tapes leave points, as far as they lie in the ground.

    Parameters
    ----------
    surface : Ground
        The ground.
    points : (n, 3) array
        Points on it [m].
    pegs : (k, 3) array
        Where the tapes are hooked on [m].

    Returns
    -------
    (k, n, 2) array
        In two axes of the ground's own plane; shorter than 1 where the tape leaves the ground.
    """
    with np.errstate(all="ignore"):
        _, p, q = surface.at(points[:, 0], points[:, 1])
    zero = np.zeros(len(points))
    first = np.stack([zero + 1, zero, p], axis=1) / np.hypot(1, p)[:, None]
    normal = np.stack([-p, -q, zero + 1], axis=1) / np.sqrt(1 + p * p + q * q)[:, None]
    second = np.cross(normal, first)
    way = points - pegs[:, None]
    way = way / np.maximum(np.linalg.norm(way, axis=2, keepdims=True), 1e-12)
    return np.stack([(way * first).sum(axis=2), (way * second).sum(axis=2)], axis=2)


def spread_of(u: Array, v: Array) -> Array:
    """Errors of a point over those of a tape, for directions along the ground (..., 2) [-]."""
    cross = np.abs(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])
    size = np.sqrt((u * u).sum(axis=-1) + (v * v).sum(axis=-1))
    with np.errstate(divide="ignore"):
        return np.asarray(size / cross)


def spread_on_ground(surface: Ground, points: Array, a: Array, b: Array) -> Array:
    """Tell how many times the error of a tape a point that two tapes set may be off.

    On ground that curves away from the line of the pegs two tapes can meet at a good angle and
    still fix the point poorly: both are then as long to either side of it along the ground.

    Parameters
    ----------
    surface : Ground
        The ground.
    points : (n, 3) array
        Points on it [m].
    a, b : (3,) array
        The pegs [m].

    Returns
    -------
    (n,) array
        sqrt(2)/sin(angle) where the pegs lie in the plane of the ground; else more [-].
    """
    u, v = along_ground(surface, points, np.stack([a, b]))
    return spread_of(u, v)


def bent_by(surface: Ground, start: Array, end: Array) -> tuple[Array, Array]:
    """Tell how a tape from start to end would lie over ground that stands in its line.

    Parameters
    ----------
    surface : Ground
        The ground.
    start, end : (..., 3) array
        Ends of each tape, at the ground [m].

    Returns
    -------
    hump : (...) array
        Highest ground above the straight line [m].
    long : (...) array
        How much too long a tape reads that lies over it, as a shallow arch: 8 h^2 / (3 L) [m].
    """
    start, end = np.broadcast_arrays(start, end)
    share = np.linspace(0.1, 0.9, 9)[:, None]
    line = start[..., None, :] + share * (end - start)[..., None, :]
    with np.errstate(all="ignore"):
        above = np.asarray(surface.at(line[..., 0], line[..., 1])[0]) - line[..., 2]
    hump = np.maximum(np.where(np.isfinite(above), above, 0), 0).max(axis=-1)
    length = np.maximum(np.linalg.norm(end - start, axis=-1), 1e-9)
    return hump, 8 * hump**2 / (3 * length)


def set_by_tapes(
    surface: Ground, a: Array, b: Array, from_a: Array, from_b: Array, guess: Array
) -> Array:
    """Find where tapes from pegs a and b (3,) meet on the ground, near a guess.

    Parameters
    ----------
    surface : Ground
        The ground.
    a, b : (3,) array
        The pegs [m].
    from_a, from_b : (n,) array
        Taped lengths [m].
    guess : (n, 2) array
        Near the points, in plan [m].

    Returns
    -------
    (n, 3) array
        The points; NaN where the tapes do not meet [m].
    """

    def conditions(p: Array) -> tuple[Array, Array, Array, Array]:
        u, v = p - a[:, None], p - b[:, None]
        du, dv = np.sqrt((u * u).sum(axis=0)), np.sqrt((v * v).sum(axis=0))
        return du - from_a, u / du, dv - from_b, v / dv

    reach = max(float(np.linalg.norm(b - a)), 1e-9)
    return np.asarray(meet(surface, guess.T, conditions, reach).T)
