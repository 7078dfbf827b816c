"""How far routing is off on ground where the upslope area is known in closed form."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.given import above_zero, at_least_zero
from hillwright.method import method
from hillwright.runoff.routing import upslope_area
from hillwright.terrain.model import Ground

_MOST = 4_000_000  # nodes


class RoutingError(NamedTuple):
    """Specific catchment area by routing against the exact one."""

    mean: Array
    rms: Array
    mean_corrected: Array
    nodes: int


@method(
    title="Error of routed specific catchment area against an exact one",
    equation="e = (A / w) / sca - 1; w = dx, or corrected dx max(|sin a|, |cos a|), a aspect",
    source="Zhou and Liu 2002 (test surfaces, from memory); contour width: exact geometry",
)
def routing_error(
    surface: Ground,
    exact: Ground,
    half_width: float,
    step: float,
    inner: float = 0.0,
    outer: float = 1e300,
    margin: float = 0.0,
    scheme: str = "multiple",
    exponent: float = 1.1,
    border: str = "runs",
) -> RoutingError:
    """Route water over a formula's surface and hold what gathers against an exact formula.

    The grid is a square about the origin.

    Parameters
    ----------
    surface : Ground
        Height of the ground. [surface]
    exact : Ground
        Specific catchment area: area drained over width of contour, in metres. [surface]
    half_width : float
        Of the square, from its middle to its outermost nodes. [m]
    step : float
        Spacing of the nodes. [m]
    inner, outer : float
        Only nodes farther than one and nearer than the other from the middle count. [m]
    margin : float
        Nodes within this of the border do not count. [m]
    scheme : str
        "multiple", "d-infinity" or "d8". [text]
    exponent : float
        Power of the slope in the shares of multiple flow. [-]
    border : str
        "runs" or "outlet", as of the upslope area. [text]

    Returns
    -------
    mean : float
        Mean relative error of area over spacing. [-]
    rms : float
        Its root mean square. [-]
    mean_corrected : float
        Mean relative error of area over the width of contour that a node faces. [-]
    nodes : int
        That count. [-]

    Raises
    ------
    OutOfRange
        No node counts, too fine a grid, or an exact area that is not above 0.
    """
    half, dx = float(above_zero("half_width", half_width)), float(above_zero("step", step))
    edge = float(at_least_zero("margin", margin))
    count = round(2 * half / dx) + 1
    if count**2 > _MOST:
        raise OutOfRange("step", f"makes {count} by {count} nodes", "give a wider spacing")
    line = (np.arange(count) - (count - 1) / 2) * dx
    x, y = np.meshgrid(line, line)
    z, p, q = surface.at(x, y)
    area = upslope_area(z, dx, scheme, exponent, border).area
    away = np.hypot(x, y)
    inside = np.maximum(np.abs(x), np.abs(y)) <= line[-1] - edge * (1 - 1e-12)
    counts = inside & (away > inner) & (away < outer)
    if not counts.any():
        raise OutOfRange("inner, outer, margin", "leave no node", "give a wider ring")
    true = exact.at(x[counts], y[counts])[0]
    if not (true > 0).all():
        raise OutOfRange("exact", "is not above 0 everywhere", "leave such places out of the ring")
    gradient = np.hypot(p, q)[counts]
    with np.errstate(divide="ignore", invalid="ignore"):
        facing = np.maximum(np.abs(p[counts]), np.abs(q[counts])) / gradient
    error = area[counts] / (dx * true) - 1
    corrected = (error + 1) / np.where(gradient > 0, facing, 1.0) - 1
    rms = np.sqrt(np.mean(error**2))
    return RoutingError(
        np.asarray(error.mean()), np.asarray(rms), np.asarray(corrected.mean()), int(counts.sum())
    )
