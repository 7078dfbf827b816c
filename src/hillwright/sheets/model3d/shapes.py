"""Simple closed shapes as triangles, anticlockwise seen from outside; z up, metres."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index

SIDES = 8  # of what is round
_QUAD = np.array([[0, 1, 2], [0, 2, 3]])


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """v points and t triangles."""

    points: Array  # (v, 3) [m]
    triangles: Index  # (t, 3)

    @property
    def volume(self) -> float:
        """Of a closed mesh; by the divergence theorem [m3]."""
        a, b, c = (self.points[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def joined(meshes: list[Mesh]) -> Mesh:
    """Give several meshes as one."""
    starts = np.cumsum([0, *(len(m.points) for m in meshes[:-1])])
    return Mesh(
        np.concatenate([m.points for m in meshes]),
        np.concatenate([m.triangles + s for m, s in zip(meshes, starts, strict=True)]),
    )


def quads(faces: Index) -> Index:
    """Cut faces of four corners (q, 4) into triangles (2q, 3)."""
    return np.asarray(faces)[:, _QUAD].reshape(-1, 3)


def _sides(low: Index, high: Index) -> Index:
    """Give the faces between two rings of indices, anticlockwise seen from above."""
    a, b = low, np.roll(low, -1)
    return quads(np.column_stack([a, b, np.roll(high, -1), high]))


def boxes(base: Array, top: Array) -> Mesh:
    """Close k boxes between bases and tops.

    Parameters
    ----------
    base, top : (k, 4, 3) array
        Corners, anticlockwise seen from above [m].
    """
    k = len(base)
    points = np.concatenate([base, top], axis=1).reshape(-1, 3)
    low, high = np.arange(4), np.arange(4, 8)
    one = np.concatenate([_sides(low, high), quads(high[None]), quads(low[None, ::-1])])
    return Mesh(points, (one[None] + 8 * np.arange(k)[:, None, None]).reshape(-1, 3))


def walls(outer_base: Array, outer_top: Array, inner_base: Array, inner_top: Array) -> Mesh:
    """Close k open-bottom boxes: walls between an outer and an inner ring.

    Parameters
    ----------
    outer_base, outer_top, inner_base, inner_top : (k, 4, 3) array
        Corners, anticlockwise seen from above [m].
    """
    k = len(outer_base)
    points = np.concatenate([outer_base, outer_top, inner_top, inner_base], axis=1).reshape(-1, 3)
    ring = [np.arange(4) + 4 * i for i in range(4)]
    one = np.concatenate([_sides(ring[i], ring[(i + 1) % 4]) for i in range(4)])
    return Mesh(points, (one[None] + 16 * np.arange(k)[:, None, None]).reshape(-1, 3))


def turned(profile: Array, sides: int = SIDES) -> Mesh:
    """Turn a profile about the upright axis.

    Parameters
    ----------
    profile : (p, 2) array
        Radius and height from foot to head; the first and last radius are 0 [m].
    sides : int
        Of the ring.
    """
    angle = 2 * np.pi * np.arange(sides) / sides
    foot, *rings, head = np.asarray(profile, float)
    points = [np.array([[0.0, 0.0, foot[1]]])]
    for radius, height in rings:
        ring = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        points.append(np.column_stack([ring, np.full(sides, height)]))
    points.append(np.array([[0.0, 0.0, head[1]]]))
    index = [1 + sides * k + np.arange(sides) for k in range(len(rings))]
    last = 1 + sides * len(rings)
    faces = [np.column_stack([np.zeros(sides, int), np.roll(index[0], -1), index[0]])]
    faces += [_sides(a, b) for a, b in pairwise(index)]
    faces.append(np.column_stack([index[-1], np.roll(index[-1], -1), np.full(sides, last)]))
    return Mesh(np.concatenate(points), np.concatenate(faces))


def cylinder(radius: float, low: float, high: float, sides: int = SIDES) -> Mesh:
    """Give an upright cylinder."""
    return turned(np.array([[0, low], [radius, low], [radius, high], [0, high]]), sides)


def _along(axis: Array) -> Array:
    """Give the turns (k, 3, 3) that lay the upright axis along directions (k, 3)."""
    aside = np.where(np.abs(axis[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    x = np.cross(aside, axis)
    x /= np.linalg.norm(x, axis=1, keepdims=True)
    return np.stack([x, np.cross(axis, x), axis], axis=2)


def tubes(start: Array, end: Array, radius: Array, sides: int = 6) -> Mesh:
    """Give a closed tube for each of k pieces of pipe that has a length.

    Parameters
    ----------
    start, end : (k, 3) array
        Ends [m].
    radius : (k,) array
        Of each [m].
    """
    way = end - start
    length = np.linalg.norm(way, axis=1)
    k = np.flatnonzero(length > 1e-6)
    if not len(k):
        return Mesh(np.empty((0, 3)), np.empty((0, 3), np.intp))
    one = cylinder(1.0, 0.0, 1.0, sides)
    size = np.column_stack([radius[k], radius[k], length[k]])
    turn = _along(way[k] / length[k, None])
    points = start[k, None] + np.einsum("kij,kpj->kpi", turn, one.points * size[:, None])
    first = len(one.points) * np.arange(len(k))
    return Mesh(points.reshape(-1, 3), (one.triangles + first[:, None, None]).reshape(-1, 3))
