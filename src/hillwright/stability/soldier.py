"""Posts in a row that retain soil between them: soldier piles, of a garden or of a road."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, fitting, soil_weight


class SoldierPile(NamedTuple):
    """What one post of the row needs."""

    balance_depth: Array
    depth: Array
    zero_shear: Array
    moment: Array
    shear: Array


@method(
    title="Posts that retain soil between them (cantilever soldier piles)",
    equation="moment about the tip: 0.5 Ka g H^2 s (D + H/3) + q H s (D + H/2) + Ka g H b D^2/2"
    " + Ka g b D^3/6 = Kp g a b D^3/6",
    source="Caltrans, 2025, Trenching and Shoring Manual, Example 7-1B",
)
def soldier_pile(
    retained_height: ArrayLike,
    unit_weight: ArrayLike,
    active: ArrayLike,
    passive: ArrayLike,
    spacing: ArrayLike,
    width: ArrayLike,
    arching: ArrayLike = 1.0,
    lateral_surcharge: ArrayLike = 0.0,
    depth_factor: ArrayLike = 1.2,
) -> SoldierPile:
    """Give embedment, moment and shear of a post that holds soil at its spacing.

    Parameters
    ----------
    retained_height : (...) array
        Of the soil above the lower ground, > 0. [m]
    unit_weight : (...) array
        Of the soil, > 0. [N/m3]
    active, passive : (...) array
        Earth pressure coefficients, active below passive. [-]
    spacing : (...) array
        Of the posts, > 0. [m]
    width : (...) array
        Of the post or its filled hole below the ground, > 0. [m]
    arching : (...) array
        Widths of ground that press back on one post (0.08 a degree of friction, at most 3). [-]
    lateral_surcharge : (...) array
        Pressure on the wall from what stands above, over the retained height. [Pa]
    depth_factor : (...) array
        On the depth of balance, >= 1; 1.2 by the manual. [-]

    Returns
    -------
    balance_depth : (...) array
        Where moments balance: D0. [m]
    depth : (...) array
        Embedment with its factor. [m]
    zero_shear : (...) array
        Depth below the lower ground where the shear is zero. [m]
    moment : (...) array
        Largest, there. [N m]
    shear : (...) array
        Largest, above or below that depth. [N]

    Raises
    ------
    OutOfRange
        Posts that overlap, passive not above active, a ground that can give no balance.

    Notes
    -----
    Level ground before the wall, drained, one soil. A row on a face has no such passive wedge:
    halve `passive`.
    """
    fitting(**locals())
    h, g = above_zero("retained_height", retained_height), soil_weight(unit_weight)
    ka, kp = above_zero("active", active), above_zero("passive", passive)
    s, b, n = (
        above_zero("spacing", spacing),
        above_zero("width", width),
        above_zero("arching", arching),
    )
    q, more = (
        at_least_zero("lateral_surcharge", lateral_surcharge),
        above_zero("depth_factor", depth_factor),
    )
    _sensible(ka, kp, s, b, n, more)
    front = kp * n - ka  # passive less active, per width of post
    # forces above the lower ground, and their moment about it
    top, turn = (0.5 * ka * g * h + q) * h * s, (ka * g * h / 6 + q / 2) * h**2 * s
    side = ka * g * h * b  # per depth below the ground
    depth = _root(g * b * front / 6, side / 2, top, turn)
    k = g * b * front / 2
    y = (side + np.sqrt(side**2 + 4 * k * top)) / (2 * k)
    moment = turn + top * y + side * y**2 / 2 - k * y**3 / 3
    tip = k * depth**2 - side * depth - top
    return SoldierPile(*np.broadcast_arrays(depth, more * depth, y, moment, np.maximum(tip, top)))


def _sensible(ka: Array, kp: Array, s: Array, b: Array, n: Array, more: Array) -> None:
    if (kp <= ka).any():
        raise OutOfRange("passive", "is not above active", "give Kp over 1 and Ka below 1")
    if (s < b).any():
        raise OutOfRange("spacing", "is less than the width of a post", "set the posts apart")
    if (n < 1).any():
        raise OutOfRange("arching", "is below 1", "give 1 for a post that presses on its own width")
    if (n * b > s * (1 + 1e-9)).any():
        raise OutOfRange(
            "arching",
            "more ground would press back than there is between posts",
            "give the spacing over the width at most",
        )
    if (more < 1).any():
        raise OutOfRange("depth_factor", "is below 1", "give 1.2, as the manual does")


def _root(a3: Array, a2: Array, a1: Array, a0: Array) -> Array:
    """Give the one positive root of a3 x^3 = a2 x^2 + a1 x + a0, all at least 0 and a3 above."""
    p, q, r = a2 / a3, a1 / a3, a0 / a3
    x = np.asarray(p + np.sqrt(q) + np.cbrt(r))  # never below the root
    for _ in range(100):
        step = (((x - p) * x - q) * x - r) / ((3 * x - 2 * p) * x - q)
        x = x - step
        if np.all(np.abs(step) <= 1e-14 * x):
            break
    return np.asarray(x)
