"""The factor of safety on one circle that somebody names, by four methods side by side."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability import given, polyline
from hillwright.stability import section as sections
from hillwright.stability.bishop import SMALLEST_M, bishop, ordinary
from hillwright.stability.circles import Circles
from hillwright.stability.given import WATER
from hillwright.stability.lists import listed
from hillwright.stability.morgenstern import morgenstern_price
from hillwright.stability.section import Section
from hillwright.stability.slices import cut
from hillwright.stability.spencer import spencer

_FINE = 120  # slices of a circle that is told alone
_MISSED = "give a centre above the slope and a radius that reaches below the ground"


class GivenCircle(NamedTuple):
    """One circle by four methods."""

    ordinary: float
    bishop: float
    spencer: float
    morgenstern_price: float
    lean: float
    weight: float
    area: float
    arc_length: float
    depth: float
    foot: Array
    head: Array


def on_section(given_section: Section, centre: ArrayLike, radius: float) -> tuple[Section, Circles]:
    """Lay a circle on a section and look at it from the side that slides.

    Parameters
    ----------
    given_section : Section
        Falling either way.
    centre : (2,) array
        [m]
    radius : float
        [m]

    Returns
    -------
    section : Section
        In the sliding frame.
    circle : Circles
        One, between its ends on the ground.

    Raises
    ------
    OutOfRange
        The circle misses the slope, holds all of it, or overhangs at its head.
    """
    middle = given.number("centre", centre)
    if middle.shape != (2,):
        raise OutOfRange("centre", "is not a point", "give its x and height")
    r = float(given.above_zero("radius", radius))
    x, z = float(middle[0]), float(middle[1])
    left, right = _mass(given_section, x, z, r)
    ground = given_section.ground
    low, high = (float(polyline.height(ground, np.asarray(v))) for v in (left, right))
    if low > high:
        mine = sections.mirrored(given_section)
        return mine, _between(mine, -x, z, r, -right, -left)
    return given_section, _between(given_section, x, z, r, left, right)


def _mass(s: Section, x: float, z: float, r: float) -> tuple[float, float]:
    """Give the two x between which the lower arc lies deepest in the ground."""
    ground = s.ground
    one = np.array([x]), np.array([z]), np.array([r])
    at = polyline.hits(ground, *one)[0]
    at = at[np.isfinite(at)]
    # only the lower arc cuts soil off; a crossing above the centre is of the upper one
    lower = at[polyline.height(ground, at) < z]
    if lower.size < 2:
        if at.size >= 2:
            what = "its centre is not above the ground that it cuts"
            raise OutOfRange("circle", what, "give a centre above the head of the circle")
        if polyline.nearest(ground, one[0], one[1])[0] > r:
            raise OutOfRange("circle", "misses the slope", _MISSED)
        what = "does not come out of the ground that is given"
        raise OutOfRange(
            "circle", what, "give more ground beyond toe and crest, or a smaller circle"
        )
    best, most = None, 0.0
    for start, end in pairwise(lower.tolist()):
        across = np.linspace(start, end, 65)
        arc = z - np.sqrt(np.maximum(r * r - (across - x) ** 2, 0.0))
        thick = polyline.height(ground, across) - arc
        if (area := float(thick.mean() * (end - start))) > most:
            best, most = (float(start), float(end)), area
    if best is None:
        raise OutOfRange("circle", "misses the slope", _MISSED)
    return best


def _between(s: Section, x: float, z: float, r: float, left: float, right: float) -> Circles:
    if s.crack > 0:
        bottom = s.ground - [0.0, s.crack]
        at = polyline.hits(bottom, np.array([x]), np.array([z]), np.array([r]))[0]
        inner = at[np.isfinite(at) & (at > left) & (at <= right)]
        if not inner.size:
            what = "is deeper than the mass that the circle cuts off"
            raise OutOfRange("crack_depth", what, "give a shallower crack or a deeper circle")
        right = float(inner[-1])
    foot, head = (float(np.arcsin(np.clip((v - x) / r, -1.0, 1.0))) for v in (left, right))
    return Circles(*(np.array([v]) for v in (x, z, r, foot, head)))


@method(
    title="Factor of safety on a given circle, by four methods of slices",
    equation=(
        "ordinary F = S[c l + (W cos a - u l cos^2 a) tan p] / S W sin a; Bishop F = "
        "S[(c b + (W - u b) tan p) / (cos a + sin a tan p / F)] / S W sin a; Spencer and "
        "Morgenstern-Price balance forces as well, X = lambda f(x) E"
    ),
    source=(
        "Fellenius 1936; Bishop 1955, Geotechnique 5(1); Morgenstern and Price 1965; Spencer "
        "1967; Fredlund and Krahn 1977, Can. Geotech. J. 14(3) (equations from memory)"
    ),
)
def given_circle(
    surface: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    centre: ArrayLike,
    radius: float,
    *,
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
    side_force: str = "half-sine",
    slices: int = _FINE,
) -> GivenCircle:
    """Work out the factor of safety of the soil above one circle, falling to either side.

    Parameters
    ----------
    surface : (m, 2) array
        Ground, x and height, from one end of the section to the other. [m]
    cohesion, friction, unit_weight : float or array
        Of each soil from the top one downwards; undrained strength is cohesion with friction 0.
        [Pa], [rad], [N/m3]
    centre : (2,) array
        Of the circle, x and height. [m]
    radius : float
        Of the circle. [m]
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
        Tension crack where the circle would come out above, and the water standing in it. [m]
    anchor_head : (a, 2) array
        Where each anchor enters the ground. [m]
    anchor_angle, anchor_length, anchor_force : float or array
        Below horizontal into the hill; to the far end; pull per metre of slope width.
        [rad], [m], [N/m]
    anchor_side : str
        "resisting": the pull is divided by the factor like the soil's strength; "driving": it is
        taken off the driving moment in full. [text]
    side_force : str
        Of Morgenstern-Price: "half-sine" or "constant". [text]
    slices : int
        Even slices before those at corners and crossings. [-]

    Returns
    -------
    ordinary, bishop, spencer, morgenstern_price : float
        Factor of safety on strength; not a number where side forces find no balance. [-]
    lean : float
        Of Spencer's side forces from level. [rad]
    weight : float
        Of the mass and the loads on it, per metre of slope width. [N/m]
    area : float
        Of the mass. [m2]
    arc_length : float
        From the foot to the head, or to the bottom of the crack. [m]
    depth : float
        Most ground over the arc, upright. [m]
    foot, head : (2,) array
        Ends of the arc. [m]

    Raises
    ------
    OutOfRange
        The circle misses the slope or overhangs, nothing drives it, or what is given is no
        section: water above the ground, layers that cross, soils upside down.

    Notes
    -----
    For soil that slides on a circle: a thin weak seam slides on a plane instead. Water is
    hydrostatic below the water line, with no pond on the ground. An ordinary factor under
    water is low by tens of percent and is shown for comparison only.
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
        anchor_head=anchor_head,
        anchor_angle=anchor_angle,
        anchor_length=anchor_length,
        anchor_force=anchor_force,
        anchor_side=anchor_side,
    )
    if not 3 <= slices <= 5000:
        raise OutOfRange("slices", f"{slices} is not a number of slices", "give 3 to 5000")
    return factors_on(mine, centre, radius, side_force, slices)


def factors_on(
    mine: Section,
    centre: ArrayLike,
    radius: float,
    side_force: str = "half-sine",
    count: int = _FINE,
) -> GivenCircle:
    """Work out the factors of one circle on a section; see :func:`given_circle`."""
    seen, circle = on_section(mine, centre, radius)
    with np.errstate(all="ignore"):
        s = cut(seen, circle, count)
        start = bishop(s)
        if not np.isfinite(start[0]):
            what, right = _why(float(s.driving[0] / s.weight.sum()))
            raise OutOfRange("circle", what, right)
        balanced = spencer(s, start)
        both = morgenstern_price(s, start, side_force)
        plain = ordinary(s)
    sign = np.array([-1.0 if seen is not mine else 1.0, 1.0])
    ends = circle.points(np.column_stack([circle.foot, circle.head]))
    return GivenCircle(
        float(plain[0]),
        float(start[0]),
        _or_nan(balanced.factor),
        _or_nan(both),
        float(balanced.lean[0]),
        float(s.weight.sum()),
        float(s.area[0]),
        float(circle.radius[0] * (circle.head[0] - circle.foot[0])),
        float(s.deepest[0]),
        np.array([ends[0][0, 0], ends[1][0, 0]]) * sign,
        np.array([ends[0][0, 1], ends[1][0, 1]]) * sign,
    )


def _or_nan(factor: Array) -> float:
    return float(factor[0]) if np.isfinite(factor[0]) else float("nan")


def _why(driving: float) -> tuple[str, str]:
    if driving <= 1e-6:
        return "nothing drives the mass above it", "give a circle whose mass would slide down"
    return (
        f"its foot rises too steeply for the friction there (m_alpha under {SMALLEST_M:g})",
        "give a flatter or shallower circle",
    )
