"""Circles cut into slices, many circles at once: (k, s) arrays in the sliding frame.

Each arc is cut at equal angles and wherever it meets a corner of the ground, an end of a load or
a layer or water line: even slices alone lose 1 to 2 %. A slice's base is the chord, whose normal
through its middle passes the centre. Slices of no width are left in; they weigh nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.stability import polyline
from hillwright.stability.anchorpull import Pull, pull
from hillwright.stability.circles import Circles
from hillwright.stability.section import Section

SLICES = 40  # for a figure to be told; the search makes do with fewer
_MEETINGS = 4  # of one arc and one line that are broken at


@dataclass(frozen=True, slots=True, eq=False)
class Slices:
    """Forces on the slices of k circles; every force per metre of slope width."""

    sin: Array  # (k, s) of the base's angle from level, above 0 where the base drives [-]
    cos: Array
    width: Array  # (k, s) level [m]
    edge: Array  # (k, s + 1) x of the slices' sides, from the foot up [m]
    weight: Array  # (k, s) soil, water in it and loads on it [N/m]
    cohesive: Array  # (k, s) cohesion over the base's length [N/m]
    tan: Array  # (k, s) of the friction angle at the base [-]
    uplift: Array  # (k, s) pore pressure over the base's length [N/m]
    push: Array  # (k, s) level force down the slope: earthquake, water in the crack [N/m]
    driving: Array  # (k,) moment of weight and push about the centre, over the radius [N/m]
    deepest: Array  # (k,) most ground over the arc [m]
    area: Array  # (k,) of the mass [m2]
    inside: Mask  # (k,) the arc stays in the ground between its ends
    pull: Pull | None = None  # of the anchors


def _angles(section: Section, circles: Circles, count: int) -> Array:
    """Give the (k, s + 1) angles at which the arcs are cut, from the foot to the head."""
    foot, head = circles.foot[:, None], circles.head[:, None]
    even = foot + (head - foot) * np.linspace(0.0, 1.0, count + 1)
    k = len(circles)
    meet = [np.broadcast_to(section.corners, (k, len(section.corners)))]
    lines = [*section.lines] + ([section.water] if section.water is not None else [])
    meet += [
        polyline.hits(line, circles.x, circles.z, circles.radius)[:, :_MEETINGS] for line in lines
    ]
    x = np.concatenate(meet, axis=1)
    if not x.shape[1]:
        return even
    across = np.clip((x - circles.x[:, None]) / circles.radius[:, None], -1.0, 1.0)
    at = np.clip(np.arcsin(across), foot, head)
    return np.sort(np.concatenate([even, at], axis=1), axis=1)


def columns(
    section: Section, x: Array, bottom: Array, top: Array
) -> tuple[Array, Array, Array, Array, Array]:
    """Weigh columns per level area: weight, its moment over height, cohesion, tan, water head."""
    level = None if section.water is None else polyline.height(section.water, x)
    head = np.zeros_like(x) if level is None else np.maximum(level - bottom, 0.0)
    tans = np.tan(section.friction)
    weight = moment = np.zeros_like(x)
    cohesion = np.full_like(x, section.cohesion[0])
    tan = np.full_like(x, tans[0])
    upper = top
    for i in range(len(section.moist)):
        last = i == len(section.lines)
        lower = bottom if last else np.minimum(polyline.height(section.lines[i], x), upper)
        here = upper > bottom  # the base lies in this soil or below it
        low = np.maximum(lower, bottom)
        thick = np.maximum(upper - low, 0.0)
        each = section.moist[i] * thick
        if section.kh:
            moment = moment + each * (upper + low) / 2
        if level is not None and section.saturated[i] != section.moist[i]:
            wet_top = np.minimum(upper, level)
            wet = np.maximum(wet_top - low, 0.0)
            more = (section.saturated[i] - section.moist[i]) * wet
            each = each + more
            if section.kh:
                moment = moment + more * (wet_top + low) / 2
        weight = weight + each
        if i or section.gain[i]:
            strength = section.cohesion[i] + section.gain[i] * thick
            cohesion = np.where(here, strength, cohesion)
            tan = np.where(here, tans[i], tan)
        upper = lower
    return weight, moment, cohesion, tan, head


def cut(section: Section, circles: Circles, count: int = SLICES) -> Slices:
    """Cut circles into slices.

    Parameters
    ----------
    section : Section
        Rising to the right: the mass slides to the left.
    circles : Circles
        k of them.
    count : int
        Even slices, before those at corners and crossings.

    Returns
    -------
    Slices
        (k, s) with s the same for all.
    """
    angle = _angles(section, circles, count)
    half = np.diff(angle, axis=1) / 2
    middle = (angle[:, 1:] + angle[:, :-1]) / 2
    sin, cos = np.sin(middle), np.cos(middle)
    r = circles.radius[:, None]
    square = half * half  # of a small angle: two terms of its sine and cosine are exact enough
    near = r * (1 - square / 2 * (1 - square / 12))  # from the centre to the chord's middle
    length = 2 * r * half * (1 - square / 6 * (1 - square / 20))
    width = length * cos
    x, bottom = circles.x[:, None] + near * sin, circles.z[:, None] - near * cos
    top = polyline.height(section.ground, x)
    weight, moment, cohesion, tan, head = columns(section, x, bottom, top)
    pore = section.water_weight * head if section.water is not None else section.ru * weight
    for start, end, pressure in section.surcharge:
        loaded = np.where((x > start) & (x < end), pressure, 0.0)
        weight = weight + loaded
        if section.kh:  # what stands on the ground is shaken with it
            moment = moment + loaded * top
    thick = top - bottom
    hair = 1e-6 * circles.radius
    real = width > hair[:, None]
    weight = weight * width
    driving = (weight * sin).sum(axis=1)
    push = section.kh * weight
    if section.kh:
        arms = circles.z[:, None] * weight - moment * width
        driving = driving + section.kh * arms.sum(axis=1) / circles.radius
    if section.crack_water:
        thrust = 0.5 * section.water_weight * section.crack_water**2
        at = circles.z - circles.radius * np.cos(circles.head) + section.crack_water / 3
        driving = driving + thrust * (circles.z - at) / circles.radius
        push = push.copy()
        push[:, -1] += thrust
    return Slices(
        sin=sin,
        cos=cos,
        width=width,
        edge=circles.x[:, None] + r * np.sin(angle),
        weight=weight,
        cohesive=cohesion * length,
        tan=tan,
        uplift=np.maximum(pore, 0.0) * length,
        push=push,
        driving=driving,
        deepest=thick.max(axis=1),
        area=(thick * width).sum(axis=1),
        inside=np.where(real, thick, 0.0).min(axis=1) > -1e-6 * circles.radius,
        pull=pull(section.anchors, circles, angle) if section.anchors is not None else None,
    )
