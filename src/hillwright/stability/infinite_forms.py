"""The infinite slope in the forms that textbooks print; each is a case of the general one."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.column import over
from hillwright.stability.given import (
    WATER,
    at_least_zero,
    friction_angle,
    ground_slope,
    within,
)
from hillwright.stability.infinite import infinite_slope


@method(
    title="Infinite slope, dry",
    equation="FS = c / (g z sin(b) cos(b)) + tan(p) / tan(b)",
    source="closed form; CEG 4012 Geotechnical Engineering II, lecture notes Fall 2011, SL5",
)
def infinite_slope_dry(
    slope: ArrayLike,
    friction: ArrayLike,
    cohesion: ArrayLike = 0.0,
    unit_weight: ArrayLike | None = None,
    depth: ArrayLike | None = None,
) -> Array:
    """Give the factor of safety of a dry layer.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    cohesion : (...) array, optional
        Effective cohesion. [Pa]
    unit_weight : (...) array, optional
        Of the soil; needed only with cohesion. [N/m3]
    depth : (...) array, optional
        Upright depth of the slip plane; needed only with cohesion. [m]

    Returns
    -------
    (...) array
        Resisting over driving shear. [-]

    Raises
    ------
    OutOfRange
        Cohesion without a weight or a depth, or a value outside its range.

    Notes
    -----
    Dry ground only: see the seeping form before building on any slope.
    """
    z, g = _needed_with_cohesion(cohesion, depth=depth, unit_weight=unit_weight)
    return infinite_slope(slope, z, cohesion, friction, g)


@method(
    title="Infinite slope, water at the surface, flow parallel to the slope",
    equation="FS = [c + (gs - gw) z cos(b)^2 tan(p)] / [gs z sin(b) cos(b)]",
    source="closed form; CEG 4012 Geotechnical Engineering II, lecture notes Fall 2011, SL5",
)
def infinite_slope_seeping(
    slope: ArrayLike,
    friction: ArrayLike,
    saturated_weight: ArrayLike,
    cohesion: ArrayLike = 0.0,
    depth: ArrayLike | None = None,
    water_weight: ArrayLike = WATER,
) -> Array:
    """Give the factor of safety of a layer soaked to the surface.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    saturated_weight : (...) array
        Unit weight of the soil with its pores full. [N/m3]
    cohesion : (...) array, optional
        Effective cohesion. [Pa]
    depth : (...) array, optional
        Upright depth of the slip plane; needed only with cohesion. [m]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    (...) array
        Resisting over driving shear. [-]

    Raises
    ------
    OutOfRange
        Cohesion without a depth, or a value outside its range.
    """
    (z,) = _needed_with_cohesion(cohesion, depth=depth)
    gs = saturated_weight
    return infinite_slope(
        slope, z, cohesion, friction, gs, gs, water_height=z, water_weight=water_weight
    )


@method(
    title="Infinite slope with a pore pressure ratio",
    equation="FS = c / (g z sin(b) cos(b)) + (1 - ru / cos(b)^2) tan(p) / tan(b)",
    source="Bishop and Morgenstern, 1960 (from memory), on a plane parallel to the ground",
)
def infinite_slope_ru(
    slope: ArrayLike,
    friction: ArrayLike,
    pore_pressure_ratio: ArrayLike,
    cohesion: ArrayLike = 0.0,
    unit_weight: ArrayLike | None = None,
    depth: ArrayLike | None = None,
) -> Array:
    """Give the factor of safety of a layer whose water is given as a pore pressure ratio.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    friction : (...) array
        Effective friction angle, 0 to 50 degrees. [rad]
    pore_pressure_ratio : (...) array
        Pore pressure over the weight of the soil above, 0 to 1. [-]
    cohesion : (...) array, optional
        Effective cohesion. [Pa]
    unit_weight : (...) array, optional
        Of the soil; needed only with cohesion. [N/m3]
    depth : (...) array, optional
        Upright depth of the slip plane; needed only with cohesion. [m]

    Returns
    -------
    (...) array
        Resisting over driving shear, at least 0. [-]

    Raises
    ------
    OutOfRange
        Cohesion without a weight or a depth, or a value outside its range.
    """
    z, g = _needed_with_cohesion(cohesion, depth=depth, unit_weight=unit_weight)
    return infinite_slope(slope, z, cohesion, friction, g, pore_pressure_ratio=pore_pressure_ratio)


@method(
    title="Infinite slope in undrained soil, with earthquake",
    equation="FS = k su / [g z (sin(b) cos(b) + kh cos(b)^2)], k = strength factor",
    source="Brigham Young University CE 544, unit 2, seismic infinite slope",
)
def infinite_slope_undrained(
    slope: ArrayLike,
    depth: ArrayLike,
    undrained_strength: ArrayLike,
    unit_weight: ArrayLike,
    kh: ArrayLike = 0.0,
    strength_factor: ArrayLike = 1.0,
) -> Array:
    """Give the factor of safety of a clay layer that has no time to drain.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane. [m]
    undrained_strength : (...) array
        Undrained shear strength. [Pa]
    unit_weight : (...) array
        Total unit weight. [N/m3]
    kh : (...) array, optional
        Horizontal earthquake coefficient, 0 to 1. [-]
    strength_factor : (...) array, optional
        What shaking leaves of the strength, 0 to 1; 0.8 is usual. [-]

    Returns
    -------
    (...) array
        Resisting over driving shear. [-]

    Raises
    ------
    OutOfRange
        A value outside its range.

    Notes
    -----
    Short-term only: fissured or dried-out clay on a slope softens to nearly no cohesion.
    """
    strength = at_least_zero("undrained_strength", undrained_strength)
    left = within("strength_factor", strength_factor, 0, 1) * strength
    return infinite_slope(slope, depth, left, 0.0, unit_weight, kh=kh)


@method(
    title="Dimensionless infinite slope by relative wetness",
    equation="FS = [C + cos(t) (1 - w r) tan(p)] / sin(t)",
    source="Pack, Tarboton and Goodwin, 1998, SINMAP, stability index",
)
def sinmap_factor(
    cohesion_ratio: ArrayLike,
    slope: ArrayLike,
    wetness: ArrayLike,
    friction: ArrayLike,
    density_ratio: ArrayLike = 0.5,
) -> Array:
    """Give the factor of safety of the dimensionless form.

    Parameters
    ----------
    cohesion_ratio : (...) array
        C = (root + soil cohesion) / (h times the soil's unit weight), h square to the slope. [-]
    slope : (...) array
        Ground from horizontal, above 0 to less than pi/2. [rad]
    wetness : (...) array
        Water height over soil depth, 0 to 1. [-]
    friction : (...) array
        Friction angle, 0 to 50 degrees. [rad]
    density_ratio : (...) array, optional
        Density of water over that of the soil, r. [-]

    Returns
    -------
    (...) array
        Factor of safety; infinite on level ground. [-]

    Raises
    ------
    OutOfRange
        A wetness over 1 (water above the ground), or another value outside its range.

    Notes
    -----
    One unit weight for moist and soaked soil. h is square to the slope here, not upright.
    """
    c = at_least_zero("cohesion_ratio", cohesion_ratio)
    w = at_least_zero("wetness", wetness)
    if np.any(w > 1 + 1e-9):
        raise OutOfRange("wetness", "is over 1: water stands above the ground", "give 0 to 1")
    t, p = ground_slope(slope), friction_angle(friction)
    r = within("density_ratio", density_ratio, 0, 1)
    return over(c + np.cos(t) * (1 - w * r) * np.tan(p), np.sin(t))


def _needed_with_cohesion(cohesion: ArrayLike, **given: ArrayLike | None) -> list[ArrayLike]:
    """Fill in what drops out of the equation without cohesion, or refuse to."""
    missing = [name for name, value in given.items() if value is None]
    if missing and np.any(at_least_zero("cohesion", cohesion) > 0):
        raise OutOfRange(
            missing[0], "is missing, and with cohesion the factor depends on it", "give it"
        )
    return [1.0 if value is None else value for value in given.values()]
