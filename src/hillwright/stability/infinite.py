"""Infinite slope: a layer that slides on a plane parallel to the ground, long against its depth.

Depths and water heights are measured **upright**; weights are per plan area. A factor divides the
strength (cohesion and tan friction). Water in the soil flows parallel to the ground unless a pore
pressure ratio is given; the two are never subtracted together.
"""

from __future__ import annotations

from typing import NamedTuple

from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.stability.column import column_of, factor
from hillwright.stability.given import WATER, above_zero, within


@method(
    title="Infinite slope with water, surcharge, roots and earthquake",
    equation=(
        "FS = [c + cr + (W (cos(b)^2 - kh sin(b) cos(b)) - u) tan(p)] / "
        "[W (sin(b) cos(b) + kh cos(b)^2)]; W = q + g (z - h) + gs h; "
        "u = gw (h + a) cos(b)^2, or u = ru (g (z - h) + gs h)"
    ),
    source=(
        "Hammond, Hall, Miller and Swetik, 1992, USDA FS GTR INT-285 (equation from memory), with "
        "the horizontal force kh W of the pseudo-static method"
    ),
    symbols={
        "b": "slope",
        "c": "cohesion",
        "p": "friction",
        "g": "unit_weight",
        "gs": "saturated_weight",
        "gw": "water_weight",
        "q": "surcharge",
        "FS": "factor of safety",
        "cr": "root_cohesion",
        "W": "weight of the layer",
        "u": "pressure of the water",
        "z": "depth",
        "h": "water_height",
        "a": "water_above",
        "ru": "pore_pressure_ratio",
    },
)
def infinite_slope(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    saturated_weight: ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    root_cohesion: ArrayLike = 0.0,
    kh: ArrayLike = 0.0,
    pore_pressure_ratio: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
    water_above: ArrayLike = 0.0,
) -> Array:
    """Give the factor of safety of a layer that slides on a plane parallel to the ground.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane, above 0. [m]
    cohesion : (...) array
        Effective cohesion of the soil on that plane. [Pa]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    unit_weight : (...) array
        Of the moist soil above the water. [N/m3]
    saturated_weight : (...) array, optional
        Of the soil below the water; left out, the same as above it. [N/m3]
    water_height : (...) array, optional
        Upright height of the water above the plane, 0 to depth; it flows parallel to the ground.
        [m]
    surcharge : (...) array, optional
        Weight of filled cells or else on the ground, per plan area. [Pa]
    root_cohesion : (...) array, optional
        Added by roots that cross the plane; 0 for every check that must pass. [Pa]
    kh : (...) array, optional
        Horizontal earthquake coefficient, 0 to 1. [-]
    pore_pressure_ratio : (...) array, optional
        Pore pressure over the weight of the soil above; only without a water height. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]
    water_above : (...) array, optional
        Upright height of the water in soaked cells or else above ground that is full of water;
        their weight is in the surcharge. [m]

    Returns
    -------
    (...) array
        Resisting over driving shear; below 1 the layer slides; infinite on level ground. [-]

    Raises
    ------
    OutOfRange
        A weight, depth, angle or coefficient outside its range, water above the ground, or both a
        water height and a pore pressure ratio.

    Notes
    -----
    For slopes that are long against the depth (ten times or more is usual). Neither toe nor crest
    nor anchor is counted. Suction is not strength: leave it out of the cohesion.
    """
    column = column_of(
        slope,
        depth,
        cohesion,
        friction,
        unit_weight,
        saturated_weight,
        water_height,
        surcharge,
        root_cohesion,
        kh,
        pore_pressure_ratio,
        water_weight,
        water_above,
    )
    return factor(column)


@method(
    title="Infinite slope wetted to a depth, part of it with flowing water",
    equation=(
        "FS = [c + (q + (gs - m gw) z) cos(b)^2 tan(p)] / [(q + gs z) sin(b) cos(b)], "
        "z = wetting depth"
    ),
    source="Skempton and DeLory, 1957; Pradel and Raad, 1993 (both from memory)",
    symbols={
        "b": "slope",
        "c": "cohesion",
        "p": "friction",
        "gs": "saturated_weight",
        "gw": "water_weight",
        "q": "surcharge",
        "FS": "factor of safety",
        "m": "water_ratio",
        "z": "wetting_depth",
    },
)
def wetted_slope(
    slope: ArrayLike,
    wetting_depth: ArrayLike,
    water_ratio: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    saturated_weight: ArrayLike,
    surcharge: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
) -> Array:
    """Give the factor of safety of the layer that rain or irrigation has wetted.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    wetting_depth : (...) array
        Upright depth of the wetting front, where the layer slides. [m]
    water_ratio : (...) array
        Height of flowing water over that depth: 0 wet but not flowing, 1 to the surface. [-]
    cohesion : (...) array
        Effective cohesion when wet, without suction. [Pa]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    saturated_weight : (...) array
        Unit weight of the wetted soil. [N/m3]
    surcharge : (...) array, optional
        Weight on the ground, per plan area. [Pa]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    (...) array
        Resisting over driving shear. [-]

    Raises
    ------
    OutOfRange
        A water ratio outside 0 to 1, or another value outside its range.
    """
    z, m, gs = above_zero("wetting_depth", wetting_depth), water_ratio, saturated_weight
    h = within("water_ratio", m, 0, 1) * z
    return infinite_slope(
        slope, z, cohesion, friction, gs, gs, h, surcharge, water_weight=water_weight
    )


class States(NamedTuple):
    """The same hill in the three states that are always shown."""

    as_found: Array
    soaked: Array
    shaken: Array


@method(
    title="Infinite slope as found, soaked, and soaked with earthquake",
    equation="FS of the infinite slope with h = water found, kh = 0; h = z, kh = 0; h = z, kh",
    source="Hammond, Hall, Miller and Swetik, 1992, USDA FS GTR INT-285 (equation from memory)",
)
def three_states(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    saturated_weight: ArrayLike,
    kh: ArrayLike,
    water_found: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    soaked_surcharge: ArrayLike | None = None,
    water_weight: ArrayLike = WATER,
) -> States:
    """Give the three factors that a hill is judged by; roots count in none of them.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane. [m]
    cohesion : (...) array
        Effective cohesion of the soil alone. [Pa]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    unit_weight, saturated_weight : (...) array
        Moist, and with its pores full. [N/m3]
    kh : (...) array
        Horizontal earthquake coefficient of the place, 0 to 1. [-]
    water_found : (...) array, optional
        Height of the water above the plane on the day of the survey. [m]
    surcharge : (...) array, optional
        Weight of the cells per plan area, as found. [Pa]
    soaked_surcharge : (...) array, optional
        The same soaked; left out, as found. [Pa]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    as_found, soaked, shaken : (...) array
        Factors as found, with water at the surface, and so with earthquake. [-]

    Raises
    ------
    OutOfRange
        A value outside its range, or water above the ground.
    """
    soil = (slope, depth, cohesion, friction, unit_weight, saturated_weight)
    q = surcharge if soaked_surcharge is None else soaked_surcharge
    found = infinite_slope(*soil, water_found, surcharge, water_weight=water_weight)
    soaked = infinite_slope(*soil, depth, q, water_weight=water_weight)
    shaken = infinite_slope(*soil, depth, q, kh=kh, water_weight=water_weight)
    return States(found, soaked, shaken)
