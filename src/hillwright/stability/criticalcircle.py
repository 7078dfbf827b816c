"""The critical circle of a published case: lists in, least factors by method and family out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.stability.critical import TRIALS, critical_on
from hillwright.stability.given import WATER
from hillwright.stability.lists import listed


class Minima(NamedTuple):
    """Least factors of a section, each on its own circle, and Bishop's circle."""

    ordinary: float
    bishop: float
    spencer: float
    toe: float
    base: float
    layers: Array
    skin: float
    centre: Array
    radius: float
    foot: Array
    head: Array
    depth: float
    tried: int


@method(
    title="Critical circle of a section",
    equation=(
        "least F over all circles: a scan of foot, head and depth, then a shrinking grid about "
        "the best of each family (through the toe, touching a layer line or the base, free); "
        "F as in stability.given_circle"
    ),
    source=(
        "Bishop 1955; Spencer 1967 (equations from memory); families as Duncan and Wright 2005, "
        "Soil Strength and Slope Stability, chapter 14 advise (from memory)"
    ),
    symbols={"F": "factor of safety"},
)
def critical_circle(
    surface: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    *,
    base: ArrayLike | None = None,
    layer_lines: Sequence[ArrayLike] = (),
    saturated_unit_weight: ArrayLike | None = None,
    cohesion_gain: ArrayLike = 0.0,
    water_line: ArrayLike | None = None,
    pore_pressure_ratio: float = 0.0,
    water_unit_weight: float = WATER,
    surcharge: ArrayLike = (),
    surcharge_from: ArrayLike = (),
    surcharge_to: ArrayLike = (),
    kh: float = 0.0,
    crack_depth: float = 0.0,
    crack_water: float = 0.0,
    anchor_head: ArrayLike = (),
    anchor_angle: ArrayLike = (),
    anchor_length: ArrayLike = (),
    anchor_force: ArrayLike = (),
    anchor_side: str = "resisting",
    least_depth: float | None = None,
    trials: int = TRIALS,
) -> Minima:
    """Search a section, falling to either side, for the circles with the least factors of safety.

    Parameters
    ----------
    surface : (m, 2) array
        Ground, x and height, from one end of the section to the other; circles stay between
        its ends. [m]
    cohesion, friction, unit_weight : float or array
        Of each soil from the top one downwards; undrained strength is cohesion with friction 0.
        [Pa], [rad], [N/m3]
    base : float or array
        Level or line (points of x and height) that no circle crosses. [m]
    layer_lines : sequence of lines
        Top of each soil but the first: points of x and height, or one level. [m]
    saturated_unit_weight : float or array
        Of each soil below the water line; as unit_weight where not given. [N/m3]
    cohesion_gain : float or array
        What each cohesion gains per metre below the top of its soil. [Pa/m]
    water_line : float or array
        Piezometric line, points of x and height, or one level. [m]
    pore_pressure_ratio : float
        ru, pore pressure over the weight of the soil above, instead of a water line. [-]
    water_unit_weight : float
        Unit weight of water. [N/m3]
    surcharge : float or array
        Pressure of each load on the level ground area. [Pa]
    surcharge_from, surcharge_to : float or array
        x between which each load stands. [m]
    kh : float
        Horizontal earthquake force over weight. [-]
    crack_depth, crack_water : float
        Tension crack where the circles would come out above, and the water standing in it. [m]
    anchor_head : (a, 2) array
        Where each anchor enters the ground. [m]
    anchor_angle, anchor_length, anchor_force : float or array
        Below horizontal into the hill; to the far end; pull per metre of slope width.
        [rad], [m], [N/m]
    anchor_side : str
        "resisting": the pull is divided by the factor like the soil's strength; "driving": it is
        taken off the driving moment in full. [text]
    least_depth : float
        Least depth of ground over an arc; 1/20 of the slope's height where the face has no
        cohesion, else next to nothing. [m]
    trials : int
        About how many circles to scan, before the polish. [-]

    Returns
    -------
    ordinary, bishop, spencer : float
        Least factor by each method, on its own circle; not a number where none balances. [-]
    toe, base : float
        Bishop's least among circles through a toe of the ground, and among those that touch the
        base; not a number where there are none. [-]
    layers : (l,) array
        Bishop's least among circles that touch each layer line; not a number where none. [-]
    skin : float
        Of the face's skin where it has no cohesion, at no depth; infinite elsewhere. [-]
    centre : (2,) array
        Of Bishop's circle. [m]
    radius : float
        Of Bishop's circle. [m]
    foot, head : (2,) array
        Where it comes out below and breaks the ground above. [m]
    depth : float
        Most ground over it, upright. [m]
    tried : int
        Circles worked out. [-]

    Raises
    ------
    OutOfRange
        No circle slides, or what is given is no section: water above the ground, layers that
        cross, soils upside down.

    Notes
    -----
    A circle is an upper bound: a surface that leaves the circle may be 1 to 3 % weaker, and a
    thin weak seam slides on its own plane. Water is hydrostatic below the water line. Read skin
    beside the circles: where the face has no cohesion the lower of both counts.
    """
    mine = listed(
        surface,
        cohesion,
        friction,
        unit_weight,
        layer_lines=layer_lines,
        saturated_unit_weight=saturated_unit_weight,
        cohesion_gain=cohesion_gain,
        water_line=water_line,
        pore_pressure_ratio=pore_pressure_ratio,
        water_unit_weight=water_unit_weight,
        surcharge=surcharge,
        surcharge_from=surcharge_from,
        surcharge_to=surcharge_to,
        kh=kh,
        crack_depth=crack_depth,
        crack_water=crack_water,
        base=base,
        anchor_head=anchor_head,
        anchor_angle=anchor_angle,
        anchor_length=anchor_length,
        anchor_force=anchor_force,
        anchor_side=anchor_side,
    )
    found = critical_on(
        mine, ("ordinary", "spencer", "bishop"), trials=trials, least_depth=least_depth
    )
    least = {f.family: f.factor for f in reversed(found.families) if f.method == "bishop"}
    nan = float("nan")
    return Minima(
        found.factor("ordinary"),
        found.factor("bishop"),
        found.factor("spencer"),
        least.get("toe", nan),
        least.get("base", nan),
        np.array([least.get(f"layer {i + 1}", nan) for i in range(len(mine.lines))]),
        found.skin,
        found.centre,
        found.radius,
        found.foot,
        found.head,
        found.depth,
        found.tried,
    )
