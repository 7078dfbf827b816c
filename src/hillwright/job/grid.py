"""From a survey's own numbers to local metres on the ground, and the units on the way.

A local grid never opens ``pyproj``; its factor and origin are enough. A projected system is
scaled from grid to ground once, here, so that a cell keeps its size. Degrees are projected to a
transverse Mercator centred on the site. Heights are only multiplied by their unit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np

from hillwright import units
from hillwright.arrays import Array
from hillwright.errors import SurveyError
from hillwright.job.crs import LONLAT, converter, flat, grid_distance, parse, vertical
from hillwright.job.feet import INTERNATIONAL_FOOT, SURVEY_FOOT
from hillwright.job.site import Frame

_NAMES = {1.0: "m", INTERNATIONAL_FOOT: "ft", SURVEY_FOOT: "us_survey_foot"}
_KEPT = 10_000.0  # a local grid within this keeps its own numbers [m]


@dataclass(frozen=True, slots=True)
class Grid:
    """How a survey's own numbers become local metres on the ground, and the way back."""

    crs: str
    unit: float  # grid metres in one number of the file
    unit_name: str
    z_unit: float  # [m]
    scale: float = 1.0  # grid over ground
    origin: tuple[float, float] = (0.0, 0.0)  # [m on the ground]
    north: float = 0.0  # [rad]
    notes: tuple[str, ...] = ()
    project: Any = field(default=None, repr=False)  # from degrees to grid metres

    def local(self, xy: Array) -> Array:
        """Turn (..., 2) numbers of the file into local metres."""
        if self.project is not None:
            return np.stack(self.project.transform(xy[..., 0], xy[..., 1]), axis=-1).astype(float)
        return np.asarray(xy * (self.unit / self.scale) - np.asarray(self.origin))

    def frame(self, *notes: str) -> Frame:
        """Give the frame that goes with the site."""
        note = " ".join((*self.notes, *notes))
        ox, oy = self.origin
        name = self.unit_name
        unit = self.unit / self.scale
        return Frame(ox, oy, unit, self.z_unit, name, self.crs, self.north, note, self.scale)


@dataclass(frozen=True, slots=True)
class System:
    """The coordinate system of a survey file, before anyone knows where the site lies."""

    crs: Any  # a pyproj CRS, horizontal part; None for a local grid
    name: str
    unit: float  # metres in one number; 1 for degrees (their place is found by projecting)
    unit_name: str
    z_unit: float
    notes: tuple[str, ...] = ()

    @property
    def degrees(self) -> bool:
        """The numbers are longitude and latitude."""
        return self.crs is not None and bool(self.crs.is_geographic)

    def numbers(self, lonlat: Array, source: Any = None) -> tuple[Array, float]:
        """Turn (n, 2) positions of GeoJSON into this system's numbers.

        Returns
        -------
        numbers : (n, 2) array
            Easting and northing, or longitude and latitude, in the file's unit.
        accuracy : float
            What the conversion itself is good to; 0 when it is exact or not stated. [m]
        """
        change = converter(parse(LONLAT, LONLAT) if source is None else source, self.crs)
        with np.errstate(all="ignore"):
            found = np.stack(change.transform(lonlat[:, 0], lonlat[:, 1]), axis=-1)
        return found, max(float(change.accuracy or 0), 0.0)

    def holds(self, numbers: Array) -> float:
        """Share of (n, 2) positions that lie where the system is meant for (+- 1 degree)."""
        if self.crs is None or self.crs.area_of_use is None:
            return 1.0
        lon, lat = self._lonlat(numbers)
        a = self.crs.area_of_use
        west, east = a.west - 1, a.east + 1 + (360 if a.east < a.west else 0)
        known = np.isfinite(lon) & np.isfinite(lat) & (lat >= a.south - 1) & (lat <= a.north + 1)
        within = (lon >= west) & (lon <= east) | (lon + 360 >= west) & (lon + 360 <= east)
        return float(np.mean(known & within))

    def _lonlat(self, numbers: Array) -> tuple[Array, Array]:
        import pyproj

        if self.degrees:
            return numbers[:, 0], numbers[:, 1]
        lon, lat = pyproj.Proj(self.crs)(numbers[:, 0], numbers[:, 1], inverse=True)
        return np.asarray(lon), np.asarray(lat)

    def grid(self, numbers: Array, where: str) -> Grid:
        """Choose the local frame for a site that covers the (n, 2) positions given.

        Raises
        ------
        SurveyError
            The positions do not lie where the system holds, or it does not keep shapes there.
        """
        low, high = numbers.min(axis=0), numbers.max(axis=0)
        middle = (low + high) / 2
        base = Grid(self.name, self.unit, self.unit_name, self.z_unit, notes=self.notes)
        if self.crs is None:
            far = float(np.abs(numbers).max()) * self.unit > _KEPT
            step = 100 / self.unit
            shift = np.floor(low / step) * step * self.unit if far else np.zeros(2)
            return replace(base, origin=(float(shift[0]), float(shift[1])))
        if self.holds(numbers) < 1:
            turned = self.holds(numbers[:, ::-1]) == 1
            raise SurveyError(
                where,
                f"the coordinates do not lie where {self.name} is meant for",
                "northing and easting look swapped: set survey.order the other way"
                if turned
                else "check survey.crs, and the unit of the numbers",
            )
        return self._around_degrees(base, middle) if self.degrees else self._scaled(base, numbers)

    def _around_degrees(self, base: Grid, middle: Array) -> Grid:
        lon, lat = (round(float(v), 6) for v in middle)
        local = (
            f"+proj=tmerc +lat_0={lat} +lon_0={lon} +k=1 +x_0=0 +y_0=0 {_figure(self.crs)} "
            "+units=m +no_defs"
        )
        # from the degrees of its own ellipsoid: no change of datum is asked of PROJ
        flat_grid = parse(local, "the local grid")
        project = converter(flat_grid.geodetic_crs, flat_grid)
        note = f"Degrees projected to a local transverse Mercator at {lat}, {lon}, scale 1."
        return replace(base, crs=local, project=project, notes=(*base.notes, note))

    def _scaled(self, base: Grid, numbers: Array) -> Grid:
        middle = (numbers.min(axis=0) + numbers.max(axis=0)) / 2
        k, bearing = self._scale(middle)
        corner = np.floor(numbers.min(axis=0) / 100) * 100 * self.unit / k
        out = 1000 * (50 - grid_distance(50, k).grid_distance)
        note = (
            f"{self.name}: grid scale {k:.6f} here, taken out once; a 50 m tape on the ground "
            f"is {abs(out):.0f} mm {'less' if out > 0 else 'more'} on the grid."
        )
        return replace(
            base,
            scale=k,
            origin=(float(corner[0]), float(corner[1])),
            north=bearing % (2 * math.pi),
            notes=(*base.notes, note),
        )

    def _scale(self, middle: Array) -> tuple[float, float]:
        """Grid over ground, and the true bearing of grid north, measured on the ellipsoid.

        Measured, not asked for: PROJ's own factors for a map made on a sphere (web maps) are
        those of the sphere, 0.3 % out on the ground.
        """
        reach = 500 / self.unit
        arms = np.array([[-1, 0], [1, 0], [0, -1], [0, 1]]) * reach
        lon, lat = self._lonlat(middle + arms)
        out, back, far = self.crs.get_geod().inv(lon[::2], lat[::2], lon[1::2], lat[1::2])
        if not (np.isfinite(far).all() and np.min(far) > 0):
            raise SurveyError(
                f"survey.crs {self.name}",
                "the coordinates do not lie where it is meant for",
                "check survey.crs, and the unit of the numbers",
            )
        across, along = 1000 / np.asarray(far)
        # an arm is a geodesic: its bearing in the middle is the mean of those at its ends
        start, end = np.asarray(out), np.asarray(back) + 180
        bearing = start + ((end - start + 180) % 360 - 180) / 2
        skew = math.radians((bearing[0] - bearing[1]) % 360 - 90)
        if not (abs(along / across - 1) < 2e-5 and abs(skew) < 2e-5):  # 1 mm in 50 m
            raise SurveyError(
                f"survey.crs {self.name}",
                f"a metre north is {100 * abs(along / across - 1):.2g} % off a metre east there",
                "give the survey in a system that keeps shapes, as UTM or a state plane zone",
            )
        return math.sqrt(along * across), math.radians(float(bearing[1]))


def _figure(crs: Any) -> str:
    """Give the datum of a geographic system as a PROJ word, else its ellipsoid."""
    datum = {6326: "+datum=WGS84", 6269: "+datum=NAD83"}
    code = crs.datum.to_json_dict().get("id", {}).get("code") if crs.datum else None
    name = (crs.datum.name if crs.datum else "").lower()
    if code in datum:
        return datum[code]
    if "world geodetic system 1984" in name or name == "wgs 84":
        return datum[6326]
    e = crs.ellipsoid
    return f"+a={e.semi_major_metre} +rf={e.inverse_flattening}"


@cache
def factor(name: str) -> float:
    """Metres in a unit of length; kept, because a file asks the same thing on every line."""
    metres = units.unit_factor(name)
    return next((m for m in _NAMES if math.isclose(m, metres, rel_tol=1e-12)), metres)


def unit_factor(name: str, where: str) -> float:
    """Give the metres in a unit of length.

    Raises
    ------
    SurveyError
        Not a unit of length.
    """
    try:
        return factor(name)
    except units.UnitError as error:
        raise SurveyError(
            where, f"{name!r} is not a unit of length", 'write "ft", "us_survey_foot" or "m"'
        ) from error


def system(code: str, unit: str, where: str) -> System:
    """Open the system that a job's ``survey.crs`` and ``survey.unit`` describe.

    Parameters
    ----------
    code : str
        "EPSG:2227", a WKT, or "" for a local grid.
    unit : str
        Unit of the numbers (of the heights, when the positions are degrees); "" leaves it to the
        coordinate system.
    where : str
        Who asks, for messages.

    Raises
    ------
    SurveyError
        An unknown system or unit, no unit for a local grid, or a unit that is not the system's.
    """
    if not code:
        if not unit:
            raise SurveyError(
                f"{where}: survey.unit",
                "the numbers have no unit",
                'write unit = "ft", "us_survey_foot" or "m" under [survey]',
            )
        metres = unit_factor(unit, f"{where}: survey.unit")
        return System(None, "", metres, named(metres, unit), metres)
    return of_crs(parse(code, f"{where}: survey.crs"), code, unit, where)


def of_crs(crs: Any, name: str, unit: str, where: str) -> System:
    """Open a system from a pyproj CRS; see :func:`system`."""
    level, height = flat(crs), vertical(crs)
    if not (level.is_geographic or level.is_projected):
        raise SurveyError(
            f"{where}: survey.crs", f"{name} is not a map system", 'write a code, as "EPSG:2227"'
        )
    given = unit_factor(unit, f"{where}: survey.unit") if unit else None
    high = float(height.axis_info[0].unit_conversion_factor) if height is not None else None
    notes: tuple[str, ...] = ()
    if level.is_geographic:
        z = high or given or 1.0
        if high is None and given is None:
            notes = ("Heights taken as metres: neither the file nor the job says.",)
        return System(level, name, 1.0, "m", z, notes)
    metres = float(level.axis_info[0].unit_conversion_factor)
    if given is not None and abs(given / metres - 1) > 1e-9:
        shown = named(metres)
        raise SurveyError(
            f"{where}: survey.unit",
            f"{unit} is {given:.10g} m, but {name} counts in {shown} of {metres:.10g} m",
            f'write unit = "{shown}", or leave it out',
        )
    return System(level, name, metres, named(metres), high or metres)


def named(metres: float, said: str = "") -> str:
    """Give a unit of length its one name, whichever way the job spells it."""
    for known, name in _NAMES.items():
        if abs(metres / known - 1) < 1e-9:
            return name
    return said or f"{metres:.10g} m"
