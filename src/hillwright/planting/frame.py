"""Everything that a planting rests on, worked out once: latitude, season, cells, sun."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.data import table
from hillwright.digest import digest
from hillwright.job.site import Shade, Site
from hillwright.layout.model import Layout
from hillwright.planting.field import Field, make_field
from hillwright.planting.model import Asked
from hillwright.planting.palette import Plant, palette
from hillwright.planting.pose import Posed, pose
from hillwright.planting.season import Season, growing_months, said
from hillwright.planting.sky import sky_of, with_trees
from hillwright.planting.sun import Sky, SunTable, sun_table
from hillwright.planting.worth import Problem
from hillwright.terrain.model import Surface

LATITUDE = np.radians(40.0)  # where nobody says: invented
# 15 April and 20 October, or half a year later: invented
FROSTS = {False: (105, 293), True: (288, 110)}


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """The cells, and the sun on them before anything is planted."""

    field: Field
    sky: Sky
    sun: SunTable


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What a planting of one layout rests on."""

    asked: Asked
    field: Field
    plants: tuple[Plant, ...]  # all that are known
    season: Season
    growing: tuple[int, ...]  # months, 1 to 12
    latitude: float  # [rad]
    north: float  # compass bearing of +y [rad]
    sky: Sky
    sun: SunTable  # without planned trees
    soil: Array  # (n,) that roots can use [m]
    shape: tuple[float, float]  # of a cell [m]
    assumed: tuple[str, ...]
    key: str  # digest of all of it

    def growing_sun(self, table: SunTable) -> Array:
        """(n,) direct light in a mean day of the growing months [s]."""
        return np.asarray(table.hours[[m - 1 for m in self.growing]].mean(axis=0))

    def pose(self, shaded: Array | None = None, shady: bool = False) -> Posed:
        """Set up what is to be solved, with the light that planned trees leave.

        ``shady`` allows what wants shade everywhere: for bounds, see :func:`pose.pose`.
        """
        return pose(
            self.field, self.asked, self.plants, self.season, self.growing_sun(self.sun),
            self.soil, self.shape, shaded, shady,
        )  # fmt: skip

    def shaded(self, problem: Problem, chosen: Index) -> SunTable | None:
        """Give the sun with the planned trees grown up; None where there are none."""
        places, some = problem.places, problem.some
        wide = [k for k in chosen if some.canopy[places.plant[k]]]
        if not wide:
            return None
        trees = [(some.plants[places.plant[k]], places.centre[k]) for k in wide]
        sky = with_trees(self.sky, self.field, trees, self.north)
        return sun_table(sky, self.latitude, self.asked.altitude)


def light_inputs(site: Site, asked: Asked) -> tuple[Any, ...]:
    """Give what :func:`light_of` takes besides the cells and the ground: no wish is among it."""
    entries = site.entries if site.entries is not None else np.empty((0, 2))
    latitude = float(LATITUDE) if site.latitude is None else site.latitude
    seen = (site.shades, asked.horizon, site.frame.north, latitude, asked.altitude)
    return (entries, asked.reach, asked.max_step, *seen)


def light_of(
    layout: Layout, surface: Surface, entries: Array, reach: float, max_step: float,
    shades: tuple[Shade, ...], horizon: tuple[tuple[float, float], ...], north: float,
    latitude: float, altitude: float,
) -> Light:  # fmt: skip
    """Stage: the sun on every cell with all that shades it today.

    It takes as long as the planting itself, and no wish changes it.
    """
    field = make_field(layout, reach, max_step, entries, layout.cell.depth)
    sky = sky_of(field, surface, shades, horizon, north)
    return Light(field, sky, sun_table(sky, latitude, altitude))


def make_ground(
    layout: Layout, surface: Surface, site: Site, asked: Asked, light: Light | None = None
) -> Ground:
    """Work out what a planting rests on; ``light`` where it is known already.

    Raises
    ------
    OutOfRange
        A row of the person's own palette that cannot be used.
    """
    assumed: list[str] = []
    latitude = site.latitude
    if latitude is None:
        latitude = float(LATITUDE)
        assumed.append("No latitude is given (site.latitude): 40° north was taken.")
    if not asked.north_known:
        assumed.append("North is not known (base_line.bearing): +y was taken for it.")
    season = _season(asked, latitude, assumed)
    if not asked.hardiness:
        assumed.append("No hardiness zone is given (planting.hardiness): it was not looked at.")
    entries = site.entries if site.entries is not None else np.empty((0, 2))
    if not len(entries):
        assumed.append("No entry is given (planting.entry): one comes in along the last row.")
    lit = light or light_of(layout, surface, *light_inputs(site, asked))
    field, sky = lit.field, lit.sky
    key = digest(
        layout.corners, layout.row, layout.number, layout.clips, entries, asked, latitude,
        sky.horizon, sky.normal, [[*b, p] for b, p in sky.bands], list(site.plants), _table_key(),
    )  # fmt: skip
    return Ground(
        asked,
        field,
        palette(site.plants),
        season,
        growing_months(season),
        latitude,
        site.frame.north,
        sky,
        lit.sun,
        _soil(field, asked, layout.cell.depth),
        (layout.cell.width, layout.cell.run),
        tuple(assumed),
        key,
    )


def _soil(field: Field, asked: Asked, wall: float) -> Array:
    """(n,) depth that roots can use: what is filled in, and the loose ground under it [m]."""
    filled = {(row, number): share for row, number, share in asked.part}
    cells = zip(field.row.tolist(), field.number.tolist(), strict=True)
    return asked.rooting + wall * np.array([filled.get(cell, 1.0) for cell in cells], float)


@cache
def _table_key() -> str:
    """Give the digest of the program's own table of plants."""
    return digest(table("plants"))


def _season(asked: Asked, latitude: float, assumed: list[str]) -> Season:
    south = latitude < 0
    if asked.last_frost is not None and asked.first_frost is not None:
        return Season(asked.last_frost, asked.first_frost, south, True)
    last, first = FROSTS[south]
    assumed.append(
        f"No frost dates are given (planting.last_frost, first_frost): {said(last)} and "
        f"{said(first)} were taken."
    )
    return Season(last, first, south, False)
