"""A layer of soil of finite length on a slope: an active wedge above, a passive wedge at the toe.

Two wedges meet at an upright face where the slope meets level ground. Thickness and water height
are measured **square to the slope**, the length along it. Forces are per metre of width.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.column import check_saturated, over
from hillwright.stability.given import (
    WATER,
    above_zero,
    at_least_zero,
    friction_angle,
    ground_slope,
    soil_weight,
    water_within,
)

_SOURCE = (
    "Koerner and Soong, 1998, Analysis and design of veneer cover soils, Proc. 6th Int. Conf. on "
    "Geosynthetics (from memory)"
)


class Wedges(NamedTuple):
    """The two wedges of a cover: weights and forces on one metre of width."""

    slope: Array
    tan_friction: Array
    pull: Array  # weight of the active wedge along the slope, less water at its foot [N/m]
    base: Array  # what its base can hold: friction and adhesion [N/m]
    toe: Array  # what the passive wedge holds by itself: its cohesion and friction [N/m]
    toe_water: Array  # thrust of the water on the face between the wedges [N/m]
    active_weight: Array
    passive_weight: Array


class Veneer(NamedTuple):
    """Coefficients of the quadratic in the factor, and the factor."""

    a: Array
    b: Array
    c: Array
    factor: Array
    without_toe: Array
    active_weight: Array
    passive_weight: Array


@method(
    title="Layer of soil on a slope with toe support and tendons: two wedges",
    equation=(
        "a F^2 + b F + c = 0; a = [(WA sin(s) - Uh cos(s) - T) cos(s) + Uh] sin(s); "
        "b = -[(WA sin(s) - Uh cos(s) - T) sin(s) tan(p) + (NA tan(d) + Ca) cos(s) + C + "
        "(WP - Uh / tan(s)) tan(p)] sin(s); c = (NA tan(d) + Ca) sin(s)^2 tan(p); "
        "WA = g h^2 (L/h - 1/sin(s) - tan(s)/2); NA = WA cos(s) less its water; "
        "WP = g h^2 / sin(2 s); Ca = ca (L - h/sin(s)); C = c h / sin(s); Uh = gw hw^2 / 2"
    ),
    source=_SOURCE,
)
def veneer(
    length: ArrayLike,
    thickness: ArrayLike,
    slope: ArrayLike,
    unit_weight: ArrayLike,
    friction: ArrayLike,
    interface_friction: ArrayLike,
    cohesion: ArrayLike = 0.0,
    adhesion: ArrayLike = 0.0,
    tension: ArrayLike = 0.0,
    saturated_weight: ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
) -> Veneer:
    """Give the factor of safety of a cover that slides on the old ground or on a sheet.

    Parameters
    ----------
    length : (...) array
        Of the cover along the slope. [m]
    thickness : (...) array
        Of the cover, square to the slope. [m]
    slope : (...) array
        Ground from horizontal, above 0 to less than pi/2. [rad]
    unit_weight : (...) array
        Of the moist cover. [N/m3]
    friction : (...) array
        Friction angle of the cover itself, which the toe wedge shears through. [rad]
    interface_friction : (...) array
        Friction angle between the cover and what it lies on. [rad]
    cohesion, adhesion : (...) array, optional
        Of the cover itself, and between it and what it lies on. [Pa]
    tension : (...) array, optional
        Force of tendons up the slope: number per metre times allowable force of one. [N/m]
    saturated_weight : (...) array, optional
        Of the cover below the water; left out, the same as above it. [N/m3]
    water_height : (...) array, optional
        Water that flows in the cover, square to the slope, 0 to the thickness. [m]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    a, b, c : (...) array
        Coefficients of the quadratic, as the source prints them. [N/m]
    factor : (...) array
        Its larger root: factor on the strength; infinite where the tendons carry everything. [-]
    without_toe : (...) array
        Factor with the toe counted as nothing: what is left when it is dug or washed away. [-]
    active_weight, passive_weight : (...) array
        Of the wedge on the slope and of the one at its toe. [N/m]

    Raises
    ------
    OutOfRange
        Level ground, water above the cover, a cover shorter than its own toe, a toe that would
        jam at a factor of 1 or more, or a value outside its range.

    Notes
    -----
    At a factor of tan(slope) tan(friction) the toe wedge jams, and no length of cover moves it: a
    factor near that is the wedge's, not the ground's. Where it could reach 1 so, it is refused.
    Needs a toe that stays: level ground, or a kerb that is checked by itself. A toe that can be
    dug away counts as none: then use the net sliding force. The water form is derived here from
    the same wedges, with flow parallel to the slope.
    """
    w = _wedges(
        length,
        thickness,
        slope,
        unit_weight,
        friction,
        interface_friction,
        cohesion,
        adhesion,
        saturated_weight,
        water_height,
        water_weight,
    )
    pull = w.pull - at_least_zero("tension", tension)
    s, c, t = np.sin(w.slope), np.cos(w.slope), w.tan_friction
    a = (pull * c + w.toe_water) * s
    b = -(pull * s * t + w.base * c + w.toe) * s
    last = w.base * s * s * t
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(np.maximum(b * b - 4 * a * last, 0.0))
        found = np.where(a > 0, (root - b) / (2 * a), np.inf)
    bare = over(w.base, pull)
    jam = s / c * t  # the toe wedge has no limit at this factor: the larger root is above it
    if np.any((jam >= 1) & (bare < jam)):
        raise OutOfRange(
            "slope",
            "so steep for its friction that the toe wedge jams: the factor is not the hill's",
            "count no toe: use the infinite slope or the net sliding force",
        )
    return Veneer(*np.broadcast_arrays(a, b, last, found, bare, w.active_weight, w.passive_weight))


@method(
    title="Tension that a layer of soil on a slope needs for a wanted factor",
    equation=(
        "T = WA sin(s) - Uh cos(s) - (NA tan(d) + Ca)/F - "
        "[C + (WP - Uh/tan(s)) tan(p) - F Uh] / (F cos(s) - sin(s) tan(p))"
    ),
    source="the two wedges of Koerner and Soong, 1998, solved for the tension",
)
def veneer_tension(
    required: ArrayLike,
    length: ArrayLike,
    thickness: ArrayLike,
    slope: ArrayLike,
    unit_weight: ArrayLike,
    friction: ArrayLike,
    interface_friction: ArrayLike,
    cohesion: ArrayLike = 0.0,
    adhesion: ArrayLike = 0.0,
    saturated_weight: ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
) -> Array:
    """Give the tendon force per metre of width at which a cover has the wanted factor.

    Parameters
    ----------
    required : (...) array
        Factor on the strength, above tan(slope) tan(friction). [-]
    length : (...) array
        Of the cover along the slope. [m]
    thickness : (...) array
        Of the cover, square to the slope. [m]
    slope : (...) array
        Ground from horizontal, above 0 to less than pi/2. [rad]
    unit_weight : (...) array
        Of the moist cover. [N/m3]
    friction : (...) array
        Friction angle of the cover itself. [rad]
    interface_friction : (...) array
        Friction angle between the cover and what it lies on. [rad]
    cohesion, adhesion : (...) array, optional
        Of the cover itself, and between it and what it lies on. [Pa]
    saturated_weight : (...) array, optional
        Of the cover below the water; left out, the same as above it. [N/m3]
    water_height : (...) array, optional
        Water that flows in the cover, square to the slope, 0 to the thickness. [m]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    (...) array
        Tension up the slope; 0 where none is needed. [N/m]

    Raises
    ------
    OutOfRange
        As for the factor, or a factor so low that the toe wedge has no limit.
    """
    f = above_zero("required", required)
    w = _wedges(
        length,
        thickness,
        slope,
        unit_weight,
        friction,
        interface_friction,
        cohesion,
        adhesion,
        saturated_weight,
        water_height,
        water_weight,
    )
    give = f * np.cos(w.slope) - np.sin(w.slope) * w.tan_friction
    if np.any(give <= 0):
        raise OutOfRange(
            "required",
            "so low that the wedge at the toe holds without limit",
            "give a factor above tan(slope) tan(friction)",
        )
    return np.asarray(np.maximum(w.pull - w.base / f - (w.toe - f * w.toe_water) / give, 0.0))


def _wedges(
    length: ArrayLike,
    thickness: ArrayLike,
    slope: ArrayLike,
    unit_weight: ArrayLike,
    friction: ArrayLike,
    interface_friction: ArrayLike,
    cohesion: ArrayLike,
    adhesion: ArrayLike,
    saturated_weight: ArrayLike | None,
    water_height: ArrayLike,
    water_weight: ArrayLike,
) -> Wedges:
    h, b = above_zero("thickness", thickness), ground_slope(slope)
    if np.any(b <= 0):
        raise OutOfRange("slope", "is level: a layer on it does not slide", "give a slope above 0")
    moist = soil_weight(unit_weight)
    wet = moist if saturated_weight is None else soil_weight(saturated_weight, "saturated_weight")
    check_saturated(moist, wet)
    hw = water_within(water_height, h)
    gw = above_zero("water_weight", water_weight)
    sin, cos = np.sin(b), np.cos(b)
    base_length = above_zero("length", length) - h / sin
    area = h * base_length - h**2 * np.tan(b) / 2
    if np.any(area <= 0):
        raise OutOfRange(
            "length",
            "shorter than the toe of a layer so thick: no wedge is left on the slope",
            "give a longer slope or a thinner layer",
        )
    soaked = hw * base_length - hw**2 * np.tan(b) / 2  # of the same area
    active = moist * (area - soaked) + wet * soaked
    passive = (moist * (h**2 - hw**2) + wet * hw**2) / np.sin(2 * b)
    thrust = gw * hw**2 / 2
    # pressure on the base, less what the thrust on the end face presses back on it
    normal = (active - gw * soaked) * cos
    tan = np.tan(friction_angle(friction))
    base = normal * np.tan(friction_angle(interface_friction, "interface_friction"))
    base = base + at_least_zero("adhesion", adhesion) * base_length
    toe = at_least_zero("cohesion", cohesion) * h / sin + (passive - thrust * cos / sin) * tan
    return Wedges(b, tan, active * sin - thrust * cos, base, toe, thrust, active, passive)
