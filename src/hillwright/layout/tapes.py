"""Points set by two tapes: where they meet, how sharply, and how well."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

# two tapes that meet more sharply or more flatly than this make a poor point
SHARPEST, FLATTEST = np.radians(30), np.radians(150)  # common practice, no source


class TapedPoint(NamedTuple):
    """Where two tapes meet on the level."""

    point: Array
    mirror: Array
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
    pa, pb = peg_place(a, "A"), peg_place(b, "B")
    ra, rb = np.broadcast_arrays(np.asarray(from_a, float), np.asarray(from_b, float))
    apart = float(np.hypot(*(pb - pa)))
    if apart == 0:
        raise OutOfRange("pegs", "A and B are at one place", "give two pegs well apart")
    if not (sigma >= 0 and np.isfinite(sigma)):
        raise OutOfRange("sigma", "not an error", "give 0 or more")
    refuse_short(ra, rb, apart)
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


def peg_place(place: ArrayLike, name: str) -> Array:
    """Read a peg's place in plan, (2,) [m]."""
    peg = np.asarray(place, float)
    if peg.shape not in ((2,), (3,)) or not np.isfinite(peg).all():
        raise OutOfRange(f"peg {name}", "not a place", "give x and y")
    return peg[:2]


def refuse_short(from_a: Array, from_b: Array, apart: float) -> None:
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
