"""What of a plan stands in the model: solids of their own, and copies of one shape."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hillwright.arrays import Array
from hillwright.fill.cellvolume import between_walls
from hillwright.planting.model import USE_WORDS, WALKING
from hillwright.sheets.model3d import plants, shapes
from hillwright.sheets.model3d.shapes import Mesh
from hillwright.sheets.rows import bar_names
from hillwright.terrain.heightfield import HeightField

if TYPE_CHECKING:
    from hillwright.plan import Plan

MOST_NODES = 160  # of the ground, along its longer side
WALL = 0.01  # thickness of a wall that nobody told, as drawn [m]
EIGHTH = 0.0254 / 8  # bars are numbered in eighths of an inch [m]


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """One named thing with a shape of its own."""

    name: str
    material: str
    mesh: Mesh


@dataclass(frozen=True, slots=True, eq=False)
class Copies:
    """Named things of one shape, each with its own place, size and turn."""

    shape: str
    material: str
    mesh: Mesh
    names: tuple[str, ...]  # (k,)
    places: Array  # (k, 4, 4) from the shape to the ground


def solids(plan: Plan) -> Iterator[Solid]:
    """Give ground, cells by row, pipes by valve, drains."""
    yield Solid("ground", "ground", ground(plan))
    yield from _cells(plan)
    for valve in plan.irrigation.valves:
        parent = valve.network.parent
        for part in ("header", "lateral", "small"):
            k = np.array([i for i, p in enumerate(valve.part) if p == part and parent[i] >= 0], int)
            mesh = shapes.tubes(valve.at[parent[k]], valve.at[k], valve.network.bore[k] / 2)
            if len(mesh.points):
                name = {"small": "small tubing"}.get(part, part)
                yield Solid(f"valve {valve.number} {name}", "pipe", mesh)
    for drain in plan.drainage.drains:
        yield Solid(f"{drain.key} drain", "drain", _ditch(plan, drain.line, drain.ditch.top_width))


def copies(plan: Plan) -> Iterator[Copies]:
    """Give bars and plants."""
    bars, layout, planting = plan.stability.anchoring, plan.layout, plan.planting
    if len(bars.place):
        radius = bars.bar * EIGHTH / 2
        mesh = shapes.cylinder(radius, -bars.length, 0.05)
        turns = _upright(layout.corners[bars.place_cell])
        places = np.stack([_placed(p, t) for p, t in zip(bars.place, turns, strict=True)])
        names = tuple(f"bar {n}" for n in bar_names(bars, layout))
        yield Copies(f"No. {bars.bar} bar", "bar", mesh, names, places)
    names_of: dict[str, list[str]] = {}
    placed: dict[str, list[Array]] = {}
    for g in planting.groups:
        plant, corners = planting.plants[g.plant], layout.corners[g.cells]
        across, down = _share(corners)
        row, number = int(layout.row[g.cells[0]]), int(layout.number[g.cells[0]])
        feet = plants.spots(g.plants, across, down, corners.mean(axis=(0, 1)))
        lift = plan.fill.lip[g.cells].mean()
        for k, foot in enumerate(feet, 1):
            at = _placed(foot + np.array([0.0, 0.0, lift]), np.diag(plants.size(plant)))
            names_of.setdefault(plant.kind, []).append(f"{plant.id} R{row:02d}-{number}-{k}")
            placed.setdefault(plant.kind, []).append(at)
    for kind, found in names_of.items():
        yield Copies(kind, kind, plants.shape(kind), tuple(found), np.stack(placed[kind]))


def ground(plan: Plan) -> Mesh:
    """Give the graded ground where it was surveyed; thinned where it is very fine."""
    field, known = plan.surface.graded, plan.surface.supported
    if not isinstance(field, HeightField):
        raise TypeError("the ground of a plan is a field of heights")
    ny, nx = field.heights.shape
    step = -(-max(ny, nx) // MOST_NODES)
    heights, known = field.heights[::step, ::step], known[::step, ::step]
    ny, nx = heights.shape
    x, y = np.meshgrid(np.arange(nx), np.arange(ny))
    points = np.column_stack(
        [
            field.x0 + field.step * step * x.ravel(),
            field.y0 + field.step * step * y.ravel(),
            heights.ravel(),
        ]
    )
    a = (np.arange(ny - 1)[:, None] * nx + np.arange(nx - 1)[None, :])[
        known[:-1, :-1] & known[1:, :-1] & known[:-1, 1:] & known[1:, 1:]
    ]
    faces = shapes.quads(np.column_stack([a, a + 1, a + nx + 1, a + nx]))
    used, index = np.unique(faces, return_inverse=True)
    return Mesh(points[used], index.reshape(faces.shape))


def _cells(plan: Plan) -> Iterator[Solid]:
    layout, fill, use = plan.layout, plan.fill, plan.planting.use
    if not len(layout.row):
        return
    thick = plan.opened.job.holding.wall_thickness or WALL
    corners = layout.corners[:, ::-1]  # anticlockwise seen from above
    inner = between_walls(layout.corners, thick)[:, ::-1]
    up = _upright(layout.corners)[:, None, :, 2]
    high = layout.cell.depth * up
    # in that order: lower left, lower right, upper right, upper left
    soil = np.stack([fill.lip, fill.lip, fill.uphill, fill.uphill], axis=1)[:, :, None] * up
    for row in range(1, layout.rows + 1):
        here = layout.row == row
        o, i, h = corners[here], inner[here], high[here]
        yield Solid(f"row {row} walls", "wall", shapes.walls(o, o + h, i, i + h))
        for walked in (False, True):
            k = here & (fill.settled > 0) & ((use == WALKING) == walked)
            if k.any():
                name = USE_WORDS[WALKING] if walked else "soil"
                yield Solid(f"row {row} {name}", name, shapes.boxes(inner[k], inner[k] + soil[k]))


def _upright(corners: Array) -> Array:
    """Give for each cell the turn whose third axis stands square to its base (k, 3, 3)."""
    down = (corners[:, 3] + corners[:, 2] - corners[:, 0] - corners[:, 1]) / 2
    across = (corners[:, 1] + corners[:, 2] - corners[:, 0] - corners[:, 3]) / 2
    across = across / np.linalg.norm(across, axis=1, keepdims=True)
    normal = np.cross(down, across)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    return np.stack([across, np.cross(normal, across), normal], axis=2)


def _share(corners: Array) -> tuple[Array, Array]:
    """Give the sides of the block of cells (k, 4, 3) that a planting takes."""
    across = (corners[:, 1] - corners[:, 0]).mean(axis=0)
    down = (corners[:, 3] - corners[:, 0]).mean(axis=0)
    middle = corners.mean(axis=1)
    spread = []
    for way in (across, down):
        unit = way / np.linalg.norm(way)
        spread.append(way + unit * np.ptp(middle @ unit))
    return spread[0], spread[1]


def _placed(at: Array, turn: Array) -> Array:
    place = np.eye(4)
    place[:3, :3], place[:3, 3] = turn, at
    return place


def _ditch(plan: Plan, line: Array, width: float) -> Mesh:
    """Give a strip on the ground as wide as the ditch is at its brim."""
    way = np.gradient(line, axis=0)
    aside = np.column_stack([-way[:, 1], way[:, 0]]) / np.linalg.norm(way, axis=1)[:, None]
    left, right = line + aside * width / 2, line - aside * width / 2
    xy, k = np.concatenate([left, right]), len(line)
    z = plan.surface.graded.at(xy[:, 0], xy[:, 1])[0]
    middle = plan.surface.graded.at(line[:, 0], line[:, 1])[0]
    known = np.isfinite(middle)
    if not known.any():
        middle = np.full(k, np.min(plan.layout.corners[..., 2], initial=0.0))
    else:
        middle = np.interp(np.arange(k), np.flatnonzero(known), middle[known])
    # a brim beyond the ground that is known is as high as the ditch's own line
    z = np.where(np.isfinite(z), z, np.concatenate([middle, middle])) + 0.02
    a = np.arange(k - 1)
    faces = shapes.quads(np.column_stack([a, a + k, a + k + 1, a + 1]))
    return Mesh(np.column_stack([xy, z]), faces)
