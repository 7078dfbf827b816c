"""The hill as one sees it from below: a perspective with what is behind hidden by what is in front.

Everything is cut into small faces and painted from the farthest to the nearest. Faces are told
apart by tone and line alone, so a black-and-white copy loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array
from hillwright.planting.model import WALKING
from hillwright.sheets.marks import LEAST_TEXT, Fill, Line, Mark, Pen, Words
from hillwright.sheets.model3d.plants import profile, spots

if TYPE_CHECKING:
    from hillwright.plan import Plan

RAISED = np.radians(28)  # of the eye over the middle of the hill
ASIDE = np.radians(18)  # from straight below, so that rows and runs can be told apart
AWAY = 1.7  # times the longest side of the hill
SQUARES = 24  # of the net on the ground, along its longer side
MOST = 2  # plants drawn for one planting
FINE, THIN = Pen(0.13), Pen(0.13)


@dataclass(frozen=True, slots=True, eq=False)
class Eye:
    """A pinhole: where it stands, and the three ways that it looks by."""

    at: Array  # (3,) [m]
    right: Array  # (3,) unit
    up: Array  # (3,) unit
    ahead: Array  # (3,) unit

    @classmethod
    def looking(cls, at: Array, target: Array) -> Eye:
        """Look from a place at another, the head upright."""
        ahead = (target - at) / np.linalg.norm(target - at)
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        return cls(at, right, np.cross(right, ahead), ahead)

    def depth(self, points: Array) -> Array:
        """Give how far ahead points (..., 3) lie [m]."""
        return np.asarray((np.asarray(points) - self.at) @ self.ahead)

    def place(self, points: Array) -> Array:
        """Project points (..., 3) on the picture at one metre from the eye (..., 2)."""
        away = np.asarray(points) - self.at
        flat = np.stack([away @ self.right, away @ self.up], axis=-1)
        return np.asarray(flat / (away @ self.ahead)[..., None])


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A flat thing: its corners on the ground, or in the picture already."""

    depth: float  # of its middle; the farthest is painted first
    layer: str
    tone: float
    pen: Pen
    placed: Array  # (k, 2) in the picture


def downhill(plan: Plan) -> Array:
    """Give the level direction in which the cells run down the slope (2,), unit."""
    corners = plan.layout.corners
    way = (corners[:, 3] + corners[:, 2] - corners[:, 0] - corners[:, 1]).sum(axis=0)[:2]
    return np.asarray(way / np.linalg.norm(way))


def eye_on(plan: Plan) -> Eye:
    """Stand below the hill, a little aside, and look at its middle."""
    points = plan.layout.corners.reshape(-1, 3)
    low, high = points.min(axis=0), points.max(axis=0)
    middle, far = (low + high) / 2, AWAY * float((high - low).max())
    down = downhill(plan)
    c, s = np.cos(ASIDE), np.sin(ASIDE)
    way = np.array([c * down[0] - s * down[1], s * down[0] + c * down[1]])
    up = np.sin(RAISED)
    return Eye.looking(middle + far * np.array([*(np.cos(RAISED) * way), up]), middle)


def picture(plan: Plan, width: float, height: float) -> list[Mark]:
    """Draw the hill into a picture of a width and height [mm]; the lower left corner is 0, 0."""
    eye = eye_on(plan)
    ground, things = _ground(plan, eye), [*_cells(plan, eye), *_plants(plan, eye)]
    ground.sort(key=lambda f: -f.depth)
    things.sort(key=lambda f: -f.depth)
    faces = [*ground, *things]
    arrow = _north(plan, eye)
    every = np.concatenate([*(f.placed for f in faces), *(a for a in arrow)])
    low, high = every.min(axis=0), every.max(axis=0)
    factor = min(width / (high[0] - low[0]), height / (high[1] - low[1]))
    shift = np.array([width, height]) / 2 - factor * (low + high) / 2

    def on_paper(points: Array) -> Array:
        return np.asarray(factor * points + shift)

    marks: list[Mark] = []
    for f in faces:
        points = on_paper(f.placed)
        marks.append(Fill(f.layer, points, f.tone))
        marks.append(Line(f.layer, points, f.pen, True))
    if arrow:
        shaft, head = (on_paper(a) for a in arrow)
        marks.append(Line("frame", shaft, Pen(0.35)))
        marks.append(Fill("frame", head, 0.0))
        tip = head[0] + 3.0 * (head[0] - shaft[0]) / np.linalg.norm(head[0] - shaft[0])
        marks.append(Words("frame", (float(tip[0]), float(tip[1])), "N", LEAST_TEXT, bold=True))
    return marks


def _face(eye: Eye, points: Array, layer: str, tone: float, pen: Pen, nearer: float = 0.0) -> Face:
    depth = float(eye.depth(points.mean(axis=0))) - nearer
    return Face(depth, layer, tone, pen, eye.place(points))


def _ground(plan: Plan, eye: Eye) -> list[Face]:
    """Give a net of squares on the graded ground around the cells, along the rows."""
    down = downhill(plan)
    ways = np.array([[-down[1], down[0]], down])  # along a row, down the slope
    flat = plan.layout.corners.reshape(-1, 3)[:, :2] @ ways.T
    low, high = flat.min(axis=0), flat.max(axis=0)
    rim = 0.06 * float((high - low).max())
    size = high - low + 2 * rim
    n = np.maximum(np.ceil(size / size.max() * SQUARES), 2).astype(int)
    u, v = (np.linspace(low[k] - rim, high[k] + rim, n[k] + 1) for k in (0, 1))
    xy = np.stack(np.meshgrid(u, v), axis=-1) @ ways
    z = plan.surface.graded.at(xy[..., 0], xy[..., 1])[0]
    nodes = np.concatenate([xy, z[..., None]], axis=-1)
    squares = np.stack([nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]], axis=2)
    return [
        _face(eye, q, "ground", 1.0, FINE)
        for q in squares.reshape(-1, 4, 3)
        if np.isfinite(q).all()
    ]


def _cells(plan: Plan, eye: Eye) -> list[Face]:
    """Give soil and outer walls of every cell: those that one can see from below."""
    layout, fill, use = plan.layout, plan.fill, plan.planting.use
    found = []
    for k, corners in enumerate(layout.corners):
        normal = np.cross(corners[3] - corners[0], corners[1] - corners[0])
        up = normal / np.linalg.norm(normal)
        top = corners + layout.cell.depth * up
        soil = corners + np.array([fill.uphill[k]] * 2 + [fill.lip[k]] * 2)[:, None] * up
        walked = use[k] == WALKING
        tone = 0.97 if walked else 0.78
        found.append(_face(eye, soil, "cells", tone, THIN))
        nearer = 0.25 * layout.cell.run
        # lower, left and right wall; the upper one stands against the row above
        for a, b, shade in ((3, 2, 0.55), (0, 3, 0.66), (1, 2, 0.66)):
            wall = np.stack([corners[a], corners[b], top[b], top[a]])
            found.append(_face(eye, wall, "cells", shade, THIN, nearer if a == 3 else 0.0))
    return found


def _plants(plan: Plan, eye: Eye) -> list[Face]:
    """Give the outline of grown plants, as they stand against the eye."""
    layout, planting = plan.layout, plan.planting
    found = []
    for g in planting.groups:
        plant, corners = planting.plants[g.plant], layout.corners[g.cells]
        across = (corners[:, 1] - corners[:, 0]).mean(axis=0)
        down = (corners[:, 3] - corners[:, 0]).mean(axis=0)
        lift = np.array([0.0, 0.0, float(plan.fill.lip[g.cells].mean())])
        for foot in spots(min(g.plants, MOST), across, down, corners.mean(axis=(0, 1)) + lift):
            outline = profile(plant.kind) * [plant.width, plant.tall]
            points = foot + outline[:, :1] * eye.right + outline[:, 1:] * [0.0, 0.0, 1.0]
            depth = float(eye.depth(foot)) - 0.5 * layout.cell.run
            tone = _TONES[plant.kind]
            found.append(Face(depth, "plants", tone, THIN, eye.place(points)))
    return found


_TONES = {"tree": 0.82, "berry": 0.9, "vegetable": 0.95, "herb": 0.85, "flower": 1.0, "cover": 0.92}


def _north(plan: Plan, eye: Eye) -> tuple[Array, ...]:
    """Give the shaft and the head of an arrow that lies level before the hill's foot."""
    if not plan.opened.job.north_known:
        return ()
    corners = plan.layout.corners.reshape(-1, 3)
    size = 0.09 * float(np.ptp(corners, axis=0).max())
    low = corners[np.argmin(corners[:, 2])]
    down = downhill(plan)
    aside = np.array([-down[1], down[0]])
    reach = float(np.abs((corners[:, :2] - low[:2]) @ aside).max())
    to = np.sign(float(((corners[:, :2] - low[:2]) @ aside).mean())) or 1.0
    at = low + np.array([*(1.2 * size * down + to * 0.1 * reach * aside), 0.0])
    angle = np.pi / 2 + plan.site.frame.north
    way = np.array([np.cos(angle), np.sin(angle), 0.0])
    side = np.array([-way[1], way[0], 0.0])
    head = np.stack([at + size * way, at + 0.4 * size * way + 0.22 * size * side,
                     at + 0.4 * size * way - 0.22 * size * side])  # fmt: skip
    shaft = np.stack([at - size * way, at + 0.5 * size * way])
    return eye.place(shaft), eye.place(head)
