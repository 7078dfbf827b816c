"""The hill place by place: a layer of soil that slides parallel to the ground, bare and loaded."""

from __future__ import annotations

import numpy as np
import shapely

from hillwright.arrays import Array, Mask, frozen
from hillwright.layout.model import Layout
from hillwright.stability.infinite import infinite_slope, wetted_slope
from hillwright.stability.infinite_limits import (
    critical_depth,
    critical_water_height,
    yield_coefficient,
)
from hillwright.stability.load import HillLoad
from hillwright.stability.model import SlopeMap
from hillwright.stability.probability import infinite_slope_sampled
from hillwright.terrain.model import Surface

MOST = 800  # places; about one for each cell of a large job
GENTLEST = 1e-3  # flatter ground counts as this, so that no factor is without limit [rad]
STEEPEST = np.radians(80.0)  # steeper is an upright face, which no layer slides on


def spacing(surface: Surface, layout: Layout) -> float:
    """Give how far apart the places of the map lie [m]."""
    return max(min(layout.cell.width, layout.cell.run), float(np.sqrt(surface.plan_area / MOST)))


def places(surface: Surface, layout: Layout) -> Array:
    """Give (p, 2) places of the map: the steepest place, and an even net over the outline [m]."""
    outline, step = surface.outline, spacing(surface, layout)
    low, high = outline.min(axis=0), outline.max(axis=0)
    x, y = (np.arange(low[k] + step / 2, high[k], step) for k in (0, 1))
    net = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    inside = shapely.contains_xy(shapely.Polygon(outline), net[:, 0], net[:, 1])
    return np.vstack([surface.steepest_at, net[inside]])


def slopes(surface: Surface, xy: Array, across: float) -> Array:
    """Give the slope (p,) of the graded ground at places, over the breadth of a cell [rad]."""
    x, y, half = xy[:, 0], xy[:, 1], across / 2
    at = surface.graded.at
    east = (at(x + half, y)[0] - at(x - half, y)[0]) / across
    north = (at(x, y + half)[0] - at(x, y - half)[0]) / across
    found = np.arctan(np.hypot(east, north))
    # where the survey says nothing the mean slope stands in
    found = np.where(np.isfinite(found), found, surface.slope_mean)
    found[0] = max(float(found[0]), surface.slope_steepest)
    return np.clip(found, GENTLEST, STEEPEST)


def under_cells(layout: Layout, xy: Array) -> Mask:
    """Tell which places lie under a cell."""
    if not len(layout.corners):
        return np.zeros(len(xy), bool)
    quads = shapely.union_all(shapely.polygons(layout.corners[:, :, :2]))
    return np.asarray(shapely.intersects_xy(quads, xy[:, 0], xy[:, 1]))


def slope_map(surface: Surface, layout: Layout, hill: HillLoad) -> SlopeMap:
    """Work out the hill at every place of the map.

    Parameters
    ----------
    surface, layout
        The graded ground and the cells on it.
    hill : HillLoad
        Soil, water and loads.

    Returns
    -------
    SlopeMap
        Strengths are the likeliest of the soil's ranges; chances come from the whole ranges.
    """
    xy = places(surface, layout)
    slope = slopes(surface, xy, min(layout.cell.width, layout.cell.run))
    loaded = under_cells(layout, xy)
    soil, z = hill.soil, hill.depth
    c, phi, moist = soil.cohesion.best, soil.friction.best, soil.moist.best
    full, h = soil.saturated.best, hill.soaked_height
    dry, load = (np.where(loaded, q, 0.0) for q in hill.surcharges(slope))
    head = np.where(loaded, hill.head_in_cells(slope), 0.0)
    soaked_bare = (slope, z, c, phi, moist, full, h)
    as_found = (slope, z, c, phi, moist, full, min(hill.water_found, z))

    def states(*three: Array) -> Array:
        return frozen(np.stack(np.broadcast_arrays(*three)))

    bare = states(
        infinite_slope(*as_found),
        infinite_slope(*soaked_bare),
        infinite_slope(*soaked_bare, kh=hill.kh),
    )
    filled = states(
        infinite_slope(*as_found, dry),
        infinite_slope(*soaked_bare, load, water_above=head),
        infinite_slope(*soaked_bare, load, kh=hill.kh, water_above=head),
    )
    ranges = (soil.cohesion, soil.friction, soil.moist, soil.saturated)
    sampled = infinite_slope_sampled(slope, z, *ranges, h, load, water_above=head)
    return SlopeMap(
        xy=frozen(xy),
        step=spacing(surface, layout),
        slope=frozen(slope),
        loaded=frozen(loaded),
        bare=bare,
        filled=filled,
        wetted=frozen(wetted_slope(slope, z, 0.0, c, phi, full, load)),
        rooted=frozen(infinite_slope(*soaked_bare, load, hill.root_cohesion, water_above=head)),
        p10=frozen(sampled.p10),
        p50=frozen(sampled.p50),
        p90=frozen(sampled.p90),
        chance=frozen(sampled.probability),
        critical_depth=frozen(critical_depth(slope, c, phi, moist, full, h / z)),
        critical_water=frozen(critical_water_height(slope, z, c, phi, moist, full, load).height),
        yields_at=frozen(yield_coefficient(*soaked_bare, load, water_above=head)),
        weakest=int(np.argmin(filled[1])),
    )
