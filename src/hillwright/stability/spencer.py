"""Factors of safety of cut circles by moments and forces: Spencer's method.

All side forces lean at one angle; that angle and the factor are found together so that moments
about the centre and forces along the level both balance.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.stability.slices import Slices

_ROUNDS, _SETTLED = 20, 1e-8
_LEAST = 0.05  # of what the side forces are divided by: nearer to 0 they are without meaning
_STEEPEST = 3.0  # tangent of the side forces' lean; beyond this it is no answer


class Balanced(NamedTuple):
    """What balances k circles."""

    factor: Array  # (k,) infinite where nothing balances [-]
    lean: Array  # (k,) of the side forces from level [rad]


def loads(s: Slices, factor: Array) -> tuple[Array, Array, Array]:
    """Give weights and level pushes with the anchors' pull in them, and the driving moment."""
    if s.pull is None:
        return s.weight, s.push, s.driving
    share = 1 / factor if s.pull.resisting else np.ones_like(factor)
    held = share[:, None]
    return (
        s.weight + s.pull.down * held,
        s.push - s.pull.level * held,
        s.driving - s.pull.moment * share,
    )


def spencer(s: Slices, start: Array) -> Balanced:
    """Give the factor and the lean of the side forces by Spencer's method.

    Parameters
    ----------
    s : Slices
        k circles.
    start : (k,) array
        Bishop's factors, to begin from. [-]

    Returns
    -------
    Balanced
        Factors and leans, (k,) each.
    """
    usable = np.isfinite(start)
    f = np.where(usable, start, 1.0)
    chord = s.sin.mean(axis=1)
    lean = 0.6 * chord / np.sqrt(np.maximum(1 - chord**2, 0.04))
    clay = (s.tan <= 0).all(axis=1)  # moments alone give the factor; the lean does not touch it
    real = s.width > 0
    for _ in range(_ROUNDS):
        weight, push, driving = loads(s, f)
        inverse = (1 / f)[:, None]
        t, tilt = s.tan * inverse, lean[:, None]
        c = (s.cohesive - s.uplift * s.tan) * inverse
        m = s.cos + t * s.sin
        slant = s.sin - t * s.cos
        under = m + tilt * slant
        under = np.where(np.abs(under) < 1e-3, 1e-3, under)
        square = weight * s.cos - push * s.sin
        side = (weight * s.sin + push * s.cos - c - t * square) / under
        side_lean = -side * slant / under
        bend = (-s.sin + tilt * s.cos) * t * inverse
        side_f = ((c + t * square) * inverse - side * bend) / under
        shear = (c * s.cos + t * (weight - tilt * side)) / m
        shear_lean = -t * (side + tilt * side_lean) / m
        shear_f = (-shear * m * inverse - t * tilt * side_f + shear * s.sin * t * inverse) / m
        moments, forces = shear.sum(axis=1) - driving, side.sum(axis=1)
        a, b = shear_f.sum(axis=1), shear_lean.sum(axis=1)
        d, e = side_f.sum(axis=1), side_lean.sum(axis=1)
        det = a * e - b * d
        det = np.where(np.abs(det) > 1e-30, det, 1e-30)
        df = (-moments * e + forces * b) / det
        dl = (-forces * a + moments * d) / det
        limit = np.minimum(1.0, 0.3 / np.maximum(np.abs(dl), 1e-30))
        limit = np.minimum(limit, 0.3 * f / np.maximum(np.abs(df), 1e-30))
        f, lean = f + limit * df, lean + limit * dl
        settled = (np.abs(df) <= _SETTLED * f) & (clay | (np.abs(dl) <= 1e-6))
        if (settled | ~usable).all():
            break
    t = s.tan / f[:, None]
    under = s.cos + t * s.sin + lean[:, None] * (s.sin - t * s.cos)
    sound = np.where(real & (s.tan > 0), under, 1.0).min(axis=1) > _LEAST
    good = usable & settled & (f > 1e-6) & (sound & (np.abs(lean) < _STEEPEST) | clay)
    return Balanced(np.where(good, f, np.inf), np.where(good, np.arctan(lean), np.nan))
