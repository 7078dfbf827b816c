"""Factors of safety of cut circles by moments about the centre: ordinary and Bishop's simplified.

Undefined factors (a mass that does not want to slide, a base too flat against its friction) come
back as infinite: the search passes over them, the given circle is refused.
"""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.stability.slices import Slices

SMALLEST_M = 0.2  # below this the normal force on a base is made of its own error (notes of trade)
_LEAST = 1e-6  # of the weight: what drives less does not drive
_ROUNDS, _SETTLED = 20, 1e-7  # of a step that squares the error: what is left is far less


def rises_at_foot(s: Slices) -> Mask:
    """Tell which bases can make m_alpha too small: with friction, and rising against the slide.

    At a steep head m_alpha is small too, but there it never passes 0 and the shear stays bounded.
    """
    return np.asarray((s.tan > 0) & (s.sin < 0) & (s.width > 0))


def _pulls(s: Slices) -> tuple[Array | float, Array | float, Array | float]:
    """Give (moment against driving, moment with the strength, weight) of the anchors."""
    if s.pull is None:
        return 0.0, 0.0, 0.0
    if s.pull.resisting:
        return 0.0, s.pull.moment, s.pull.down
    return s.pull.moment, 0.0, s.pull.down


def ordinary(s: Slices) -> Array:
    """Give the factor by the ordinary method (Fellenius), pore pressure in cos-squared form.

    Parameters
    ----------
    s : Slices
        k circles.

    Returns
    -------
    (k,) array
        Factor of safety; infinite where nothing drives. [-]
    """
    against, beside, down = _pulls(s)
    level: Array | float = 0.0 if s.pull is None else s.pull.level
    normal = (s.weight + down) * s.cos - (s.push - level) * s.sin - s.uplift * s.cos**2
    strength = (s.cohesive + normal * s.tan).sum(axis=1) + beside
    driving = s.driving - against
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(driving > 0, strength / driving, np.inf)


def bishop(s: Slices) -> Array:
    """Give the factor by Bishop's simplified method.

    Parameters
    ----------
    s : Slices
        k circles.

    Returns
    -------
    (k,) array
        Factor of safety; infinite where nothing drives, where it does not settle above 0, or
        where m_alpha of a base that rises at the foot is under 0.2. [-]
    """
    against, beside, down = _pulls(s)
    driving = np.asarray(s.driving - against)
    slides = driving > _LEAST * s.weight.sum(axis=1)
    d = np.where(slides, driving, 1.0)
    divided = s.pull is not None and s.pull.resisting
    known = s.cohesive * s.cos + (s.weight - s.uplift * s.cos) * s.tan
    held = down * s.tan
    rub = s.sin * s.tan
    factor = np.maximum(ordinary(s), 0.05)
    factor = np.where(slides & np.isfinite(factor), factor, 1.0)
    for _ in range(_ROUNDS):
        inverse = 1 / factor
        above = known + held * (inverse[:, None] if divided else 1.0)
        m = s.cos + rub * inverse[:, None]
        each = above / m
        right = (each.sum(axis=1) + beside) / d
        bend = (each * rub / m).sum(axis=1) * inverse**2 / d
        step = (factor - right) / np.where(np.abs(1 - bend) > 0.2, 1 - bend, 0.2)
        new = np.clip(factor - step, 0.3 * factor, 3 * factor)
        settled = np.abs(new - factor) <= _SETTLED * factor
        factor = new
        if settled.all():
            break
    m = s.cos + rub / factor[:, None]
    sound = np.where(rises_at_foot(s), m, 1.0).min(axis=1) >= SMALLEST_M
    good = slides & settled & sound & (factor > 1e-6)
    return np.where(good, factor, np.inf)
