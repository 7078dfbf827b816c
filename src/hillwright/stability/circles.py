"""Circles through two ends on a section: made, kept in the ground, laid against a firm base.

Everything here is in the sliding frame: the mass slides to the left, its foot is the left end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.stability import polyline
from hillwright.stability.section import Section

_STEEPEST_FOOT = np.radians(60.0)  # an arc that dives more steeply at its foot cannot come out


@dataclass(frozen=True, slots=True, eq=False)
class Circles:
    """k lower arcs, each from its foot to its head."""

    x: Array  # (k,) centre [m]
    z: Array
    radius: Array  # (k,) [m]
    foot: Array  # (k,) angle of the arc from level at its lower, left end [rad]
    head: Array  # (k,) and at its upper, right end; at most pi/2 [rad]

    def __len__(self) -> int:
        """Count them."""
        return len(self.x)

    def take(self, which: Index | Mask | slice) -> Circles:
        """Give some of them."""
        parts = (self.x, self.z, self.radius, self.foot, self.head)
        return Circles(*(part[which] for part in parts))

    def points(self, at: Array) -> tuple[Array, Array]:
        """Give the points of each arc at (k, s) angles from straight down."""
        r = self.radius[:, None]
        return self.x[:, None] + r * np.sin(at), self.z[:, None] - r * np.cos(at)


def through(x1: Array, z1: Array, x2: Array, z2: Array, half: Array) -> Circles:
    """Give the circles that sag below the chords from 1 up to 2.

    Parameters
    ----------
    x1, z1, x2, z2 : (k,) array
        The two ends, the lower left one first. [m]
    half : (k,) array
        Half of the angle that the arc spans at its centre; a chord's sagitta over half its
        length is tan(half / 2). [rad]
    """
    dx, dz = x2 - x1, z2 - z1
    chord = np.hypot(dx, dz)
    radius = chord / (2 * np.sin(half))
    rise = np.arctan2(dz, dx)
    up = radius * np.cos(half) / chord
    return Circles(
        (x1 + x2) / 2 - dz * up, (z1 + z2) / 2 + dx * up, radius, rise - half, rise + half
    )


def fullest(x1: Array, z1: Array, x2: Array, z2: Array) -> Array:
    """Give the half angle at which an arc is upright at its head or too steep at its foot [rad]."""
    rise = np.arctan2(z2 - z1, x2 - x1)
    return np.asarray(np.minimum(np.pi / 2 - rise, rise + _STEEPEST_FOOT))


def tangent_to(line: Array, x1: Array, z1: Array, x2: Array, z2: Array) -> Array:
    """Give the half angle at which each arc first touches a line; 0 where an end is below it.

    A deeper arc between the same ends holds every shallower one. The arc through a point P below
    the chord AB has the half angle pi - APB; along a straight line that is least where an arc
    touches it, at P0 +- sqrt(P0A P0B) from where the chord meets the line.
    """
    ax, az, bx, bz = (v[:, None] for v in (x1, z1, x2, z2))
    sx, sz = line[:-1, 0], line[:-1, 1]
    long = np.hypot(np.diff(line[:, 0]), np.diff(line[:, 1]))
    ux, uz = np.diff(line[:, 0]) / long, np.diff(line[:, 1]) / long
    dx, dz = bx - ax, bz - az
    chord = np.hypot(dx, dz)
    cross = (dx * uz - dz * ux) / chord
    flat = np.abs(cross) < 1e-9
    # along the line from the segment's start to where the chord meets it
    meet = (dx * (az - sz) - dz * (ax - sx)) / chord / np.where(flat, 1.0, cross)
    px, pz = sx + meet * ux, sz + meet * uz
    far = np.sqrt(np.hypot(ax - px, az - pz) * np.hypot(bx - px, bz - pz))
    middle = ((ax + bx) / 2 - sx) * ux + ((az + bz) / 2 - sz) * uz
    hair = 1e-6 * chord
    low = np.clip((ax + hair - sx) / ux, 0.0, long)
    high = np.clip((bx - hair - sx) / ux, 0.0, long)
    under = high > low
    least = np.full(len(x1), np.pi)
    for at in (np.where(flat, middle, meet - far), np.where(flat, middle, meet + far), low, high):
        share = np.clip(at, low, high)
        qx, qz = sx + share * ux, sz + share * uz
        turn = (bx - qx) * (az - qz) - (bz - qz) * (ax - qx)
        ahead = (ax - qx) * (bx - qx) + (az - qz) * (bz - qz)
        half = np.where(turn > 0, np.pi - np.arctan2(turn, ahead), 0.0)
        least = np.minimum(least, np.where(under, half, np.pi).min(axis=1))
    slack = -1e-9 * chord[:, 0]
    good = (z1 - polyline.height(line, x1) >= slack) & (z2 - polyline.height(line, x2) >= slack)
    return np.where(good, least, 0.0)


def ends(section: Section, x1: Array, x2: Array) -> tuple[Array, Array, Array, Array]:
    """Give the ends of arcs: on the ground at the foot, at the bottom of the crack at the head."""
    top = polyline.height(section.ground, x2)
    return x1, polyline.height(section.ground, x1), x2, top - section.crack


def mirrored(circles: Circles) -> Circles:
    """Give the same circles in the other frame: centres change sides, the foot stays the foot."""
    return Circles(-circles.x, circles.z, circles.radius, circles.foot, circles.head)
