"""Water in a ditch or pipe: depth, velocity, shear, and how fast or calm it runs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.runoff import given as guard

GRAVITY = 9.80665
WATER = 9810.0  # unit weight of water [N/m3]
_HEC22 = "FHWA 2024, HEC-22 4th ed."


class ChannelFlow(NamedTuple):
    """A channel running at a given depth."""

    area: Array
    perimeter: Array
    radius: Array
    velocity: Array
    flow: Array


class NormalFlow(NamedTuple):
    """A channel carrying a given flow."""

    depth: Array
    velocity: Array
    shear: Array
    froude: Array
    top_width: Array


class PipeFlow(NamedTuple):
    """A round pipe running full, not under pressure."""

    velocity: Array
    flow: Array


def _shape(
    bottom_width: ArrayLike, side_slope: ArrayLike, roughness: ArrayLike, gradient: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    """Pass a channel on, or refuse it."""
    b = given.at_least_zero("bottom_width", bottom_width)
    right = "give the run of a side for one of rise, 0 to 20"
    z = given.within("side_slope", side_slope, 0.0, 20.0, right)
    if (bad := (b == 0) & (z == 0)).any():
        given.above_zero("bottom_width of a channel with upright sides", np.where(bad, 0.0, 1.0))
    right = "Manning's n lies between 0.005 and 1"
    n = given.within("roughness", given.above_zero("roughness", roughness), 0.005, 1.0, right)
    return b, z, n, guard.gradient(gradient)


def _manning(d: Array, b: Array, z: Array, n: Array, s: Array) -> ChannelFlow:
    area = (b + z * d) * d
    perimeter = b + 2 * d * np.sqrt(1 + z**2)
    radius = area / perimeter
    velocity = radius ** (2 / 3) * np.sqrt(s) / n
    return ChannelFlow(*map(np.asarray, (area, perimeter, radius, velocity, velocity * area)))


@method(
    title="Flow of a ditch at a given depth by Manning",
    equation="Q = A R^(2/3) S^(1/2) / n; A = B d + z d^2, P = B + 2 d sqrt(z^2 + 1)",
    source=_HEC22 + ", equation 6.4",
)
def channel_flow(
    depth: ArrayLike,
    bottom_width: ArrayLike,
    side_slope: ArrayLike,
    roughness: ArrayLike,
    gradient: ArrayLike,
) -> ChannelFlow:
    """Give the flow of a trapezoidal, rectangular or V-shaped ditch.

    Parameters
    ----------
    depth : (...) array
        Depth of water. [m]
    bottom_width : (...) array
        0 for a V. [m]
    side_slope : (...) array
        Run of a side for one of rise; 0 for upright sides. [-]
    roughness : (...) array
        Manning's n. [-]
    gradient : (...) array
        Fall of the ditch over its run. [-]

    Returns
    -------
    area : (...) array
        Cross section of the water. [m2]
    perimeter : (...) array
        Wetted perimeter. [m]
    radius : (...) array
        Hydraulic radius. [m]
    velocity : (...) array
        Mean velocity. [m/s]
    flow : (...) array
        Discharge. [m3/s]

    Raises
    ------
    OutOfRange
        Depth, roughness or gradient of 0 or below, a negative width or side, a gradient over 2,
        or upright sides without a bottom.

    Notes
    -----
    Even flow in a long straight ditch. Above about 10 % of gradient n is uncertain.
    """
    d = given.above_zero("depth", depth)
    return _manning(d, *_shape(bottom_width, side_slope, roughness, gradient))


@method(
    title="Depth of a given flow in a ditch by Manning",
    equation="d such that A R^(2/3) S^(1/2) / n = Q; shear = g d S; Fr = V / sqrt(g A / T)",
    source=_HEC22 + ", equations 6.4 and 6.5",
)
def normal_flow(
    flow: ArrayLike,
    bottom_width: ArrayLike,
    side_slope: ArrayLike,
    roughness: ArrayLike,
    gradient: ArrayLike,
) -> NormalFlow:
    """Give the depth, velocity and shear of a flow in a ditch.

    Parameters
    ----------
    flow : (...) array
        Discharge. [m3/s]
    bottom_width : (...) array
        0 for a V. [m]
    side_slope : (...) array
        Run of a side for one of rise; 0 for upright sides. [-]
    roughness : (...) array
        Manning's n. [-]
    gradient : (...) array
        Fall of the ditch over its run. [-]

    Returns
    -------
    depth : (...) array
        Depth of even flow. [m]
    velocity : (...) array
        Mean velocity. [m/s]
    shear : (...) array
        Shear at the deepest place of the bed. [Pa]
    froude : (...) array
        Below 1 calm, above 1 shooting. [-]
    top_width : (...) array
        Width of the water. [m]

    Raises
    ------
    OutOfRange
        Flow, roughness or gradient of 0 or below, a negative width or side, a gradient over 2, or
        upright sides without a bottom.

    Notes
    -----
    Even flow in a long straight ditch. Between Froude 0.9 and 1.1 the surface is unsteady.
    """
    q = given.above_zero("flow", flow)
    b, z, n, s = np.broadcast_arrays(*_shape(bottom_width, side_slope, roughness, gradient))
    q, b = np.broadcast_arrays(q, b)
    low = np.zeros(q.shape)
    high = np.ones(q.shape)
    while (short := _manning(high, b, z, n, s).flow < q).any():
        high = np.where(short, high * 2, high)
    # halving needs no slope of the curve and cannot miss: 60 times is finer than a float
    for _ in range(60):
        middle = (low + high) / 2
        over = _manning(middle, b, z, n, s).flow >= q
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    at = _manning(high, b, z, n, s)
    top = b + 2 * z * high
    froude = at.velocity / np.sqrt(GRAVITY * at.area / top)
    return NormalFlow(
        np.asarray(high),
        at.velocity,
        bed_shear(high, s),
        np.asarray(froude),
        np.asarray(top),
    )


@method(
    title="Shear on the bed of a ditch",
    equation="shear = unit weight of water x d S",
    source=_HEC22 + ", equation 6.5; FHWA 2005, HEC-15 3rd ed.",
)
def bed_shear(depth: ArrayLike, gradient: ArrayLike) -> Array:
    """Give the greatest shear of even flow.

    Parameters
    ----------
    depth : (...) array
        Depth of water. [m]
    gradient : (...) array
        Fall of the ditch over its run. [-]

    Returns
    -------
    (...) array
        Shear at the deepest place of the bed. [Pa]

    Raises
    ------
    OutOfRange
        Depth or gradient of 0 or below, or a gradient over 2.
    """
    d = given.above_zero("depth", depth)
    return np.asarray(WATER * d * guard.gradient(gradient))


@method(
    title="Shear that loose stone stands",
    equation="shear = F* (gs - g) D50",
    source="FHWA 2005, HEC-15 3rd ed., equation 6.7 (from memory)",
)
def stone_shear(
    size: ArrayLike,
    stability: ArrayLike = 0.047,
    stone_weight: ArrayLike = 25919.0,
    water_weight: ArrayLike = WATER,
) -> Array:
    """Give the permissible shear of riprap.

    Parameters
    ----------
    size : (...) array
        D50: half the stone by mass is smaller. [m]
    stability : (...) array
        Shields' parameter F*, 0.047 to 0.15. [-]
    stone_weight : (...) array
        Unit weight of solid stone. [N/m3]
    water_weight : (...) array
        Unit weight of water. [N/m3]

    Returns
    -------
    (...) array
        Shear that it stands. [Pa]

    Raises
    ------
    OutOfRange
        A size or weight of 0 or below, stone no heavier than water, or a parameter outside 0.02
        to 0.25.

    Notes
    -----
    Ditches up to 10 %. Steeper ones need the steep-slope procedure of HEC-15; above 25 %, an
    engineer.
    """
    d = given.above_zero("size", size)
    f = given.within("stability", stability, 0.02, 0.25)
    water = given.above_zero("water_weight", water_weight)
    under = given.above_zero("stone_weight", stone_weight) - water
    given.above_zero("weight of stone less that of water", under)
    return np.asarray(f * under * d)


@method(
    title="Round pipe running full",
    equation="V = (D/4)^(2/3) S^(1/2) / n; Q = V pi D^2 / 4",
    source=_HEC22 + ", ch. 7",
)
def full_pipe(diameter: ArrayLike, roughness: ArrayLike, gradient: ArrayLike) -> PipeFlow:
    """Give what a pipe carries full, not under pressure.

    Parameters
    ----------
    diameter : (...) array
        Inside. [m]
    roughness : (...) array
        Manning's n. [-]
    gradient : (...) array
        Fall over run. [-]

    Returns
    -------
    velocity : (...) array
        Mean velocity. [m/s]
    flow : (...) array
        Discharge. [m3/s]

    Raises
    ------
    OutOfRange
        A diameter, roughness or gradient of 0 or below, or a gradient over 2.
    """
    d = given.above_zero("diameter", diameter)
    n = given.above_zero("roughness", roughness)
    v = (d / 4) ** (2 / 3) * np.sqrt(guard.gradient(gradient)) / n
    return PipeFlow(np.asarray(v), np.asarray(v * np.pi * d**2 / 4))
