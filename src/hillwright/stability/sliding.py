"""What slides: the pull of soil-filled cells down the slope, less what the ground under them holds.

Lengths are along the slope and heights square to it, so that area is slope area, never plan area.
Nothing at the toe is counted: a row below holds nothing up.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import (
    WATER,
    above_zero,
    at_least_zero,
    fitting,
    friction_angle,
    ground_slope,
    soil_weight,
    water_within,
    within,
)

GRAVITY = 9.80665  # standard gravity: turns the mass of a cell or a person into weight [m/s2]


class NetForce(NamedTuple):
    """Forces along the slope on one metre of width."""

    weight: Array
    uplift: Array
    driving: Array
    resisting: Array
    force: Array


class CellPull(NamedTuple):
    """What n cells pull with in one state."""

    weight: Array
    driving: Array
    resisting: Array
    net: Array
    per_metre: Array


@method(
    title="Net sliding force of a soil-filled layer, to be held by anchors",
    equation="T = FS W sin b - (W cos b - u L) tan d - ca L; W = (g t + q) L; u = gw h cos b",
    source="force balance along the slope, derived; flow parallel to the slope",
)
def net_sliding_force(
    unit_weight: ArrayLike,
    thickness: ArrayLike,
    slope: ArrayLike,
    interface_friction: ArrayLike,
    length: ArrayLike,
    adhesion: ArrayLike = 0.0,
    water_height: ArrayLike = 0.0,
    factor: ArrayLike = 1.0,
    surcharge: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
) -> NetForce:
    """Give the force per metre of width that friction under a layer leaves for the anchors.

    Parameters
    ----------
    unit_weight : (...) array
        Total unit weight of the layer, > 0; the saturated one where water stands in it. [N/m3]
    thickness : (...) array
        Of the layer, square to the slope, > 0. [m]
    slope : (...) array
        Ground angle from horizontal, 0 to less than pi/2. [rad]
    interface_friction : (...) array
        Angle of friction between the layer and the ground, 0 to 50 deg. [rad]
    length : (...) array
        Along the slope, > 0. [m]
    adhesion : (...) array
        Between the layer and the ground; 0 unless tested. [Pa]
    water_height : (...) array
        Of the water in the layer, square to the slope, 0 to the thickness. [m]
    factor : (...) array
        Factor on the driving force, >= 1. [-]
    surcharge : (...) array
        Weight on the layer over its slope area (people, stores), >= 0. [Pa]
    water_weight : (...) array
        Unit weight of water. [N/m3]

    Returns
    -------
    weight : (...) array
        Of the layer and what stands on it. [N/m]
    uplift : (...) array
        Of the water on the base. [N/m]
    driving : (...) array
        Down the slope, without the factor. [N/m]
    resisting : (...) array
        Friction and adhesion under the layer. [N/m]
    force : (...) array
        Factor times driving, less resisting; below 0 no anchor is needed for sliding. [N/m]

    Raises
    ------
    OutOfRange
        A negative weight, friction over 50 deg, water above the layer, a factor below 1.

    Notes
    -----
    The factor is on the driving force; dividing the friction by it gives another figure. A layer
    that floats (uplift above its weight on the slope) has no friction, never a negative one. Toe
    support is zero.
    """
    fitting(**locals())
    g, b = soil_weight(unit_weight), ground_slope(slope)
    t, run = above_zero("thickness", thickness), above_zero("length", length)
    d, ca = (
        friction_angle(interface_friction, "interface_friction"),
        at_least_zero("adhesion", adhesion),
    )
    h, q = water_within(water_height, t), at_least_zero("surcharge", surcharge)
    fs = _factor(factor)
    weight = (g * t + q) * run
    uplift = above_zero("water_weight", water_weight) * h * np.cos(b) * run
    driving = weight * np.sin(b)
    resisting = np.maximum(weight * np.cos(b) - uplift, 0.0) * np.tan(d) + ca * run
    return NetForce(
        *np.broadcast_arrays(weight, uplift, driving, resisting, fs * driving - resisting)
    )


@method(
    title="Pull of planting cells down the slope, cell by cell",
    equation="T = FS W (sin b + kh cos b) - (W (cos b - kh sin b) - gw h cos b A) tan d - ca A; "
    "W = (g t + q) A + m g0",
    source="force balance along the slope, derived; flow parallel to the slope",
    symbols={
        "FS": "factor",
        "W": "weight of the filled cell",
        "A": "ground under the cell, width times run",
        "b": "slope",
        "h": "water_height",
        "gw": "water_weight",
        "d": "interface_friction",
        "ca": "adhesion",
        "g": "fill_weight",
        "t": "fill_depth",
        "q": "surcharge",
        "m": "cell_mass",
        "g0": "gravity, 9.81 m/s2",
    },
)
def cell_pull(
    slope: ArrayLike,
    width: ArrayLike,
    run: ArrayLike,
    fill_depth: ArrayLike,
    fill_weight: ArrayLike,
    interface_friction: ArrayLike,
    cell_mass: ArrayLike = 0.0,
    adhesion: ArrayLike = 0.0,
    water_height: ArrayLike = 0.0,
    factor: ArrayLike = 1.0,
    surcharge: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
    kh: ArrayLike = 0.0,
) -> CellPull:
    """Give what each cell pulls with: empty, filled dry or filled and soaked.

    Parameters
    ----------
    slope : (n,) array
        Steepest angle of the base of each cell, 0 to less than pi/2. [rad]
    width, run : (n,) array
        Of the cell, along the row and along the slope, > 0. [m]
    fill_depth : (n,) array
        Of the soil in it, square to the slope; 0 when empty. [m]
    fill_weight : (n,) array
        Unit weight of that soil, dry or saturated, > 0. [N/m3]
    interface_friction : (n,) array
        Angle of friction under the cell, 0 to 50 deg. [rad]
    cell_mass : (n,) array
        Of the empty cell. [kg]
    adhesion : (n,) array
        Under the cell; 0 unless tested. [Pa]
    water_height : (n,) array
        Of water in the fill, square to the slope, 0 to its depth. [m]
    factor : (n,) array
        Factor on the driving force, >= 1. [-]
    surcharge : (n,) array
        Weight of people and stores over the cell's slope area, >= 0. [Pa]
    water_weight : (n,) array
        Unit weight of water. [N/m3]
    kh : (n,) array
        Horizontal earthquake force over weight, 0 to 1. [-]

    Returns
    -------
    weight : (n,) array
        Of cell, soil and what stands on it. [N]
    driving : (n,) array
        Down the slope, without the factor. [N]
    resisting : (n,) array
        Friction and adhesion under the cell. [N]
    net : (n,) array
        Left for the clips and anchors, never below 0: a cell that lies still by itself holds
        no other. [N]
    per_metre : (n,) array
        The same per metre of row. [N/m]

    Raises
    ------
    OutOfRange
        A negative weight, friction over 50 deg, water above the fill, a factor below 1.

    Notes
    -----
    Toe support is zero, and so is the help of a neighbour that lies still.
    """
    fitting(**locals())
    g, b = soil_weight(fill_weight, "fill_weight"), ground_slope(slope)
    w, r = above_zero("width", width), above_zero("run", run)
    t, m = at_least_zero("fill_depth", fill_depth), at_least_zero("cell_mass", cell_mass)
    d, ca = (
        friction_angle(interface_friction, "interface_friction"),
        at_least_zero("adhesion", adhesion),
    )
    h, q = (
        water_within(water_height, t, of="depth of the fill"),
        at_least_zero("surcharge", surcharge),
    )
    area = w * r
    weight = (g * t + q) * area + m * GRAVITY
    uplift = above_zero("water_weight", water_weight) * h * np.cos(b) * area
    shake = within("kh", kh, 0, 1)
    driving = weight * (np.sin(b) + shake * np.cos(b))
    pressing = weight * (np.cos(b) - shake * np.sin(b)) - uplift
    resisting = np.maximum(pressing, 0.0) * np.tan(d) + ca * area
    net = np.maximum(_factor(factor) * driving - resisting, 0.0)
    return CellPull(*np.broadcast_arrays(weight, driving, resisting, net, net / w))


@method(
    title="Steepest slope of a plane from its fall along two lines at right angles in plan",
    equation="tan b = sqrt(tan(along)^2 + tan(across)^2)",
    source="exact geometry",
)
def steepest_slope(along: ArrayLike, across: ArrayLike) -> Array:
    """Give the steepest slope of a base from its fall down the run and along the row.

    Parameters
    ----------
    along, across : (...) array
        Fall from horizontal, either way, less than pi/2. [rad]

    Returns
    -------
    (...) array
        Steepest angle from horizontal, >= 0. [rad]

    Raises
    ------
    OutOfRange
        An upright base.
    """
    fitting(**locals())
    # a fall either way is as steep
    down, side = (ground_slope(np.abs(v), n) for v, n in ((along, "along"), (across, "across")))
    return np.asarray(np.arctan(np.hypot(np.tan(down), np.tan(side))))


def _factor(value: ArrayLike) -> Array:
    found = above_zero("factor", value)
    if (found < 1).any():
        raise OutOfRange(
            "factor", "is below 1: less than what pulls would be held", "give 1 or more"
        )
    return found
