"""Which boxes the rim of an area meets, where there are very many and each is near a few edges.

Told by arithmetic with a margin far over its rounding; what lies within that is left to exact
geometry.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.layout.erosion import Geometry

_SURE = 1e-11  # nearer to touching than this is not told here [m]
_BLOCK = 1 << 16  # boxes worked at once: stays in cache


@dataclass(frozen=True, slots=True, eq=False)
class Rim:
    """The edges of an area, and those that each of c frames meets."""

    middle: Array  # (m, 2) of each edge [m]
    reach: Array  # (m, 2) half of its extent along both axes [m]
    normal: Array  # (m, 2) square to it, of length 1
    near: Index  # (c, k) edges that each frame meets, -1 = none

    @classmethod
    def of(cls, area: Geometry, centre: Array, half: Array) -> Rim:
        """Take the rim of an area, and its edges near (c, 2) frames."""
        xy, ring = shapely.get_coordinates(
            shapely.get_parts(shapely.boundary(shapely.get_parts(area))), return_index=True
        )
        edge = (ring[1:] == ring[:-1]) & (xy[1:] != xy[:-1]).any(axis=1)
        start, run = xy[:-1][edge], np.diff(xy, axis=0)[edge]
        normal = np.stack([-run[:, 1], run[:, 0]], axis=1) / np.hypot(*run.T)[:, None]
        every = np.arange(len(run))[None]
        found = cls(start + run / 2, np.abs(run) / 2, normal, every)
        met = np.stack([found._apart(np.array([e]), centre, half) for e in every[0]], axis=1)
        near = met < _SURE
        order = np.argsort(~near, axis=1, kind="stable")[:, : int(near.sum(axis=1).max(initial=0))]
        table = np.where(np.take_along_axis(near, order, axis=1), order, -1)
        return cls(found.middle, found.reach, found.normal, table)

    def meets(self, frame: Index, centre: Array, half: Array) -> tuple[Mask, Mask]:
        """Tell which boxes meet the rim, and of which that is not sure.

        Parameters
        ----------
        frame : (d,) array
            The frame that each box lies in.
        centre : (d, 2) array
            Of the boxes [m].
        half : (2,) array
            Half their sides [m].
        """
        met, unsure = np.zeros(len(frame), bool), np.zeros(len(frame), bool)
        for begin in range(0, len(frame), _BLOCK):
            some = slice(begin, begin + _BLOCK)
            near, at = self.near[frame[some]], centre[some]
            least = np.full(len(near), np.inf)
            for k in range(near.shape[1]):
                mine = np.flatnonzero((near[:, k] >= 0) & (least >= -_SURE))
                gap = self._apart(near[mine, k], at[mine], half)
                least[mine] = np.minimum(least[mine], gap)
            met[some] = least < -_SURE
            unsure[some] = np.abs(least) <= _SURE
        return met, unsure

    def _apart(self, edge: Index, centre: Array, half: Array) -> Array:
        """(d,) give how far apart boxes and edges are, along the axis that parts them most [m]."""
        u, v = (centre - self.middle[edge]).T
        normal, reach = self.normal[edge], self.reach[edge]
        across = np.abs(u * normal[:, 0] + v * normal[:, 1]) - np.abs(normal) @ half
        beside = np.abs(u) - reach[:, 0] - half[0]
        over = np.abs(v) - reach[:, 1] - half[1]
        return np.asarray(np.maximum(np.maximum(across, beside), over))
