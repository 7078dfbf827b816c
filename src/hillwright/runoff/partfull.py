"""A round pipe that runs part full."""

from __future__ import annotations

import math
from typing import NamedTuple

from hillwright import given
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff.channels import full_pipe


class PartFull(NamedTuple):
    """Water in a pipe that has room left."""

    depth: float
    velocity: float


@method(
    title="Round pipe running part full",
    equation="Q = A R^(2/3) S^(1/2) / n; A = (t - sin t) D^2 / 8, P = t D / 2, "
    "d = D (1 - cos(t/2)) / 2",
    source="FHWA 2024, HEC-22 4th ed., ch. 7 (Manning), exact geometry of the circle",
    symbols={
        "Q": "flow",
        "A": "area of the water",
        "R": "A/P",
        "P": "wetted perimeter",
        "S": "gradient",
        "n": "roughness",
        "D": "diameter",
        "t": "angle of the water at the centre",
        "d": "depth of the water",
    },
)
def part_full(flow: float, diameter: float, roughness: float, gradient: float) -> PartFull:
    """Give depth and velocity of a flow in a pipe that is not full.

    Parameters
    ----------
    flow : float
        Discharge, at most what the pipe carries full. [m3/s]
    diameter : float
        Inside. [m]
    roughness : float
        Manning's n, the same at every depth. [-]
    gradient : float
        Fall over run. [-]

    Returns
    -------
    depth : float
        Of the water. [m]
    velocity : float
        Mean of the water's section. [m/s]

    Raises
    ------
    OutOfRange
        A flow, diameter, roughness or gradient of 0 or below, a gradient over 2, or more water
        than the pipe carries full.

    Notes
    -----
    Even flow. A pipe carries a little more than when full at nine tenths of its depth; the
    shallower of the two depths is given.
    """
    q = float(given.above_zero("flow", flow))
    full = full_pipe(diameter, roughness, gradient)
    if q > float(full.flow) * (1 + 1e-9):
        what = f"{q:.3g} m3/s is more than the {float(full.flow):.3g} m3/s that it carries full"
        raise OutOfRange("flow", what, "take a larger pipe")
    k = math.sqrt(gradient) / roughness

    def at(angle: float) -> tuple[float, float]:
        area = (angle - math.sin(angle)) * diameter**2 / 8
        return area, k * (area / (angle * diameter / 2)) ** (2 / 3)

    # flow grows with the wetted angle up to 302 degrees, where it is greatest
    low, high = 1e-6, math.radians(302)
    for _ in range(80):
        middle = (low + high) / 2
        area, velocity = at(middle)
        low, high = (middle, high) if area * velocity < q else (low, middle)
    return PartFull(diameter * (1 - math.cos(high / 2)) / 2, at(high)[1])
