"""Slope, aspect and the forms that a slope is written in.

Slope is the angle from horizontal, 0 to pi/2. Aspect is the compass direction that the ground
faces (downhill), clockwise from north = +y, undefined on the flat. x is east, y is north.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.errors import OutOfRange
from hillwright.method import method


class SlopeAspect(NamedTuple):
    """Steepness and the way the ground faces."""

    slope: Array
    aspect: Array


class PlaneMeasures(NamedTuple):
    """What a builder wants to know of an inclined plane."""

    gradient: Array
    slope: Array
    aspect: Array
    area_factor: Array


class SlopeForms(NamedTuple):
    """One slope in all the ways that people write it."""

    gradient: Array
    slope: Array
    run_per_rise: Array
    cosine: Array
    area_factor: Array


def _forms(gradient: Array) -> SlopeForms:
    slope = np.arctan(gradient)
    with np.errstate(divide="ignore", over="ignore"):
        run_per_rise = 1 / gradient
    return SlopeForms(gradient, slope, run_per_rise, np.cos(slope), np.hypot(1.0, gradient))


def _first(bad: Mask | np.bool_) -> str:
    """Name the first place where something is wrong, as in "value 3"."""
    return f"value {int(np.flatnonzero(np.atleast_1d(bad))[0]) + 1}"


@method(
    title="Slope and aspect from the gradient",
    equation="tan(slope) = sqrt(p^2 + q^2); aspect = atan2(-p, -q), p = dz/dx, q = dz/dy",
    source="exact geometry",
)
def slope_and_aspect(dz_dx: ArrayLike, dz_dy: ArrayLike) -> SlopeAspect:
    """Turn a gradient into steepness and the compass direction that the ground faces.

    Parameters
    ----------
    dz_dx, dz_dy : (...) array
        Rise towards the east (+x) and towards the north (+y). [-]

    Returns
    -------
    slope : (...) array
        Angle from horizontal. [rad]
    aspect : (...) array
        Clockwise from north, 0 to 2 pi; not a number where the ground is flat. [rad]
    """
    p, q = np.broadcast_arrays(np.asarray(dz_dx, float), np.asarray(dz_dy, float))
    gradient = np.hypot(p, q)
    facing = np.mod(np.arctan2(-p, -q), 2 * np.pi)
    # a hair under north comes back from mod as 2 pi itself
    facing = np.where(facing >= 2 * np.pi, 0.0, facing)
    return SlopeAspect(np.arctan(gradient), np.where(gradient > 0, facing, np.nan))


@method(
    title="Aspect of sloping ground",
    equation="aspect = atan2(-p, -q), p = dz/dx, q = dz/dy",
    source="exact geometry",
)
def aspect(dz_dx: ArrayLike, dz_dy: ArrayLike) -> Array:
    """Give the compass direction that the ground faces; flat ground faces nowhere.

    Parameters
    ----------
    dz_dx, dz_dy : (...) array
        Rise towards the east (+x) and towards the north (+y). [-]

    Returns
    -------
    (...) array
        Downhill direction, clockwise from north, 0 to 2 pi. [rad]

    Raises
    ------
    OutOfRange
        Flat ground; names the first such value.
    """
    found = slope_and_aspect(dz_dx, dz_dy).aspect
    if (bad := np.isnan(found)).any():
        raise OutOfRange(_first(bad), "flat ground faces no direction", "give ground that slopes")
    return found


@method(
    title="Slope, aspect and true area of an inclined plane",
    equation="g = sqrt(p^2 + q^2); slope = atan(g); true area = plan area * sqrt(1 + g^2)",
    source="exact geometry",
)
def plane_measures(dz_dx: ArrayLike, dz_dy: ArrayLike) -> PlaneMeasures:
    """Measure a plane from its rise to the east and to the north.

    Parameters
    ----------
    dz_dx, dz_dy : (...) array
        Rise towards the east (+x) and towards the north (+y). [-]

    Returns
    -------
    gradient : (...) array
        Steepest rise over run. [-]
    slope : (...) array
        Angle from horizontal. [rad]
    aspect : (...) array
        Direction of steepest descent, clockwise from north; not a number when flat. [rad]
    area_factor : (...) array
        True area over plan area. [-]
    """
    slope, facing = slope_and_aspect(dz_dx, dz_dy)
    gradient = np.hypot(np.asarray(dz_dx, float), np.asarray(dz_dy, float))
    return PlaneMeasures(gradient, slope, facing, np.hypot(1.0, gradient))


@method(
    title="Slope from percent or rise over run",
    equation="slope = atan(g); run per rise = 1/g; true area per plan area = sqrt(1 + g^2)",
    source="exact geometry",
)
def slope_from_gradient(gradient: ArrayLike) -> SlopeForms:
    """Write a slope given in percent (or as rise over run) in every other way.

    Parameters
    ----------
    gradient : (...) array
        Rise over run, as in 50 %. [-]

    Returns
    -------
    gradient : (...) array
        Rise over run. [-]
    slope : (...) array
        Angle from horizontal. [rad]
    run_per_rise : (...) array
        H of H:V, as 2 of 2:1; infinite when level. [-]
    cosine : (...) array
        Plan length over slope length. [-]
    area_factor : (...) array
        Slope area over plan area. [-]

    Raises
    ------
    OutOfRange
        A gradient below zero or not a number.
    """
    g = np.asarray(gradient, float)
    if (bad := ~((g >= 0) & np.isfinite(g))).any():
        raise OutOfRange(_first(bad), "not a gradient", "give a rise over run of 0 or more")
    return _forms(g)


@method(
    title="Slope from its angle",
    equation="g = tan(slope); run per rise = 1/g; true area per plan area = 1/cos(slope)",
    source="exact geometry",
)
def slope_from_angle(slope: ArrayLike) -> SlopeForms:
    """Write a slope given as an angle in every other way.

    Parameters
    ----------
    slope : (...) array
        Angle from horizontal, 0 to less than pi/2. [rad]

    Returns
    -------
    gradient : (...) array
        Rise over run. [-]
    slope : (...) array
        Angle from horizontal. [rad]
    run_per_rise : (...) array
        H of H:V, as 2 of 2:1; infinite when level. [-]
    cosine : (...) array
        Plan length over slope length. [-]
    area_factor : (...) array
        Slope area over plan area. [-]

    Raises
    ------
    OutOfRange
        An angle below zero, or upright or overhanging.
    """
    return _forms(np.tan(ground_angle(slope)))


@method(
    title="Slope from H:V",
    equation="g = rise/run; slope = atan(g); true area per plan area = sqrt(1 + g^2)",
    source="exact geometry",
)
def slope_from_ratio(run: ArrayLike, rise: ArrayLike) -> SlopeForms:
    """Write a slope given as run and rise (1.5H:1V) in every other way.

    Parameters
    ----------
    run, rise : (...) array
        Lengths along the level and upright, or just the two numbers of H:V. [any]

    Returns
    -------
    gradient : (...) array
        Rise over run. [-]
    slope : (...) array
        Angle from horizontal. [rad]
    run_per_rise : (...) array
        H of H:V, as 2 of 2:1; infinite when level. [-]
    cosine : (...) array
        Plan length over slope length. [-]
    area_factor : (...) array
        Slope area over plan area. [-]

    Raises
    ------
    OutOfRange
        A run of zero or less, or a rise below zero.
    """
    h, v = np.broadcast_arrays(np.asarray(run, float), np.asarray(rise, float))
    if (bad := ~((h > 0) & (v >= 0) & np.isfinite(h) & np.isfinite(v))).any():
        raise OutOfRange(
            _first(bad),
            "no slope has this run and rise",
            "give a run above 0 and a rise of 0 or more",
        )
    return _forms(v / h)


@method(
    title="True area of sloping ground over its plan area",
    equation="A_slope / A_plan = 1 / cos(slope)",
    source="exact geometry",
)
def slope_area_factor(slope: ArrayLike) -> Array:
    """Give how much larger sloping ground is than its plan.

    Parameters
    ----------
    slope : (...) array
        Angle from horizontal, 0 to less than pi/2. [rad]

    Returns
    -------
    (...) array
        Slope area over plan area. [-]

    Raises
    ------
    OutOfRange
        An angle below zero, or upright or overhanging.
    """
    return np.asarray(1 / np.cos(ground_angle(slope)))


def ground_angle(slope: ArrayLike) -> Array:
    """Pass an angle of ground on, or refuse it: 0 to less than pi/2 [rad]."""
    angle = np.asarray(slope, float)
    if (bad := ~((angle >= 0) & (angle < np.pi / 2 - 1e-12))).any():
        raise OutOfRange(_first(bad), "not an angle of ground", "give 0 to less than 90 deg")
    return angle
