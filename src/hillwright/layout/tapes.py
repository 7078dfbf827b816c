"""Points set by two tapes: where they meet, how sharply, and how well."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.layout.meet import meet
from hillwright.method import method
from hillwright.terrain.model import Ground

# two tapes that meet more sharply or more flatly than this make a poor point
SHARPEST, FLATTEST = np.radians(30), np.radians(150)  # common practice, no source


class TapedPoint(NamedTuple):
    """Where two tapes meet on the level."""

    point: Array
    mirror: Array
    angle: Array
    sigma: Array


class GroundPoint(NamedTuple):
    """Where two tapes meet on the ground."""

    point: Array
    angle: Array
    sigma: Array


@method(
    title="Distance between two points along a taut tape",
    equation="s = sqrt(dx^2 + dy^2 + dz^2)",
    source="exact geometry",
)
def slope_distance(dx: ArrayLike, dy: ArrayLike, dz: ArrayLike) -> Array:
    """Give what a taut tape reads between two points.

    Parameters
    ----------
    dx, dy, dz : (...) array
        From one point to the other: two level distances square to each other, and height. [m]

    Returns
    -------
    (...) array
        Along the slope, in a straight line. [m]
    """
    x, y, z = (np.asarray(v, float) for v in (dx, dy, dz))
    return np.asarray(np.sqrt(x * x + y * y + z * z))


@method(
    title="Position from two tapes, and its error",
    equation=(
        "x = (a^2 - b^2 + c^2) / (2c), y = sqrt(a^2 - x^2), c = |AB|; "
        "sigma = s sqrt(2) / sin(angle at P)"
    ),
    source="exact geometry",
)
def two_tapes(
    a: ArrayLike, b: ArrayLike, from_a: ArrayLike, from_b: ArrayLike, sigma: float = 0.01
) -> TapedPoint:
    """Find the point that lies so far from peg A and so far from peg B, all on one level.

    Parameters
    ----------
    a, b : (2,) array
        The pegs. [m]
    from_a, from_b : float or (n,) array
        Taped from each, above 0. [m]
    sigma : float
        Standard error of one taped length. [m]

    Returns
    -------
    point : (2,) or (n, 2) array
        On the left of the line as one looks from A to B. [m]
    mirror : (2,) or (n, 2) array
        The other place where the tapes meet, on the right. [m]
    angle : float or (n,) array
        At which the tapes meet. [rad]
    sigma : float or (n,) array
        Standard error of the point. [m]

    Raises
    ------
    OutOfRange
        Pegs at one place, or tapes that do not reach each other or lie in one line.

    Notes
    -----
    Keep the angle between 30 and 150 degrees. Say on paper which side of A to B is meant.
    """
    pa, pb = _peg(a, "A"), _peg(b, "B")
    ra, rb = np.broadcast_arrays(np.asarray(from_a, float), np.asarray(from_b, float))
    apart = float(np.hypot(*(pb - pa)))
    if apart == 0:
        raise OutOfRange("pegs", "A and B are at one place", "give two pegs well apart")
    if not (sigma >= 0 and np.isfinite(sigma)):
        raise OutOfRange("sigma", "not an error", "give 0 or more")
    _reach(ra, rb, apart)
    along = (ra**2 - rb**2 + apart**2) / (2 * apart)
    # as a product, so that nearly straight tapes keep their digits (Heron)
    product = (ra + rb + apart) * (ra + rb - apart) * (apart + ra - rb) * (apart - ra + rb)
    across = np.sqrt(np.maximum(product, 0)) / (2 * apart)
    way = (pb - pa) / apart
    left = np.array([-way[1], way[0]])
    foot = pa + along[..., None] * way
    sine = across * apart / (ra * rb)
    angle = np.arctan2(sine, (ra**2 + rb**2 - apart**2) / (2 * ra * rb))
    return TapedPoint(
        foot + across[..., None] * left,
        foot - across[..., None] * left,
        angle,
        np.asarray(sigma * np.sqrt(2) / sine),
    )


@method(
    title="Position from two tapes on uneven ground",
    equation="|P - A| = a, |P - B| = b, P on z(x, y); sigma = s sqrt(2) / sin(angle at P)",
    source="exact geometry (two spheres and the ground)",
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
    pa, pb = _peg(a, "A"), _peg(b, "B")
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
    _reach(ra, rb, apart)
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
    angle = meeting_angle(point, A, B)
    shape = ra.shape
    return GroundPoint(
        point.reshape(*shape, 3),
        angle.reshape(shape),
        np.asarray(sigma * np.sqrt(2) / np.sin(angle)).reshape(shape),
    )


def meeting_angle(points: Array, a: Array, b: Array) -> Array:
    """(n,) angle at which taut tapes from pegs a and b (3,) meet at points (n, 3) [rad]."""
    u, v = a - points, b - points
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(u, v), axis=-1), (u * v).sum(axis=-1)))


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


def _peg(place: ArrayLike, name: str) -> Array:
    peg = np.asarray(place, float)
    if peg.shape not in ((2,), (3,)) or not np.isfinite(peg).all():
        raise OutOfRange(f"peg {name}", "not a place", "give x and y")
    return peg[:2]


def _reach(from_a: Array, from_b: Array, apart: float) -> None:
    """Refuse tapes of no length, and tapes that cannot meet in a point with a side."""
    for name, tape in (("from_a", from_a), ("from_b", from_b)):
        if not ((tape > 0) & np.isfinite(tape)).all():
            raise OutOfRange(name, "a tape of no length", "give a length above 0")
    least = 1e-9 * apart
    short = np.atleast_1d(from_a + from_b <= apart + least)
    long = np.atleast_1d(np.abs(from_a - from_b) >= apart - least)
    if short.any():
        i = int(np.flatnonzero(short)[0])
        total = float(np.atleast_1d(from_a + from_b)[i])
        raise OutOfRange(
            f"point {i + 1}",
            f"the tapes do not reach each other: {total:g} m for pegs {apart:g} m apart",
            "measure again; together they must be longer than A to B",
        )
    if long.any():
        i = int(np.flatnonzero(long)[0])
        raise OutOfRange(
            f"point {i + 1}",
            "the tapes do not meet: one is longer than the other and A to B together",
            "measure again; no side of a triangle is longer than the other two",
        )
