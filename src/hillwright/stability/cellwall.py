"""The downhill wall of a cell against the soil inside it.

The assumption: soil at rest presses on the wall over its whole height as if it reached far uphill
(a box as short as a cell relieves it somewhat: see :func:`silo_pressure`, not counted), and what
the soil's own friction on the ground does not hold of its weight leans on the wall as well. The
wall spans from side wall to side wall like a thin plank with free ends, its foot not held.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
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
)


class CellWall(NamedTuple):
    """What presses on the downhill wall of a cell."""

    thrust: Array
    pressure: Array
    moment: Array
    stress: Array


class Silo(NamedTuple):
    """Pressure in a box of soil whose walls carry part of it."""

    vertical: Array
    horizontal: Array
    relief: Array


@method(
    title="Downhill wall of a cell against the soil inside",
    equation="p = K0 E + gw h cos b + T/d; E = max(0, (g d + q - gw h) cos b); T = max(0, (g d + q)"
    " sin b - E tan f) r; K0 = 1 - sin f; M = p w^2/8 per height; stress = 6 M/t^2",
    source="Jaky, 1944 (K0); statics of a plank on two supports; common practice, no source",
    symbols={
        "K0": "share of the pressure at rest",
        "E": "pressure of soil on the base",
        "T": "sliding of the soil along the base, for a width",
        "b": "slope",
        "g": "unit_weight",
        "d": "depth",
        "q": "surcharge",
        "gw": "water_weight",
        "h": "water_height",
        "f": "friction",
        "r": "run",
        "w": "width",
        "t": "thickness",
        "M": "moment",
    },
)
def cell_wall(
    width: ArrayLike,
    run: ArrayLike,
    depth: ArrayLike,
    slope: ArrayLike,
    unit_weight: ArrayLike,
    friction: ArrayLike,
    thickness: ArrayLike,
    water_height: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
) -> CellWall:
    """Give the pressure on the wall and the bending stress in it.

    Parameters
    ----------
    width : (...) array
        Between the side walls, > 0. [m]
    run : (...) array
        Of the cell along the slope, > 0. [m]
    depth : (...) array
        Of the soil, square to the slope, > 0. [m]
    slope : (...) array
        Of the base, 0 to less than pi/2. [rad]
    unit_weight : (...) array
        Of the soil, the saturated one where water stands in it. [N/m3]
    friction : (...) array
        Of the soil, and of the soil on the ground, 0 to 50 deg. [rad]
    thickness : (...) array
        Of the wall, > 0. [m]
    water_height : (...) array
        Of water in the cell, square to the slope, 0 to the depth; blocked holes: the depth. [m]
    surcharge : (...) array
        Somebody standing on the soil, over the cell's area, >= 0. [Pa]
    water_weight : (...) array
        Unit weight of water. [N/m3]

    Returns
    -------
    thrust : (...) array
        On the wall per metre of width. [N/m]
    pressure : (...) array
        At its foot, the most. [Pa]
    moment : (...) array
        Per metre of its height, at the foot and mid-span. [N]
    stress : (...) array
        From bending; hold it against the strength of the wall after years in the sun. [Pa]

    Raises
    ------
    OutOfRange
        A negative weight, friction over 50 deg, water above the fill.

    Notes
    -----
    Upper bounds: no arching, no relief from the side walls, no help from the foot, soil at rest.
    Compaction by tamping presses harder: do not tamp against the wall.
    """
    fitting(**locals())
    w, r, d = above_zero("width", width), above_zero("run", run), above_zero("depth", depth)
    b, p, g = ground_slope(slope), friction_angle(friction), soil_weight(unit_weight)
    h = water_within(water_height, d, of="depth of the soil")
    gw, q = above_zero("water_weight", water_weight), at_least_zero("surcharge", surcharge)
    up = np.cos(b)
    pore = gw * h * up
    k0 = 1 - np.sin(p)
    effective = np.maximum((g * d + q) * up - pore, 0.0)
    driven = np.maximum((g * d + q) * np.sin(b) - effective * np.tan(p), 0.0) * r  # per width
    foot = k0 * effective + pore
    # soil from its surface, buoyant below the water; the surcharge over the whole height
    soil = 0.5 * k0 * up * np.maximum(g * d**2 - gw * h**2, 0.0) + k0 * q * up * d
    thrust = soil + 0.5 * pore * h + driven
    pressure = foot + driven / d
    moment = pressure * w**2 / 8
    stress = 6 * moment / above_zero("thickness", thickness) ** 2
    return CellWall(*np.broadcast_arrays(thrust, pressure, moment, stress))


@method(
    title="Pressure in a box of soil whose walls carry part of it",
    equation="sv = g A/(U m K) (1 - exp(-U m K z/A)); sh = K sv; m = tan(wall friction)",
    source="Janssen, 1895 (from memory)",
)
def silo_pressure(
    unit_weight: ArrayLike,
    depth: ArrayLike,
    area: ArrayLike,
    perimeter: ArrayLike,
    wall_friction: ArrayLike,
    coefficient: ArrayLike,
) -> Silo:
    """Give how much friction on its walls relieves the soil in a cell.

    Parameters
    ----------
    unit_weight : (...) array
        Of the soil, > 0. [N/m3]
    depth : (...) array
        Below the surface, > 0. [m]
    area, perimeter : (...) array
        Of the box in plan, > 0. [m2], [m]
    wall_friction : (...) array
        Angle between soil and wall, 0 to 50 deg. [rad]
    coefficient : (...) array
        Of earth pressure on the walls, > 0. [-]

    Returns
    -------
    vertical, horizontal : (...) array
        Stress in the soil at that depth. [Pa]
    relief : (...) array
        Share of the overburden that the walls carry. [-]

    Raises
    ------
    OutOfRange
        A weight, depth, area, perimeter or coefficient of zero or less.

    Notes
    -----
    Level soil. Vibration and water undo it: an open-bottom cell is not to count on it.
    """
    fitting(**locals())
    g, z, k = (
        soil_weight(unit_weight),
        above_zero("depth", depth),
        above_zero("coefficient", coefficient),
    )
    rate = above_zero("perimeter", perimeter) * np.tan(
        friction_angle(wall_friction, "wall_friction")
    )
    x = rate * k * z / above_zero("area", area)
    left = np.where(x > 1e-12, -np.expm1(-x) / np.where(x > 1e-12, x, 1.0), 1.0)
    return Silo(*np.broadcast_arrays(g * z * left, k * g * z * left, 1 - left))
