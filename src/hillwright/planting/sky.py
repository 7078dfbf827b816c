"""What every cell sees of the sky: the ground, what is far off, and what stands in the sun."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array
from hillwright.job.site import Shade
from hillwright.planting.field import Field
from hillwright.planting.horizon import directions, distances, far_horizon, ground_horizon
from hillwright.planting.palette import Plant
from hillwright.planting.screens import Band, Tree, Wall, tree_band, wall_bands
from hillwright.planting.spots import spots
from hillwright.planting.sun import SECTORS, Sky
from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.model import Ground, Surface

NEAREST, GROWTH = 0.4, 1.15  # first distance that the ground is looked at, and how they grow [m]
CLEAR = 0.3  # of a planned tree's height its crown stands clear of the ground: common practice


def sky_of(
    field: Field, surface: Surface, shades: tuple[Shade, ...], far: tuple[tuple[float, float], ...],
    north: float,
) -> Sky:  # fmt: skip
    """Look round from every cell.

    Parameters
    ----------
    field : Field
        The n cells.
    surface : Surface
        The ground.
    shades : tuple of Shade
        Walls, fences and trees that the job names.
    far : tuple of (bearing, height)
        Far horizon, from true north [rad].
    north : float
        Compass bearing of +y; bearings here are from true north [rad].
    """
    bearing = directions(SECTORS)
    x, y, z = field.centre.T
    size = float(np.ptp(surface.outline, axis=0).max()) + 10.0
    grid = bearing - north  # from +y
    horizon = ground_horizon(_plain(surface), x, y, z, grid, distances(NEAREST, size, GROWTH))
    if far:
        at, high = np.array(far).T
        horizon = np.maximum(horizon, far_horizon(at, high, bearing))
    bands = tuple((_band(field, surface, s, grid), s.passes) for s in shades)
    return Sky(turned(field.normal, north), horizon, bands)


@dataclass(frozen=True, slots=True, eq=False)
class _Facets:
    """Heights read straight between the nodes of a grid: enough for a horizon, and quick."""

    field: HeightField

    def at(self, x: Array, y: Array) -> tuple[Array, Array, Array]:
        """Give heights, not a number outside; no gradient."""
        f = self.field
        u, v = (x - f.x0) / f.step, (y - f.y0) / f.step
        ny, nx = f.heights.shape
        outside = ~((u >= 0) & (v >= 0) & (u <= nx - 1) & (v <= ny - 1))
        i = np.clip(u.astype(int), 0, nx - 2)
        j = np.clip(v.astype(int), 0, ny - 2)
        s, t = u - i, v - j
        k = j * nx + i
        flat = f.heights.ravel()
        low = flat[k] * (1 - s) + flat[k + 1] * s
        high = flat[k + nx] * (1 - s) + flat[k + nx + 1] * s
        z = np.where(outside, np.nan, low * (1 - t) + high * t)
        return z, np.zeros(()), np.zeros(())


def _plain(surface: Surface) -> Ground:
    ground = surface.graded
    return _Facets(ground) if isinstance(ground, HeightField) else ground


def turned(vectors: Array, north: float) -> Array:
    """Turn (n, 3) vectors from the survey's own y to true north."""
    c, s = np.cos(north), np.sin(north)
    x, y = vectors[:, 0], vectors[:, 1]
    # +y has the bearing `north`: its east part is sin(north)
    return np.column_stack([x * c + y * s, y * c - x * s, vectors[:, 2]])


def _band(field: Field, surface: Surface, shade: Shade, bearing: Array) -> Band:
    line = np.column_stack([shade.line, _ground(surface, shade.line)])
    if len(line) == 1:
        tree = Tree(shade.name, line[0], shade.height, shade.spread, shade.clear, shade.passes)
        return tree_band(field.centre, tree, bearing)
    return wall_bands(field.centre, Wall(shade.name, line, shade.height, shade.passes), bearing)


def _ground(surface: Surface, places: Array) -> Array:
    """(k,) height of the ground, or of the nearest of it where the survey does not reach [m]."""
    z = surface.graded.at(places[:, 0], places[:, 1])[0]
    for i in np.flatnonzero(~np.isfinite(z)):
        gap = np.linalg.norm(surface.tin.xyz[:, :2] - places[i], axis=1)
        z[i] = surface.tin.xyz[int(gap.argmin()), 2]
    return np.asarray(z)


def with_trees(sky: Sky, field: Field, trees: list[tuple[Plant, Array]], north: float) -> Sky:
    """Put planned trees, grown up, into the sky; each stands at a place (3,) [m]."""
    bearing = directions(SECTORS) - north
    grown = [Tree(p.id, at, p.tall, p.width, CLEAR * p.tall) for p, at in trees]
    # each is seen in a few directions only, and there may be hundreds
    bands = [(spots(tree_band(field.centre, tree, bearing)), 0.0) for tree in grown]
    return Sky(sky.normal, sky.horizon, (*sky.bands, *bands))
