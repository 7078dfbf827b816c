"""Where an infinite slope stops holding: the depth, water and shaking that it just bears."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.stability.column import Column, column_of
from hillwright.stability.given import WATER, above_zero, within


@method(
    title="Critical depth of an infinite slope",
    equation=(
        "z = [c + q (A - F B)] / [G (F B - A) + m gw cos(b)^2 tan(p)]; G = (1 - m) g + m gs; "
        "A = (cos(b)^2 - kh sin(b) cos(b)) tan(p); B = sin(b) cos(b) + kh cos(b)^2"
    ),
    source=(
        "closed form; without water and shaking c / [g cos(b)^2 (tan(b) - tan(p))], CEG 4012 "
        "Geotechnical Engineering II, lecture notes Fall 2011, SL5"
    ),
    symbols={
        "b": "slope",
        "c": "cohesion",
        "p": "friction",
        "g": "unit_weight",
        "gs": "saturated_weight",
        "gw": "water_weight",
        "q": "surcharge",
        "F": "required",
        "m": "water_ratio",
    },
)
def critical_depth(
    slope: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    saturated_weight: ArrayLike | None = None,
    water_ratio: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    kh: ArrayLike = 0.0,
    required: ArrayLike = 1.0,
    water_weight: ArrayLike = WATER,
) -> Array:
    """Give the upright depth of soil at which the factor falls to the required one.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    cohesion : (...) array
        Effective cohesion. [Pa]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    unit_weight : (...) array
        Of the moist soil. [N/m3]
    saturated_weight : (...) array, optional
        With its pores full; left out, the same as moist. [N/m3]
    water_ratio : (...) array, optional
        Height of flowing water over the depth, 0 to 1. [-]
    surcharge : (...) array, optional
        Weight on the ground, per plan area. [Pa]
    kh : (...) array, optional
        Horizontal earthquake coefficient, 0 to 1. [-]
    required : (...) array, optional
        Factor wanted; 1 left out. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    (...) array
        Depth; infinite where soil of any depth holds, 0 where the surcharge alone slides. [m]

    Raises
    ------
    OutOfRange
        A value outside its range.
    """
    m = within("water_ratio", water_ratio, 0, 1)
    f = above_zero("required", required)
    one = column_of(  # one metre deep: every stress grows with the depth
        slope,
        1.0,
        cohesion,
        friction,
        unit_weight,
        saturated_weight,
        m,
        surcharge,
        kh=kh,
        water_weight=water_weight,
    )
    kept = _kept(one, f)
    held = one.cohesion + one.surcharge * kept
    lost = one.pore_pressure * one.tan_friction - (one.weight - one.surcharge) * kept
    with np.errstate(divide="ignore", invalid="ignore"):
        deep = np.where(lost > 0, np.maximum(held, 0.0) / lost, np.inf)
    return np.asarray(np.where(held < 0, 0.0, deep))


class CriticalWater(NamedTuple):
    """How much water an infinite slope bears."""

    height: Array
    ratio: Array


@method(
    title="Critical water height of an infinite slope",
    equation=(
        "h = [c + (q + g z) (A - F B)] / [gw cos(b)^2 tan(p) - (gs - g) (A - F B)]; "
        "A = (cos(b)^2 - kh sin(b) cos(b)) tan(p); B = sin(b) cos(b) + kh cos(b)^2"
    ),
    source="closed form of the infinite slope, solved for the water height",
    symbols={
        "b": "slope",
        "c": "cohesion",
        "p": "friction",
        "g": "unit_weight",
        "gs": "saturated_weight",
        "gw": "water_weight",
        "q": "surcharge",
        "z": "depth",
        "F": "required",
    },
)
def critical_water_height(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    saturated_weight: ArrayLike | None = None,
    surcharge: ArrayLike = 0.0,
    kh: ArrayLike = 0.0,
    required: ArrayLike = 1.0,
    water_weight: ArrayLike = WATER,
) -> CriticalWater:
    """Give the height of flowing water above the plane at which the factor falls to the required.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane. [m]
    cohesion : (...) array
        Effective cohesion. [Pa]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    unit_weight : (...) array
        Of the moist soil. [N/m3]
    saturated_weight : (...) array, optional
        With its pores full; left out, the same as moist. [N/m3]
    surcharge : (...) array, optional
        Weight on the ground, per plan area. [Pa]
    kh : (...) array, optional
        Horizontal earthquake coefficient, 0 to 1. [-]
    required : (...) array, optional
        Factor wanted; 1 left out. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    height : (...) array
        Above the plane: 0 where it does not even hold dry, infinite where water at the surface
        leaves it standing. [m]
    ratio : (...) array
        The same over the depth. [-]

    Raises
    ------
    OutOfRange
        A value outside its range.
    """
    f = above_zero("required", required)
    dry = column_of(
        slope,
        depth,
        cohesion,
        friction,
        unit_weight,
        saturated_weight,
        0.0,
        surcharge,
        kh=kh,
        water_weight=water_weight,
    )
    kept = _kept(dry, f)
    spare = dry.cohesion + dry.weight * kept  # of strength before there is water
    taken = dry.water_weight * np.cos(dry.slope) ** 2 * dry.tan_friction  # by each metre of it
    taken = taken - (dry.saturated - dry.moist) * kept
    with np.errstate(divide="ignore", invalid="ignore"):
        height = np.where(taken > 0, np.maximum(spare, 0.0) / taken, np.inf)
    height = np.where(spare < 0, 0.0, height)
    height = np.where(height > dry.depth * (1 + 1e-12), np.inf, height)
    return CriticalWater(height, np.asarray(height / dry.depth))


@method(
    title="Yield coefficient of an infinite slope",
    equation=(
        "ky = [c + (W cos(b)^2 - u) tan(p) - F W sin(b) cos(b)] / "
        "[W (F cos(b)^2 + sin(b) cos(b) tan(p))]"
    ),
    source="closed form of the pseudo-static infinite slope, solved for kh",
    symbols={
        "ky": "yield coefficient",
        "c": "cohesion",
        "W": "weight of the layer, as for the infinite slope",
        "b": "slope",
        "u": "pressure of the water, as for the infinite slope",
        "p": "friction",
        "F": "required",
    },
)
def yield_coefficient(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    saturated_weight: ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    required: ArrayLike = 1.0,
    water_weight: ArrayLike = WATER,
    water_above: ArrayLike = 0.0,
) -> Array:
    """Give the horizontal coefficient of shaking at which the factor falls to the required one.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane. [m]
    cohesion : (...) array
        Effective cohesion. [Pa]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    unit_weight : (...) array
        Of the moist soil. [N/m3]
    saturated_weight : (...) array, optional
        With its pores full; left out, the same as moist. [N/m3]
    water_height : (...) array, optional
        Upright height of the water above the plane, 0 to depth. [m]
    surcharge : (...) array, optional
        Weight on the ground, per plan area. [Pa]
    required : (...) array, optional
        Factor wanted; 1 left out. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]
    water_above : (...) array, optional
        Upright height of the water in soaked cells or else above ground that is full of water;
        their weight is in the surcharge. [m]

    Returns
    -------
    (...) array
        Share of gravity; below 0 the layer lacks the factor without any shaking. [-]

    Raises
    ------
    OutOfRange
        A value outside its range, or water above the ground.
    """
    f = above_zero("required", required)
    at_rest = column_of(
        slope,
        depth,
        cohesion,
        friction,
        unit_weight,
        saturated_weight,
        water_height,
        surcharge,
        water_weight=water_weight,
        water_above=water_above,
    )
    w, b, t = at_rest.weight, at_rest.slope, at_rest.tan_friction
    spare = at_rest.cohesion + (w * at_rest.normal_share - at_rest.pore_pressure) * t
    spare = spare - f * w * at_rest.driving_share
    return np.asarray(spare / (w * np.cos(b) * (f * np.cos(b) + np.sin(b) * t)))


def _kept(column: Column, required: Array) -> Array:
    """Give what friction holds over what is asked of it, per upright stress, without water."""
    return np.asarray(column.normal_share * column.tan_friction - required * column.driving_share)


def layer_surcharge(unit_weight: ArrayLike, thickness: ArrayLike, slope: ArrayLike) -> Array:
    """Give the surcharge of a layer of soil laid on sloping ground, per plan area.

    Parameters
    ----------
    unit_weight : (...) array
        Of the fill, settled and in the state that is looked at [N/m3].
    thickness : (...) array
        Square to the slope [m].
    slope : (...) array
        Ground from horizontal [rad].

    Returns
    -------
    (...) array
        Upright stress on plan area: soil lies on slope area, which is larger [Pa].
    """
    return np.asarray(np.asarray(unit_weight) * thickness / np.cos(slope))
