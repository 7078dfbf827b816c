"""What a section may be given: each thing that no section can have has a message of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.stability import given, polyline

_SLACK = 1e-6  # of the relief: lines that touch are drawn this far over each other at most


class Soils(NamedTuple):
    """The soils from the top downwards, each (n,)."""

    cohesion: Array
    friction: Array
    moist: Array
    saturated: Array
    gain: Array


def line(name: str, points: ArrayLike, least: int = 2) -> Array:
    """Pass a line on as corners from left to right."""
    try:
        found = np.array(points, float)
    except ValueError:
        found = np.empty(0)
    if found.size == 1 and least == 1:  # one level for all of the section
        found = np.array([[0.0, float(found.reshape(()))]])
    elif found.shape == (2,) and least == 1:
        found = found.reshape(1, 2)
    if found.ndim != 2 or found.shape[1] != 2 or len(found) < least:
        right = f"give {least} or more points, each x and height"
        raise OutOfRange(name, "is not a line", right)
    given.number(name, found)
    if found[-1, 0] < found[0, 0]:
        found = found[::-1].copy()
    back = np.flatnonzero(np.diff(found[:, 0]) < 0)
    if back.size:
        what = f"goes back on itself at point {int(back[0]) + 2}"
        raise OutOfRange(name, what, "give its points in order from one end to the other")
    return found


def ground(points: ArrayLike) -> Array:
    """Pass the ground on: from left to right, upright faces leaned by a hair."""
    found = line("surface", points)
    x, z = found[:, 0].copy(), found[:, 1]
    if np.ptp(z) <= 0:
        raise OutOfRange("surface", "is level: nothing can slide", "give ground that slopes")
    if x[-1] <= x[0]:
        raise OutOfRange("surface", "is an upright line", "give ground at its top and its toe")
    hair = 1e-7 * float(np.ptp(z))
    for i in np.flatnonzero(np.diff(x) < hair):  # few: only the feet of upright faces
        x[i + 1] = x[i] + hair
    return np.column_stack([x, z])


def layers(surface: Array, lines: Sequence[ArrayLike]) -> tuple[Array, ...]:
    """Pass layer lines on, each level beyond its ends and nowhere above the one before it."""
    left, right = float(surface[0, 0]), float(surface[-1, 0])
    slack = _SLACK * float(np.ptp(surface[:, 1]))
    found: list[Array] = []
    given_lines = list(lines)
    if len(given_lines) > 1 and all(np.shape(points) == (2,) for points in given_lines):
        given_lines = [np.asarray(given_lines, float)]  # one line, given without its own brackets
    for i, points in enumerate(given_lines, 1):
        name = f"layer_lines, line {i}"
        new = polyline.extended(line(name, points, 1), left, right)
        if found:
            x = np.union1d(found[-1][:, 0], new[:, 0])
            over = polyline.height(new, x) - polyline.height(found[-1], x)
            # where both would stand above the ground neither is there, so they may cross
            top = polyline.height(surface, x)
            over = np.where(polyline.height(found[-1], x) >= top, 0.0, over)
            if over.max() > slack:
                at = float(x[int(np.argmax(over))])
                what = f"crosses the line above it at x = {at:.4g} m"
                raise OutOfRange(name, what, "give the lines from the top one downwards")
        found.append(new)
    return tuple(found)


def soils(
    count: int,
    cohesion: ArrayLike,
    friction: ArrayLike,
    moist: ArrayLike,
    saturated: ArrayLike | None,
    gain: ArrayLike,
) -> Soils:
    """Pass the soils on, one value for each, or one for all."""

    def each(name: str, value: Array) -> Array:
        flat = np.atleast_1d(value)
        if flat.ndim != 1 or len(flat) not in (1, count):
            what = f"has {flat.size} values for {count} soil{'s' * (count > 1)}"
            right = "give one for each soil, or one for all; one layer line less than soils"
            raise OutOfRange(name, what, right)
        return np.broadcast_to(flat, (count,)).copy()

    c = each("cohesion", given.at_least_zero("cohesion", cohesion))
    phi = each("friction", given.friction_angle(friction))
    weight = each("unit_weight", given.soil_weight(moist))
    rate = each("cohesion_gain", given.at_least_zero("cohesion_gain", gain))
    wet = weight
    if saturated is not None:
        name = "saturated_unit_weight"
        wet = each(name, given.soil_weight(saturated, name))
        if (bad := wet < weight * (1 - 1e-9)).any():
            where = f"{name}, soil {int(np.flatnonzero(bad)[0]) + 1}"
            raise OutOfRange(where, "is under the moist unit weight", "give that weight or more")
    bare = (c <= 0) & (phi <= 0) & (rate <= 0)
    if bare.any():
        where = f"soil {int(np.flatnonzero(bare)[0]) + 1}"
        raise OutOfRange(where, "has no strength at all", "give it cohesion or friction")
    return Soils(c, phi, weight, wet, rate)


def water(surface: Array, points: ArrayLike | None, ru: float, weight: float) -> Array | None:
    """Pass a water line on that stays in the ground, and never beside a pore pressure ratio."""
    given.within("pore_pressure_ratio", ru, 0.0, 1.0)
    given.above_zero("water_unit_weight", weight)
    if points is None:
        return None
    if ru > 0:
        what = "stands beside a water line: the same water twice"
        raise OutOfRange("pore_pressure_ratio", what, "give one of the two")
    found = line("water_line", points, 1)
    if len(found) == 1:
        found = np.array([[surface[0, 0], found[0, 1]], [surface[-1, 0], found[0, 1]]])
    x = np.union1d(surface[:, 0], found[:, 0])
    x = x[(x >= max(surface[0, 0], found[0, 0])) & (x <= min(surface[-1, 0], found[-1, 0]))]
    above = polyline.height(found, x) - polyline.height(surface, x)
    slack = _SLACK * float(np.ptp(surface[:, 1]))
    if above.size and above.max() > slack:
        at, high = float(x[int(np.argmax(above))]), float(above.max())
        what = f"stands {high:.3g} m above the ground at x = {at:.4g} m"
        raise OutOfRange("water_line", what, "keep it at or below the ground: no pond is counted")
    # level beyond its ends, but for the ground: what flows out there runs off
    left, right = float(surface[0, 0]), float(surface[-1, 0])
    x = np.union1d(surface[:, 0], np.clip(found[:, 0], left, right))
    x = np.union1d(x, polyline.crossings([surface, polyline.extended(found, left, right)]))
    level = np.minimum(polyline.height(found, x), polyline.height(surface, x))
    return np.column_stack([x, level])


def surcharge(loads: ArrayLike | None) -> Array:
    """Pass loads on the ground on: from x, to x, pressure."""
    if loads is None:
        return np.empty((0, 3))
    found = np.asarray(loads, float)
    if found.size == 0:
        return np.empty((0, 3))
    if found.ndim != 2 or found.shape[1] != 3:
        right = "give each as from x, to x, pressure"
        raise OutOfRange("surcharge", "is not a list of loads", right)
    given.number("surcharge", found)
    for i, (start, end, pressure) in enumerate(found.tolist(), 1):
        if end <= start:
            right = "give the lower x first"
            what = "has its range upside down" if end < start else "has no width"
            raise OutOfRange(f"surcharge {i}", what, right)
        if pressure < 0:
            raise OutOfRange(f"surcharge {i}", "pulls the ground up", "give 0 or more")
    return found


def shaking(kh: float) -> None:
    """Refuse an earthquake that no code asks for."""
    given.at_least_zero("kh", kh)
    if kh >= 1:
        raise OutOfRange("kh", "is 1 or more", "give the share of the weight, as in 0.15")


def crack(depth: float, filled: float, relief: float) -> None:
    """Refuse a crack deeper than the slope, or with more water than it holds."""
    given.at_least_zero("crack_depth", depth)
    given.water_within(filled, depth, "crack_water", "depth of the crack")
    if depth >= relief:
        what = "is as deep as the slope is high"
        raise OutOfRange("crack_depth", what, "give less than the height of the slope")


def base(surface: Array, level: ArrayLike | None) -> Array | None:
    """Pass the line on that no circle may cross, given as a level or a line."""
    if level is None:
        return None
    left, right = float(surface[0, 0]), float(surface[-1, 0])
    if np.size(level) == 1:
        z = float(given.number("base", np.asarray(level, float).reshape(())))
        found = np.array([[left, z], [right, z]])
    else:
        found = polyline.extended(line("base", level), left, right)
    x = np.union1d(surface[:, 0], found[:, 0])
    over = polyline.height(found, x) - polyline.height(surface, x)
    if over.max() > _SLACK * float(np.ptp(surface[:, 1])):
        at = float(x[int(np.argmax(over))])
        what = f"is above the ground at x = {at:.4g} m"
        raise OutOfRange("base", what, "keep it at or below the ground")
    return found


def anchors(head: Array, angle: Array, length: Array, force: Array) -> None:
    """Refuse anchors that are none."""
    if np.shape(head) != (len(np.atleast_1d(force)), 2):
        what = f"has the shape {np.shape(head)}"
        raise OutOfRange("anchor heads", what, "give x and height of each anchor")
    given.number("anchor heads", head)
    given.above_zero("anchor length", length)
    given.at_least_zero("anchor force", force)
    if (np.abs(given.number("anchor angle", angle)) >= np.pi / 2).any():
        right = "give it below horizontal, under 90 deg"
        raise OutOfRange("anchor angle", "does not lead into the hill", right)
