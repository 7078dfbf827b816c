"""Earth pressure on a wall: at rest, Rankine, Coulomb, and with an earthquake.

The backfill slopes up from the wall at ``backfill``; the back of the wall leans from upright by
``batter``, positive when its top leans away from the fill. Where the fill is steeper than its
friction angle it does not stand by itself and there is no such figure: the methods refuse.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import (
    above_zero,
    at_least_zero,
    fitting,
    friction_angle,
    ground_slope,
    number,
    soil_weight,
)


class Rankine(NamedTuple):
    """Coefficients for level ground."""

    active: Array
    passive: Array
    at_rest: Array


class SeismicThrust(NamedTuple):
    """Thrust with an earthquake."""

    coefficient: Array
    inertia_angle: Array
    thrust: Array
    static_thrust: Array


class Thrust(NamedTuple):
    """Thrust of soil and of what stands on it, on one metre of wall."""

    soil: Array
    surcharge: Array
    moment: Array


@method(
    title="Earth pressure coefficients for level ground",
    equation="Ka = tan(45 - p/2)^2; Kp = tan(45 + p/2)^2; K0 = 1 - sin p",
    source="Rankine, 1857; Jaky, 1944 (K0), as in FHWA GEC 11 and the Caltrans manual, 2025",
)
def rankine_level(friction: ArrayLike) -> Rankine:
    """Give the coefficients of a smooth upright wall and level ground.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the soil, 0 to 50 deg. [rad]

    Returns
    -------
    active : (...) array
        Where the wall can move away. [-]
    passive : (...) array
        Where the wall is pushed into the soil. [-]
    at_rest : (...) array
        Where nothing moves; soil that was not compacted or overloaded. [-]

    Raises
    ------
    OutOfRange
        Friction below 0 or over 50 deg.
    """
    p = friction_angle(friction)
    kp = np.tan(np.pi / 4 + p / 2) ** 2
    return Rankine(np.asarray(1 / kp), np.asarray(kp), np.asarray(1 - np.sin(p)))


@method(
    title="Rankine active coefficient with sloping backfill",
    equation="Ka = cos b (cos b - sqrt(cos^2 b - cos^2 p))/(cos b + sqrt(cos^2 b - cos^2 p))",
    source="Rankine, as in FHWA, 2015, GEC 7 (FHWA-NHI-14-007), eq. 5.22",
)
def rankine_sloping(friction: ArrayLike, backfill: ArrayLike) -> Array:
    """Give the active coefficient behind an upright wall; the thrust is parallel to the slope.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the backfill, 0 to 50 deg. [rad]
    backfill : (...) array
        Its slope up from the wall, 0 to the friction angle. [rad]

    Returns
    -------
    (...) array
        Active coefficient. [-]

    Raises
    ------
    OutOfRange
        Backfill steeper than its friction angle, or falling from the wall.

    Notes
    -----
    Not defined for a backfill steeper than its friction angle: it slides by itself, wall or no
    wall. At the friction angle it is cos p, more than twice that of level ground.
    """
    fitting(**locals())
    p, b = _stands(friction, backfill)
    root = np.sqrt(np.maximum(np.cos(b) ** 2 - np.cos(p) ** 2, 0.0))
    return np.asarray(np.cos(b) * (np.cos(b) - root) / (np.cos(b) + root))


@method(
    title="Coulomb active coefficient",
    equation="Ka = cos^2(p-t)/(cos^2 t cos(d+t) (1 + r)^2);"
    " r^2 = sin(p+d) sin(p-b)/(cos(d+t) cos(t-b))",
    source="Coulomb, as in Das, Principles of Foundation Engineering (from memory)",
)
def coulomb_active(
    friction: ArrayLike,
    wall_friction: ArrayLike = 0.0,
    backfill: ArrayLike = 0.0,
    batter: ArrayLike = 0.0,
) -> Array:
    """Give the active coefficient behind a rough wall; the thrust leans on it at its friction.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the backfill, 0 to 50 deg. [rad]
    wall_friction : (...) array
        Between backfill and wall, 0 to the friction angle. [rad]
    backfill : (...) array
        Slope of the backfill up from the wall, 0 to the friction angle. [rad]
    batter : (...) array
        Lean of the back of the wall from upright, positive when its top leans outward. [rad]

    Returns
    -------
    (...) array
        Active coefficient. [-]

    Raises
    ------
    OutOfRange
        Backfill steeper than its friction angle; wall friction above that of the soil.

    Notes
    -----
    A plane wedge. Not defined for a backfill steeper than its friction angle.
    """
    fitting(**locals())
    p, d, b, t = _walled(friction, wall_friction, backfill, batter)
    return _wedge(p, d, b, t, np.zeros(()))


@method(
    title="Active coefficient with an earthquake: Mononobe-Okabe",
    equation="KAE = cos^2(p-q-t)/(cos q cos^2 t cos(d+t+q) (1 + r)^2); tan q = kh/(1-kv);"
    " r^2 = sin(p+d) sin(p-q-b)/(cos(d+t+q) cos(b-t))",
    source="Mononobe and Okabe, as in FHWA, 2009, GEC 11 (FHWA-NHI-10-025), Example E7",
)
def mononobe_okabe(
    friction: ArrayLike,
    wall_friction: ArrayLike,
    horizontal: ArrayLike,
    vertical: ArrayLike = 0.0,
    backfill: ArrayLike = 0.0,
    batter: ArrayLike = 0.0,
) -> Array:
    """Give the active coefficient with the earthquake's inertia in the wedge.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the backfill, 0 to 50 deg. [rad]
    wall_friction : (...) array
        Between backfill and wall, 0 to the friction angle. [rad]
    horizontal, vertical : (...) array
        Earthquake coefficients kh, >= 0, and kv, up is positive, under 1. [-]
    backfill : (...) array
        Slope of the backfill up from the wall, >= 0. [rad]
    batter : (...) array
        Lean of the back of the wall from upright, positive when its top leans outward. [rad]

    Returns
    -------
    (...) array
        Active coefficient with the earthquake; with kh and kv 0 it is Coulomb's. [-]

    Raises
    ------
    OutOfRange
        Slope and inertia together exceed the friction angle: the slope itself yields.

    Notes
    -----
    A dry plane wedge behind a wall that can move.
    """
    fitting(**locals())
    p, d, b, t = _walled(friction, wall_friction, backfill, batter)
    return _wedge(p, d, b, t, _inertia(p, b, horizontal, vertical))


@method(
    title="Active thrust with an earthquake: Mononobe-Okabe",
    equation="PAE = 0.5 g H^2 (1 - kv) KAE; static part 0.5 g H^2 Ka (Coulomb)",
    source="Mononobe and Okabe, as in FHWA, 2009, GEC 11 (FHWA-NHI-10-025), Example E7",
)
def seismic_thrust(
    friction: ArrayLike,
    wall_friction: ArrayLike,
    horizontal: ArrayLike,
    unit_weight: ArrayLike,
    height: ArrayLike,
    vertical: ArrayLike = 0.0,
    backfill: ArrayLike = 0.0,
    batter: ArrayLike = 0.0,
) -> SeismicThrust:
    """Give the thrust on one metre of wall with an earthquake.

    Parameters
    ----------
    friction : (...) array
        Friction angle of the backfill, 0 to 50 deg. [rad]
    wall_friction : (...) array
        Between backfill and wall, 0 to the friction angle. [rad]
    horizontal : (...) array
        Earthquake coefficient kh, >= 0. [-]
    unit_weight : (...) array
        Of the backfill, > 0. [N/m3]
    height : (...) array
        Of the wall, > 0. [m]
    vertical : (...) array
        Earthquake coefficient kv, up is positive, under 1. [-]
    backfill : (...) array
        Slope of the backfill up from the wall, >= 0. [rad]
    batter : (...) array
        Lean of the back of the wall from upright, positive when its top leans outward. [rad]

    Returns
    -------
    coefficient : (...) array
        KAE. [-]
    inertia_angle : (...) array
        Of the inertia against the weight. [rad]
    thrust : (...) array
        Whole thrust, static and seismic. [N/m]
    static_thrust : (...) array
        What is there without the earthquake. [N/m]

    Raises
    ------
    OutOfRange
        Slope and inertia together exceed the friction angle: the slope itself yields.

    Notes
    -----
    A dry plane wedge behind a wall that can move. The seismic part acts at about 0.6 of the
    height, the static one at a third.
    """
    fitting(**locals())
    p, d, b, t = _walled(friction, wall_friction, backfill, batter)
    q = _inertia(p, b, horizontal, vertical)
    weight = 0.5 * soil_weight(unit_weight) * above_zero("height", height) ** 2
    kae = _wedge(p, d, b, t, q)
    thrust = weight * (1 - np.asarray(vertical, float)) * kae
    static = weight * _wedge(p, d, b, t, np.zeros(()))
    return SeismicThrust(*np.broadcast_arrays(kae, q, thrust, static))


@method(
    title="Thrust of soil and surcharge on a wall",
    equation="F1 = 0.5 K g H^2 at H/3; F2 = K q H at H/2; M = F1 H/3 + F2 H/2",
    source="statics; FHWA, 2009, GEC 11 (FHWA-NHI-10-025), Example E4",
)
def wall_thrust(
    coefficient: ArrayLike, unit_weight: ArrayLike, height: ArrayLike, surcharge: ArrayLike = 0.0
) -> Thrust:
    """Give the thrust on one metre of wall and its moment about the foot.

    Parameters
    ----------
    coefficient : (...) array
        Of earth pressure, > 0. [-]
    unit_weight : (...) array
        Of the soil, > 0. [N/m3]
    height : (...) array
        Of the wall, > 0. [m]
    surcharge : (...) array
        Pressure on the ground behind it, >= 0. [Pa]

    Returns
    -------
    soil : (...) array
        Thrust of the soil. [N/m]
    surcharge : (...) array
        Thrust of the surcharge. [N/m]
    moment : (...) array
        Of both about the foot, per metre of wall. [N]

    Raises
    ------
    OutOfRange
        A coefficient, weight or height of zero or less, a negative surcharge.

    Notes
    -----
    Drained soil without cohesion; water behind the wall comes on top.
    """
    fitting(**locals())
    k, h = above_zero("coefficient", coefficient), above_zero("height", height)
    soil = 0.5 * k * soil_weight(unit_weight) * h**2
    top = k * at_least_zero("surcharge", surcharge) * h
    return Thrust(*np.broadcast_arrays(soil, top, soil * h / 3 + top * h / 2))


def _stands(friction: ArrayLike, backfill: ArrayLike) -> tuple[Array, Array]:
    p, b = friction_angle(friction), ground_slope(backfill, "backfill")
    p, b = np.broadcast_arrays(p, b)
    if (bad := np.atleast_1d(b > p + 1e-12)).any():
        k = int(np.flatnonzero(bad)[0])
        steep, angle = np.degrees([np.atleast_1d(b)[k], np.atleast_1d(p)[k]])
        raise OutOfRange(
            "backfill" if p.ndim == 0 else f"backfill, value {k + 1}",
            f"{steep:.1f} deg is steeper than its friction angle {angle:.1f} deg: it does not"
            " stand, and no wall pressure is defined",
            "flatten it, or ask a geotechnical engineer",
        )
    return p, b


def _walled(
    friction: ArrayLike, wall_friction: ArrayLike, backfill: ArrayLike, batter: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    p, b = _stands(friction, backfill)
    d, t = friction_angle(wall_friction, "wall_friction"), number("batter", batter)
    if (d > p + 1e-12).any():
        right = "give the friction angle of the soil or less"
        raise OutOfRange("wall_friction", "is more than the friction of the soil", right)
    if (np.abs(t) > np.radians(45)).any():
        raise OutOfRange("batter", "leans more than 45 deg", "this is a slope, not a wall")
    return p, d, b, t


def _inertia(p: Array, b: Array, horizontal: ArrayLike, vertical: ArrayLike) -> Array:
    kh, kv = at_least_zero("horizontal", horizontal), number("vertical", vertical)
    if (np.abs(kv) >= 1).any():
        raise OutOfRange("vertical", "lifts the ground off itself", "give less than 1")
    q = np.asarray(np.arctan2(kh, 1 - kv))
    if (q + b > p + 1e-12).any():
        raise OutOfRange(
            "horizontal",
            "slope and inertia together exceed the friction angle: the slope itself yields",
            "flatten the backfill, or ask a geotechnical engineer",
        )
    return q


def _wedge(p: Array, d: Array, b: Array, t: Array, q: Array) -> Array:
    # the sine is at least 0 by the checks before; rounding may take it below
    inner = np.sin(p + d) * np.maximum(np.sin(p - q - b), 0.0)
    root = np.sqrt(inner / (np.cos(d + t + q) * np.cos(b - t)))
    below = np.cos(q) * np.cos(t) ** 2 * np.cos(d + t + q) * (1 + root) ** 2
    return np.asarray(np.cos(p - q - t) ** 2 / below)
