"""The factor of safety on one plane that somebody names: a bedding plane, a cut, a steep face."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability import given, polyline
from hillwright.stability import section as sections
from hillwright.stability.given import WATER
from hillwright.stability.lists import listed
from hillwright.stability.slices import columns

_OFF = 0.01  # of the relief: a printed point lies this near to the ground it is meant to be on


class PlaneSlip(NamedTuple):
    """A mass on a plane; forces per metre of slope width."""

    factor: float
    weight: float
    length: float
    slope: float
    driving: float
    resisting: float


@method(
    title="Factor of safety on a given plane",
    equation=(
        "F = [c L + (W cos a - k W sin a - V sin a - U) tan p] / (W sin a + k W cos a + V cos a)"
    ),
    source="force balance along the plane; Baker 2001 for the case without water",
)
def plane_slip(
    surface: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    unit_weight: ArrayLike,
    foot: ArrayLike,
    head: ArrayLike,
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
    crack_water: float = 0.0,
) -> PlaneSlip:
    """Work out the factor of safety of the soil above one plane, falling to either side.

    Parameters
    ----------
    surface : (m, 2) array
        Ground, x and height, from one end of the section to the other. [m]
    cohesion, friction, unit_weight : float or array
        Of each soil from the top one downwards. [Pa], [rad], [N/m3]
    foot : (2,) array
        Where the plane comes out of the ground below. [m]
    head : (2,) array
        Its upper end: on the ground, or below it at the bottom of a tension crack. [m]
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
    crack_water : float
        Water standing in the crack above the head. [m]

    Returns
    -------
    factor : float
        Resisting over driving force along the plane. [-]
    weight : float
        Of the mass and the loads on it. [N/m]
    length : float
        Of the plane. [m]
    slope : float
        Of the plane from level. [rad]
    driving, resisting : float
        Forces along the plane. [N/m]

    Raises
    ------
    OutOfRange
        The foot is not on the ground, the plane leaves the ground or is level, or what is given
        is no section.

    Notes
    -----
    The mass moves as one block: for a steep face, or a weak plane that daylights. In soil a
    circle is usually weaker on slopes under about 60 deg: look at both.
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
    )
    low, high = given.number("foot", foot), given.number("head", head)
    if low.shape != (2,) or high.shape != (2,):
        raise OutOfRange("foot, head", "are not two points", "give x and height of each")
    if high[1] <= low[1]:
        what = "is not below the head"
        raise OutOfRange("foot", what, "give the lower end of the plane as its foot")
    if high[0] < low[0]:
        mine, flip = sections.mirrored(mine), np.array([-1.0, 1.0])
        low, high = low * flip, high * flip
    if high[0] - low[0] <= 1e-6 * mine.relief:
        raise OutOfRange("plane", "is upright", "give a plane that leads into the hill")
    crack = _crack(mine, low, high, crack_water)
    line = np.array([low, high])
    meet = polyline.crossings([line, *mine.lines, *([] if mine.water is None else [mine.water])])
    inner = np.concatenate([mine.corners, mine.ground[:, 0], meet])
    x = np.unique([low[0], *inner[(inner > low[0]) & (inner < high[0])], high[0]])
    middle = (x[1:] + x[:-1]) / 2
    bottom, top = polyline.height(line, middle), polyline.height(mine.ground, middle)
    if (top - bottom).min() < -1e-9 * mine.relief:
        at = float(middle[int(np.argmin(top - bottom))])
        where = -at if mine.ground[0, 0] != np.min(np.asarray(surface, float)[:, 0]) else at
        what = f"leaves the ground near x = {where:.4g} m"
        raise OutOfRange("plane", what, "give ends between which it stays in the ground")
    each, _, c, tan, water = columns(mine, middle, bottom, top)
    pore = mine.water_weight * water if mine.water is not None else mine.ru * each
    for start, end, pressure in mine.surcharge:
        each = each + np.where((middle > start) & (middle < end), pressure, 0.0)
    a = float(np.arctan2(high[1] - low[1], high[0] - low[0]))
    width = np.diff(x)
    weight, length = each * width, width / np.cos(a)
    thrust = 0.5 * mine.water_weight * crack**2
    push = mine.kh * weight
    driving = float((weight * np.sin(a) + push * np.cos(a)).sum() + thrust * np.cos(a))
    normal = weight * np.cos(a) - push * np.sin(a) - pore * length
    # the water in the crack lifts the block as a whole: shared along the plane
    normal = normal - thrust * np.sin(a) * length / length.sum()
    resisting = float((c * length + normal * tan).sum())
    if resisting <= 0:
        raise OutOfRange("plane", "carries nothing: water floats it off", "look at the water first")
    return PlaneSlip(
        resisting / driving, float(weight.sum()), float(length.sum()), a, driving, resisting
    )


def _crack(mine: sections.Section, low: np.ndarray, high: np.ndarray, water: float) -> float:
    """Check the ends against the ground; give the height of water in the crack [m]."""
    off = _OFF * mine.relief
    for name, end in (("foot", low), ("head", high)):
        if not mine.ground[0, 0] - off <= end[0] <= mine.ground[-1, 0] + off:
            raise OutOfRange(name, "is beyond the ground that is given", "give more ground")
    foot_gap, head_gap = (float(polyline.height(mine.ground, e[:1])[0] - e[1]) for e in (low, high))
    if abs(foot_gap) > off:
        side = "below" if foot_gap > 0 else "above"
        what = f"is {abs(foot_gap):.3g} m {side} the ground"
        raise OutOfRange("foot", what, "put it on the ground")
    if head_gap < -off:
        raise OutOfRange("head", "is above the ground", "put it on the ground, or below it")
    given.water_within(water, max(head_gap, 0.0), "crack_water", "depth of the crack")
    return float(water)
