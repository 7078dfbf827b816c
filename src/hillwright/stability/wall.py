"""The bottom row as a low wall: weight against the thrust of what it retains.

Moments are about the toe, the lower outer edge. The base falls outward by ``tilt`` where the
cells lie on the slope as it is; 0 is a levelled bench.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.earthpressure import coulomb_active
from hillwright.stability.given import (
    above_zero,
    at_least_zero,
    fitting,
    friction_angle,
    ground_slope,
    soil_weight,
)


class LowWall(NamedTuple):
    """Forces, moments and factors of one metre of a low wall."""

    weight: Array
    soil_thrust: Array
    surcharge_thrust: Array
    weight_moment: Array
    soil_moment: Array
    surcharge_moment: Array
    sliding: Array
    overturning: Array
    eccentricity: Array
    normal: Array
    shear: Array


@method(
    title="A low wall of filled cells: forces, moments, sliding and overturning",
    equation="V = g B H; F1 = 0.5 Ka gr H^2 at H/3; F2 = Ka q H at H/2; sliding N tan d/S;"
    " overturning sum MR/sum MO; e = B/2 - (MR - MO)/N",
    source="FHWA, 2009, GEC 11 (FHWA-NHI-10-025), Example E4; statics on a base that tilts",
    symbols={
        "V": "weight of the block",
        "g": "block_weight",
        "B": "base",
        "H": "height",
        "Ka": "coefficient of active pressure",
        "gr": "retained_weight",
        "q": "surcharge",
        "F1": "thrust of the soil",
        "F2": "thrust of the surcharge",
        "N": "load square to the base",
        "S": "load along the base",
        "d": "base_friction",
        "MR": "moments that hold",
        "MO": "moments that tip",
        "e": "eccentricity",
    },
)
def low_wall(
    height: ArrayLike,
    base: ArrayLike,
    block_weight: ArrayLike,
    retained_weight: ArrayLike,
    retained_friction: ArrayLike,
    base_friction: ArrayLike,
    surcharge: ArrayLike = 0.0,
    backfill: ArrayLike = 0.0,
    tilt: ArrayLike = 0.0,
) -> LowWall:
    """Weigh a block of filled cells against the soil behind it.

    Parameters
    ----------
    height : (...) array
        Of the block, square to its base, > 0. [m]
    base : (...) array
        Its width from toe to heel, > 0. [m]
    block_weight : (...) array
        Unit weight of the filled cells; the dry one is the cautious one here. [N/m3]
    retained_weight : (...) array
        Unit weight of the soil behind; the soaked one is the cautious one. [N/m3]
    retained_friction : (...) array
        Its friction angle, 0 to 50 deg. [rad]
    base_friction : (...) array
        Under the base: the least of block, ground and what lies between. [rad]
    surcharge : (...) array
        Pressure on the ground behind, >= 0; it adds no weight to the block. [Pa]
    backfill : (...) array
        Slope of the ground behind, 0 to its friction angle. [rad]
    tilt : (...) array
        Fall of the base outward, 0 to less than 45 deg. [rad]

    Returns
    -------
    weight : (...) array
        Of the block: V1. [N/m]
    soil_thrust : (...) array
        Of the soil; on a level base parallel to the backfill: F1. [N/m]
    surcharge_thrust : (...) array
        Of the surcharge: F2. [N/m]
    weight_moment : (...) array
        Of the weight about the toe, per metre. [N]
    soil_moment, surcharge_moment : (...) array
        Of the thrusts about the toe, per metre. [N]
    sliding : (...) array
        Factor against sliding on the base, the passive side ignored. [-]
    overturning : (...) array
        Factor against tipping over the toe. [-]
    eccentricity : (...) array
        Of the load from the middle of the base, towards the toe is positive. [m]
    normal, shear : (...) array
        Load square to the base and along it. [N/m]

    Raises
    ------
    OutOfRange
        Backfill steeper than its friction angle, a weight or length of zero or less.

    Notes
    -----
    Drained, no wall friction, no passive resistance before the toe (it may be dug away), cells
    that act as one block, its face square to its base. Not for walls over 4 ft or with
    anything on the ground above: there an engineer is needed whatever the factors say.
    """
    fitting(**locals())
    h, b = above_zero("height", height), above_zero("base", base)
    t, q = ground_slope(tilt, "tilt"), at_least_zero("surcharge", surcharge)
    if (t >= np.radians(45)).any():
        raise OutOfRange("tilt", "is 45 deg or more", "level a bench for the bottom row")
    d = friction_angle(base_friction, "base_friction")
    # on a level base this is Rankine's coefficient: Coulomb's with the wall friction at the slope
    ka = coulomb_active(retained_friction, backfill, backfill, t)
    upright = h * np.cos(t)
    v = soil_weight(block_weight, "block_weight") * b * h
    f1 = 0.5 * ka * soil_weight(retained_weight, "retained_weight") * upright**2
    f2 = ka * q * upright
    # lengths along and square to the base; the thrust leans from the base by the backfill's slope
    lean = np.asarray(backfill, float)
    along, into = np.cos(lean), np.sin(lean)
    resisting = v * (np.cos(t) * b / 2 - np.sin(t) * h / 2)
    m1, m2 = f1 * (along * h / 3 - into * b), f2 * (along * h / 2 - into * b)
    normal = v * np.cos(t) + (f1 + f2) * into
    shear = v * np.sin(t) + (f1 + f2) * along
    with np.errstate(divide="ignore", invalid="ignore"):
        sliding = np.maximum(normal, 0.0) * np.tan(d) / shear
        helping = v * np.cos(t) * b / 2 + (f1 + f2) * into * b
        against = v * np.sin(t) * h / 2 + (f1 * h / 3 + f2 * h / 2) * along
        overturning = helping / against
        e = b / 2 - (resisting - m1 - m2) / normal
    return LowWall(
        *np.broadcast_arrays(v, f1, f2, resisting, m1, m2, sliding, overturning, e, normal, shear)
    )
