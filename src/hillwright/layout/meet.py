"""Where the ground meets two further conditions: the step that every line and net is made of."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array
from hillwright.terrain.model import Ground

# Both conditions and their gradients at points p (3, n): values (n,) and gradients (3, n).
Conditions = Callable[[Array], tuple[Array, Array, Array, Array]]

# Newton's error squares at each step: once a step is this small against the edge, what is left
# is below 1e-13 of it, and the tangent plane gives the height without another look-up.
_SETTLED = 1e-7
_MOST_STEPS = 16


def meet(ground: Ground, guess: Array, conditions: Conditions, reach: float) -> Array:
    """Find points on the ground that satisfy two conditions, all at once by Newton's method.

    Parameters
    ----------
    ground : Ground
        Height and gradient at plan positions; NaN where it ends.
    guess : (2, n) array
        Plan positions to start from [m].
    conditions : callable
        Gives at points (3, n) the two values that must become zero and their gradients in space.
    reach : float
        Length of an edge; no step is longer than half of it [m].

    Returns
    -------
    (3, n) array
        The points; NaN where the ground ends or the conditions cannot be met [m].
    """
    return meet_and_slope(ground, guess, conditions, reach)[0]


def meet_and_slope(
    ground: Ground, guess: Array, conditions: Conditions, reach: float
) -> tuple[Array, Array]:
    """Find points as :func:`meet` does, and the gradient (2, n) of the ground at them.

    The gradient is that of the last look-up, less than ``1e-7 reach`` away: good for going on
    along a line without another look-up.
    """
    p = np.empty((3, guess.shape[1]))
    p[:2] = guess
    x, y, z = p  # views: one array holds the points throughout
    with np.errstate(all="ignore"):
        for _ in range(_MOST_STEPS):
            z[:], zx, zy = ground.at(x, y)
            f, df, g, dg = conditions(p)
            fx, fy = df[0] + df[2] * zx, df[1] + df[2] * zy
            gx, gy = dg[0] + dg[2] * zx, dg[1] + dg[2] * zy
            det = fx * gy - fy * gx
            dx, dy = (fy * g - gy * f) / det, (gx * f - fx * g) / det
            size = np.maximum(np.abs(dx), np.abs(dy))
            damp = np.minimum(1.0, 0.5 * reach / size)
            x += damp * dx
            y += damp * dy
            if not (size > _SETTLED * reach).any():  # NaN counts as settled: it stays NaN
                break
        z += damp * (zx * dx + zy * dy)
        p[:, ~(size <= _SETTLED * reach)] = np.nan
    return p, np.stack((zx, zy))
