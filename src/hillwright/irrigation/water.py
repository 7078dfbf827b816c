"""Water in the tubing: density, viscosity, head from pressure, velocity from flow."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.irrigation.losses import GRAVITY
from hillwright.irrigation.tables import numbers
from hillwright.method import method


class Water(NamedTuple):
    """Water at a temperature."""

    density: Array
    viscosity: Array
    unit_weight: Array


@method(
    title="Density and viscosity of water",
    equation="between the tabled temperatures: density by straight lines, log viscosity by a cubic",
    source="Hydraulic Institute, Engineering Data Book, liquid water properties",
)
def water_properties(temperature: ArrayLike = 20.0) -> Water:
    """Look up water at a temperature.

    Parameters
    ----------
    temperature : (n,) array
        0 to 40 deg C. [degC]

    Returns
    -------
    density : (n,) array
        Mass for a volume. [kg/m3]
    viscosity : (n,) array
        Kinematic. [m2/s]
    unit_weight : (n,) array
        Weight for a volume. [N/m3]

    Raises
    ------
    OutOfRange
        Ice, or water hotter than the table.

    Notes
    -----
    0 to 40 deg C.
    """
    t = given.within("temperature", temperature, 0.0, 40.0)
    at, rho, mu = (
        numbers("irrigation_water", "water", c)
        for c in ("temp_c", "density_kg_m3", "dynamic_viscosity_cP")
    )
    density = np.interp(t, at, rho)
    fitted = np.polynomial.Polynomial.fit(at, np.log(mu * 1e-3 / rho), len(at) - 1)
    return Water(density, np.exp(fitted(t)), density * GRAVITY)


@method(
    title="Pressure as head of water",
    equation="h = p / w; 1 psi stands for 2.31 ft",
    source="exact physics; 2.31 ft/psi as in Boman and Shukla, UF IFAS Circular 1425",
)
def pressure_head(pressure: ArrayLike, unit_weight: float = 62.4 * 157.08746) -> Array:
    """Give the head of water that a pressure holds up.

    Parameters
    ----------
    pressure : (n,) array
        Gauge pressure. [Pa]
    unit_weight : float
        Of the water; 62.4 lb/ft3 where none is given. [N/m3]

    Returns
    -------
    head : (n,) array
        Height of the water. [m]

    Raises
    ------
    OutOfRange
        A unit weight of 0 or below.
    """
    return np.asarray(
        given.number("pressure", pressure) / given.above_zero("unit_weight", unit_weight)
    )


@method(
    title="Mean velocity in a pipe",
    equation="V = 4 Q / (pi D^2); V = 0.4085 Q/d^2 in gpm, in and ft/s",
    source="exact geometry",
    symbols={"V": "velocity", "Q": "flow", "D": "bore", "d": "bore in inches"},
)
def velocity(flow: ArrayLike, bore: ArrayLike) -> Array:
    """Give the mean velocity.

    Parameters
    ----------
    flow : (n,) array
        In the pipe. [m3/s]
    bore : (n,) array
        Inside diameter. [m]

    Returns
    -------
    velocity : (n,) array
        Flow over area. [m/s]

    Raises
    ------
    OutOfRange
        A bore of 0 or below.
    """
    d = given.above_zero("bore", bore)
    return np.asarray(4 * given.number("flow", flow) / (np.pi * d**2))


@method(
    title="Largest flow at a velocity limit",
    equation="Q = V pi D^2 / 4",
    source="exact geometry; 5 ft/s as in Boman and Shukla, UF IFAS Circular 1425",
)
def largest_flow(bore: ArrayLike, limit: float = 5 * 0.3048) -> Array:
    """Give the flow at which the velocity reaches its limit.

    Parameters
    ----------
    bore : (n,) array
        Inside diameter. [m]
    limit : float
        Velocity that friction and surge allow; 5 ft/s where none is given. [m/s]

    Returns
    -------
    flow : (n,) array
        Most that the pipe should carry. [m3/s]

    Raises
    ------
    OutOfRange
        A bore or limit of 0 or below.
    """
    d, v = given.above_zero("bore", bore), given.above_zero("limit", limit)
    return np.asarray(v * np.pi * d**2 / 4)


@method(
    title="Flow by timing a bucket",
    equation="Q = volume / time",
    source="exact; a home drip guide (Biology Insights) prints 300/seconds for 5 gal",
)
def bucket_test(volume: ArrayLike, time: ArrayLike) -> Array:
    """Give the flow that filled a bucket.

    Parameters
    ----------
    volume : (n,) array
        Of the bucket. [m3]
    time : (n,) array
        To fill it. [s]

    Returns
    -------
    flow : (n,) array
        With the tap as it stood: wide open, at no pressure left. [m3/s]

    Raises
    ------
    OutOfRange
        A volume or time of 0 or below.

    Notes
    -----
    A tap wide open gives its flow at zero residual pressure: read a gauge as well.
    """
    return np.asarray(given.above_zero("volume", volume) / given.above_zero("time", time))


@method(
    title="Application rate of a drip grid",
    equation="rate = q / (Se Sr); 1.604 q/(Se Sr) in gph, ft and in/h",
    source="exact geometry",
    symbols={"q": "flow", "Se": "emitter_spacing", "Sr": "row_spacing"},
)
def application_rate(flow: ArrayLike, emitter_spacing: ArrayLike, row_spacing: ArrayLike) -> Array:
    """Give the depth of water in a time over the area of one emitter.

    Parameters
    ----------
    flow : (n,) array
        Of one emitter. [m3/s]
    emitter_spacing, row_spacing : (n,) array
        Along the row, and between rows. [m], [m]

    Returns
    -------
    rate : (n,) array
        Over the whole area. [m/s]

    Raises
    ------
    OutOfRange
        A spacing of 0 or below.
    """
    along = given.above_zero("emitter_spacing", emitter_spacing)
    apart = given.above_zero("row_spacing", row_spacing)
    return np.asarray(given.at_least_zero("flow", flow) / (along * apart))


@method(
    title="Volume of a depth of water over an area",
    equation="V = depth * area; 0.623 gal for one inch on one square foot",
    source="exact geometry; constant as in Utah State University Forestry Extension",
)
def water_volume(depth: ArrayLike, area: ArrayLike) -> Array:
    """Give the volume of a depth of water.

    Parameters
    ----------
    depth : (n,) array
        Of the water. [m]
    area : (n,) array
        It stands on. [m2]

    Returns
    -------
    volume : (n,) array
        Of the water. [m3]

    Raises
    ------
    OutOfRange
        A negative depth or area.
    """
    return np.asarray(given.at_least_zero("depth", depth) * given.at_least_zero("area", area))


@method(
    title="Water that drains out when the valve shuts",
    equation="V = sum of length * pi D^2 / 4 above the lowest emitter",
    source="exact geometry",
    symbols={"D": "bore"},
)
def drained_volume(length: ArrayLike, bore: ArrayLike) -> Array:
    """Give the volume of tubing: what runs out at the lowest emitter where nothing holds it.

    Parameters
    ----------
    length : (n,) array
        Of tubing above the lowest emitter. [m]
    bore : (n,) array
        Its inside diameter. [m]

    Returns
    -------
    volume : (n,) array
        Lost and filled again at every start. [m3]

    Raises
    ------
    OutOfRange
        A negative length, a bore of 0 or below.
    """
    d = given.above_zero("bore", bore)
    return np.asarray(given.at_least_zero("length", length) * np.pi * d**2 / 4)
