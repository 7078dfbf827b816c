"""Site: the sidecar files of a job as read, in one local frame of metres.

Arrays are read-only. x is east (or along the base line of tape sections), y is north (or to the
left of it), z is up. A reader turns a file into these; the terrain room turns these into ground.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array


@dataclass(frozen=True, slots=True)
class Frame:
    """The local frame: what to add and multiply to get back to the survey's own numbers.

    easting = (x + origin_x) / unit, northing = (y + origin_y) / unit, elevation = z / z_unit.
    """

    origin_x: float  # [m]
    origin_y: float  # [m]
    unit: float  # metres on the ground in one horizontal unit of the survey file
    z_unit: float  # metres in one vertical unit
    unit_name: str
    crs: str  # "" for a local grid
    north: float  # compass bearing of +y, clockwise [rad]
    note: str  # said on sheets: datum, scale, who chose what
    scale: float = 1.0  # of the map grid; unit * scale is the unit's own length in metres

    def local(self, places: ArrayLike) -> Array:
        """Turn places of the job (..., 2), metres on the survey's grid, into local metres."""
        on_grid = np.asarray(places, float)
        return np.asarray(on_grid / self.scale - np.array([self.origin_x, self.origin_y]))


@dataclass(frozen=True, slots=True, eq=False)
class Spots:
    """Surveyed points (a CSV of shots)."""

    names: tuple[str, ...]  # (n,)
    xyz: Array  # (n, 3) [m]
    where: tuple[str, ...]  # (n,) "points.csv line 12", for messages
    breaklines: tuple[tuple[int, ...], ...]  # indices into the points, along each line
    sigma: float  # standard error of one height [m]


@dataclass(frozen=True, slots=True, eq=False)
class TapeSections:
    """Cross sections by tape and inclinometer, as written down in the field.

    Section k starts on the base line at ``chainage[k]`` and goes square to it; leg i belongs to
    section ``section[i]`` and goes ``distance[i]`` along the ground at ``angle[i]``.
    """

    chainage: Array  # (k,) along the base line [m]
    base_height: Array  # (k,) height of the base line there [m]
    left: tuple[bool, ...]  # (k,) the section goes to the left of the base line (else right)
    section: tuple[int, ...]  # (n,)
    distance: Array  # (n,) slope distance [m]
    angle: Array  # (n,) up is positive [rad]
    where: tuple[str, ...]  # (n,) file and line of each leg
    tape_sigma: float  # [m]
    angle_sigma: float  # [rad]


@dataclass(frozen=True, slots=True, eq=False)
class HeightGrid:
    """Heights on a regular grid (a DEM clipped to the site)."""

    x0: float  # of heights[0, 0], a pixel centre [m]
    y0: float  # [m]
    dx: float  # column spacing [m]
    dy: float  # row spacing, rows go north [m]
    heights: Array  # (ny, nx), NaN where there is none [m]
    where: str
    sigma: float  # standard error of one height [m]


Measured = Spots | TapeSections | HeightGrid


@dataclass(frozen=True, slots=True, eq=False)
class Exclusion:
    """A place that cells must keep off: a tree, a boulder, a box, a trail corridor."""

    name: str
    ring: Array  # (k, 2) corners, not closed [m]


@dataclass(frozen=True, slots=True, eq=False)
class Shade:
    """A thing in the sun, in plan: a wall, fence or hedge (a line), or a tree (one place)."""

    name: str
    line: Array  # (k, 2) k = 1 for a tree [m]
    height: float  # [m]
    spread: float  # of a tree's crown [m]
    clear: float  # from the ground to the crown [m]
    passes: float  # share of the light that comes through [-]


@dataclass(frozen=True, slots=True)
class KeptPlanting:
    """A planting that was worked out before and kept beside the job."""

    key: str  # digest of what it was worked out from
    found: str  # what was proven of it, in words
    bounds: tuple[float, float, float]  # worth, bound on its path, bound on any path
    use: tuple[tuple[int, int, str], ...]  # row, number, use or id of a plant
    start: tuple[tuple[int, int], ...]  # row and number of the upper left cell of each planting


@dataclass(frozen=True, slots=True, eq=False)
class Site:
    """Everything read from a job's sidecar files and its own places, in the local frame."""

    measured: Measured
    frame: Frame
    outline: Array | None  # (k, 2) corners, not closed; None = the whole of the survey [m]
    outline_where: str
    exclusions: tuple[Exclusion, ...]
    string: Array | None  # (k, 2) the top string, left to right looking uphill [m]
    base_line: Array | None  # (2, 2) start and end [m]
    benchmarks: tuple[Array | None, Array | None]  # A and B, each (2,) [m]
    fixed_rows: Array  # (k, 2) the top edge of a row passes through here [m]
    fixed_cell: Array | None  # (2,) a cell's upper left corner, looking uphill [m]
    keep: Array  # (k, 2) [m]
    leave_out: Array  # (k, 2) [m]
    outlet: Array | None = None  # (2,) where drains may let their water out [m]
    tap: Array | None = None  # (2,) of the water supply
    # of the planting
    latitude: float | None = None  # north is positive; None = nobody says [rad]
    latitude_from: str = ""  # who says
    entries: Array | None = None  # (k, 2) where one comes in [m]
    shades: tuple[Shade, ...] = ()
    plants: tuple[Mapping[str, Any], ...] = ()  # rows of the person's own palette
    kept: KeptPlanting | None = None

    def without_planting(self) -> Site:
        """Leave out what only the planting looks at."""
        return replace(
            self,
            latitude=None,
            latitude_from="",
            entries=None,
            shades=(),
            plants=(),
            kept=None,
        )
