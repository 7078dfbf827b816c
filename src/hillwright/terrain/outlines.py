"""Outlines as rings of corners: checked, oriented, and refused when they cross themselves."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange


def ring_of(outline: ArrayLike, where: str = "outline") -> Array:
    """Give an outline as a counter-clockwise ring of corners that does not repeat the first.

    Parameters
    ----------
    outline : (k, 2) array, or (4,) array
        Corners in either direction, closed or not; or a rectangle as x0, y0, x1, y1 [m].
    where : str
        Named in messages.

    Returns
    -------
    (k, 2) array
        Corners, counter-clockwise, none twice in a row [m].

    Raises
    ------
    OutOfRange
        Fewer than 3 corners, a missing number, crossing itself, or no area.
    """
    xy = np.asarray(outline, float)
    if xy.shape == (4,):
        x0, y0, x1, y1 = xy
        xy = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    if xy.ndim != 2 or xy.shape[1] != 2:
        raise OutOfRange(where, f"corners of shape {xy.shape}", "give pairs of x and y")
    if (bad := ~np.isfinite(xy).all(axis=1)).any():
        i = int(np.flatnonzero(bad)[0]) + 1
        raise OutOfRange(f"{where}: corner {i}", "not a number", "give x and y")
    xy = xy[(xy != np.roll(xy, 1, axis=0)).any(axis=1)]
    if len(xy) < 3:
        raise OutOfRange(where, f"{len(xy)} different corners", "give at least 3")
    d = xy - xy[0]
    far = d[np.argmax((d**2).sum(axis=1))]
    if (np.abs(d @ np.array([-far[1], far[0]])) <= 1e-12 * (far @ far)).all():
        raise OutOfRange(where, "encloses no area", "give corners that are not in one line")
    if not shapely.LinearRing(xy).is_simple:
        raise OutOfRange(where, "crosses itself", "give the corners in order round the outline")
    twice = _twice_area(xy)
    return np.asarray(xy if twice > 0 else xy[::-1])


def _twice_area(xy: Array) -> float:
    # from the first corner, so that large eastings do not eat the last digits
    d = xy - xy[0]
    nxt = np.roll(d, -1, axis=0)
    return float((d[:, 0] * nxt[:, 1] - nxt[:, 0] * d[:, 1]).sum())
