"""Anchors that cross a slipping surface: what they pull with, and on which slice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array
from hillwright.stability.circles import Circles
from hillwright.stability.section import Anchors


@dataclass(frozen=True, slots=True, eq=False)
class Pull:
    """Pull of the anchors on the masses of k circles, at full force."""

    level: Array  # (k, s) into the hill [N/m]
    down: Array  # (k, s) onto the slip surface [N/m]
    moment: Array  # (k,) against sliding about the centre, over the radius [N/m]
    resisting: bool  # divided by the factor of safety, like the soil's strength


def pull(anchors: Anchors, circles: Circles, angle: Array) -> Pull:
    """Give the pull of those anchors that enter the mass and end in the ground beyond it.

    Parameters
    ----------
    anchors : Anchors
        In the sliding frame: they lead to the right.
    circles : Circles
        k arcs.
    angle : (k, s + 1) array
        Where the arcs are cut. [rad]
    """
    k, s = len(circles), angle.shape[1] - 1
    level, down, moment = np.zeros((k, s)), np.zeros((k, s)), np.zeros(k)
    left = circles.x + circles.radius * np.sin(circles.foot)
    right = circles.x + circles.radius * np.sin(circles.head)
    for head, tilt, length, force in zip(
        anchors.head, anchors.angle, anchors.length, anchors.force, strict=True
    ):
        across, below = np.cos(tilt), np.sin(tilt)
        dx, dz = head[0] - circles.x, head[1] - circles.z
        along = dx * across - dz * below  # of the bar's direction, from the centre to its head
        inside = along**2 - (dx**2 + dz**2 - circles.radius**2)
        out = -along + np.sqrt(np.maximum(inside, 0.0))  # from the head to where it leaves the arc
        at = head[0] + out * across
        # a bar whose far end is inside the mass holds nothing: it goes along
        holds = (head[0] > left) & (head[0] < right) & (inside > 0) & (out > 0) & (out < length)
        holds &= (dx**2 + dz**2 < circles.radius**2 * (1 + 1e-9)) & (at < right + 1e-9)
        turn = np.arcsin(np.clip((at - circles.x) / circles.radius, -1.0, 1.0))
        which = np.clip((angle[:, 1:-1] <= turn[:, None]).sum(axis=1), 0, s - 1)
        one = np.where(holds, force, 0.0)
        level[np.arange(k), which] += one * across
        down[np.arange(k), which] += one * below
        moment += one * (-dx * below - dz * across) / circles.radius
    return Pull(level, down, moment, anchors.resisting)
