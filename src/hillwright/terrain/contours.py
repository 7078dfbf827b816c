"""Where contours cross the edges of triangulated ground."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class Crossing(NamedTuple):
    """A contour on an edge."""

    xy: Array
    share: Array


@method(
    title="Where a contour crosses an edge",
    equation="t = (level - z_p) / (z_q - z_p); xy = p + t (q - p)",
    source="exact geometry",
)
def contour_on_edge(p: ArrayLike, q: ArrayLike, level: ArrayLike) -> Crossing:
    """Give where a level lies on the straight edge between two points.

    Parameters
    ----------
    p, q : (3,) or (n, 3) array
        Ends of the edge. [m]
    level : float or (n,) array
        Height of the contour, from one end's to the other's. [m]

    Returns
    -------
    xy : (2,) or (n, 2) array
        Where it crosses, in plan. [m]
    share : float or (n,) array
        How far from p to q, 0 to 1. [-]

    Raises
    ------
    OutOfRange
        A level above or below both ends, or an edge that is level itself.
    """
    a, b = np.broadcast_arrays(np.asarray(p, float), np.asarray(q, float))
    goal = np.asarray(level, float)
    if a.shape[-1:] != (3,) or not (np.isfinite(a).all() and np.isfinite(b).all()):
        raise OutOfRange("p, q", "not points", "give x, y, z of both ends")
    rise = b[..., 2] - a[..., 2]
    if (bad := np.broadcast_to(rise == 0, np.broadcast_shapes(rise.shape, goal.shape))).any():
        i = int(np.flatnonzero(np.atleast_1d(bad))[0]) + 1
        raise OutOfRange(f"edge {i}", "is level: no one place", "give an edge that rises")
    share = (goal - a[..., 2]) / rise
    if (bad := ~((share >= 0) & (share <= 1))).any():
        i = int(np.flatnonzero(np.atleast_1d(bad))[0]) + 1
        raise OutOfRange(
            f"edge {i}", "the level does not cross it", "give a level between the ends"
        )
    return Crossing(a[..., :2] + share[..., None] * (b[..., :2] - a[..., :2]), share)
