"""Factors of safety of cut circles with side forces that lean more here than there.

Morgenstern and Price: the shear between slices is lambda f(x) times the thrust between them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.stability.slices import Slices
from hillwright.stability.spencer import loads

FUNCTIONS: dict[str, Callable[[Array], Array]] = {
    "half-sine": lambda x: np.sin(np.pi * x),
    "constant": np.ones_like,
}
_ROUNDS, _SETTLED, _NUDGE = 60, 1e-9, 1e-6


def morgenstern_price(s: Slices, start: Array, function: str = "half-sine") -> Array:
    """Give the factor by Morgenstern and Price's method, by moments and forces.

    Parameters
    ----------
    s : Slices
        k circles.
    start : (k,) array
        Bishop's factors, to begin from. [-]
    function : str
        How the lean of the side forces runs from foot to head: "half-sine" or "constant".

    Returns
    -------
    (k,) array
        Factor of safety; infinite where nothing balances. [-]

    Raises
    ------
    OutOfRange
        A function of another name.
    """
    if function not in FUNCTIONS:
        right = did_you_mean(function, FUNCTIONS, f"give {' or '.join(FUNCTIONS)}")
        raise OutOfRange("side_force", f"{function!r} is not known", right)
    along = (s.edge - s.edge[:, :1]) / (s.edge[:, -1:] - s.edge[:, :1])
    f = FUNCTIONS[function](along)
    usable = np.isfinite(start)
    factor = np.where(usable, start, 1.0)
    share = np.full_like(factor, 0.4)
    clay = (s.tan <= 0).all(axis=1)
    for _ in range(_ROUNDS):
        here = _unbalance(s, f, factor, share)
        df, ds = _NUDGE * factor, np.full_like(share, _NUDGE)
        a, d = (
            (p - q) / df for p, q in zip(_unbalance(s, f, factor + df, share), here, strict=True)
        )
        b, e = (
            (p - q) / ds for p, q in zip(_unbalance(s, f, factor, share + ds), here, strict=True)
        )
        det = a * e - b * d
        det = np.where(np.abs(det) > 1e-30, det, 1e-30)
        step_f = (-here[0] * e + here[1] * b) / det
        step_s = (-here[1] * a + here[0] * d) / det
        limit = np.minimum(1.0, 0.3 / np.maximum(np.abs(step_s), 1e-30))
        limit = np.minimum(limit, 0.3 * factor / np.maximum(np.abs(step_f), 1e-30))
        factor, share = factor + limit * step_f, share + limit * step_s
        settled = (np.abs(step_f) <= 1e-7 * factor) & (clay | (np.abs(step_s) <= 1e-5))
        if (settled | ~usable).all():
            break
    good = usable & settled & (factor > 1e-6) & (clay | (np.abs(share) < 5))
    return np.where(good, factor, np.inf)


def _unbalance(s: Slices, f: Array, factor: Array, share: Array) -> tuple[Array, Array]:
    """Give the moments and forces left over, (k,) each [N/m]."""
    weight, push, driving = loads(s, factor)
    inverse = (1 / factor)[:, None]
    t = s.tan * inverse
    c = (s.cohesive - s.uplift * s.tan) * inverse
    m = s.cos + t * s.sin
    slant = (s.sin - t * s.cos) / m
    given = push - c * s.cos + slant * (weight - c * s.sin)
    left, right = share[:, None] * f[:, :-1], share[:, None] * f[:, 1:]
    under = 1 + slant * right
    gain = 1 + slant * (left - right) / under
    loss = given / under
    # the thrust between slices, from the foot up: each from the one before it
    thrust = np.zeros_like(f)
    for i in range(gain.shape[1]):
        thrust[:, i + 1] = gain[:, i] * thrust[:, i] - loss[:, i]
    lift = left * thrust[:, :-1] - right * thrust[:, 1:]
    shear = (c * s.cos + t * (weight - lift)) / m
    return shear.sum(axis=1) - driving, -thrust[:, -1]
