"""Outlines, exclusions and the top string from a GeoJSON file.

A file holds one outline, or features with a property ``role``: "outline", "exclusion" or
"string", and a ``name``. A hole in the outline is an exclusion; so is a Point with a ``radius``
("3 ft") and a LineString with a ``width`` ("4 ft"), a trail corridor.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from hillwright import units
from hillwright.arrays import Array
from hillwright.errors import SurveyError
from hillwright.job.crs import LONLAT, parse
from hillwright.job.files import Problems
from hillwright.job.grid import System
from hillwright.method import method

_ROLES = ("outline", "exclusion", "string")


class Position(NamedTuple):
    """A GeoJSON position."""

    longitude: float
    latitude: float
    height: float
    crs: str


@method(
    title="A GeoJSON position",
    equation="[longitude, latitude, height above the WGS 84 ellipsoid]",
    source="IETF, 2016, RFC 7946 sections 3.1.1 and 4",
)
def geojson_position(position: Sequence[float]) -> Position:
    """Read a GeoJSON position.

    Parameters
    ----------
    position : (2,) or (3,) array
        Longitude and latitude in degrees, and a height in metres where there is one. [any]

    Returns
    -------
    longitude, latitude : float
        In degrees of WGS 84. [any]
    height : float
        Above the ellipsoid (not the sea), NaN where there is none; in metres. [any]
    crs : str
        The coordinate system that the standard prescribes. [text]

    Raises
    ------
    SurveyError
        Not two or three numbers, or no place on the earth.
    """
    at = np.asarray(position, dtype=float)
    if at.ndim != 1 or not 2 <= at.size <= 3 or not np.isfinite(at).all():
        raise SurveyError("position", "is not two or three numbers", "write [longitude, latitude]")
    if abs(at[0]) > 180 or abs(at[1]) > 90:
        raise SurveyError(
            "position",
            f"[{at[0]:g}, {at[1]:g}] is no longitude and latitude",
            "write [longitude, latitude] in degrees, in that order",
        )
    height = float(at[2]) if at.size == 3 else math.nan
    return Position(float(at[0]), float(at[1]), height, LONLAT)


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """An outline, exclusion or string as read, in the numbers of the survey file."""

    role: str
    name: str
    xy: Array  # (k, 2)
    where: tuple[str, ...]  # (k,) each corner's place in its file
    size: float | None = None  # radius of a point or width of a line [m]


def _positions(value: Any, depth: int) -> Iterator[Any]:
    """Walk nested coordinates down to lists of positions."""
    if not isinstance(value, list):
        raise ValueError
    if depth == 0:
        yield value
    else:
        for part in value:
            yield from _positions(part, depth - 1)


def _array(ring: Any) -> Array:
    found = []
    for p in ring:
        if not isinstance(p, list) or not 2 <= len(p) <= 4:
            raise ValueError
        if any(isinstance(v, bool) or not isinstance(v, int | float) for v in p[:2]):
            raise ValueError
        found.append((float(p[0]), float(p[1])))
    array = np.array(found, dtype=float).reshape(-1, 2)
    if not np.isfinite(array).all():
        raise ValueError
    return array


class _Geojson:
    """One GeoJSON file while it is being read."""

    def __init__(self, file: str) -> None:
        self.problems = Problems(file)
        self.shapes: list[Shape] = []
        self.notes: list[str] = []

    def feature(self, feature: Any, at: str, alone: bool) -> None:
        """Read one feature, or note why not."""
        geometry = feature.get("geometry") if isinstance(feature, dict) else None
        properties = (feature.get("properties") if isinstance(feature, dict) else None) or {}
        if not isinstance(geometry, dict) or not isinstance(properties, dict):
            self.problems.add(at, "is not a feature with a geometry", "export it again")
            return
        role = properties.get("role", "outline" if alone else None)
        role = role.strip().lower() if isinstance(role, str) else role
        if role not in _ROLES:
            what = "has no role" if role is None else f"has the role {str(role)[:40]!r}"
            self.problems.add(at, what, 'give the property "role": outline, exclusion or string')
            return
        name = str(properties.get("name") or role)[:80]
        kind, coordinates = geometry.get("type"), geometry.get("coordinates")
        try:
            self.geometry(role, name, kind, coordinates, properties, at)
        except (ValueError, OverflowError, TypeError):
            self.problems.add(
                at, "its coordinates are not finite numbers in the form of its type", "export again"
            )

    def geometry(
        self, role: str, name: str, kind: Any, coordinates: Any, properties: Any, at: str
    ) -> None:
        """Sort one geometry into shapes."""
        if role != "string" and kind in ("Polygon", "MultiPolygon"):
            parts = [coordinates] if kind == "Polygon" else list(_positions(coordinates, 1))
            for i, part in enumerate(parts):
                label = name if len(parts) == 1 else f"{name} {i + 1}"
                self.polygon(role, label, part, at)
        elif role == "string" and kind == "LineString":
            self.add(role, name, coordinates, at)
        elif role == "exclusion" and kind in ("Point", "LineString"):
            key = "radius" if kind == "Point" else "width"
            try:
                size = units.length(properties.get(key))
            except units.UnitError as error:
                self.problems.add(f"{at} {key}", error.what, error.right)
                return
            if size <= 0:
                self.problems.add(f"{at} {key}", "is not more than 0", 'write "3 ft"')
                return
            self.add(role, name, [coordinates] if kind == "Point" else coordinates, at, size)
        else:
            self.problems.add(
                at,
                f"a {role} cannot be a {str(kind)[:30]}",
                "draw an outline or exclusion as a Polygon, a string as a LineString",
            )

    def polygon(self, role: str, name: str, rings: Any, at: str) -> None:
        """Take the rings of one polygon."""
        each = list(_positions(rings, 1))
        if not each:
            raise ValueError
        self.add(role, name, each[0], at)
        if role == "exclusion" and each[1:]:
            self.notes.append(f"The hole inside exclusion {name!r} is kept clear as well.")
            return
        for i, hole in enumerate(each[1:], 1):
            self.add("exclusion", f"hole {i} in {name}", hole, f"{at} hole {i}")

    def add(self, role: str, name: str, ring: Any, at: str, size: float | None = None) -> None:
        """Take one list of positions."""
        xy = _array(ring)
        where = tuple(f"{self.problems.file}: {at} corner {i + 1}" for i in range(len(xy)))
        self.shapes.append(Shape(role, name, xy, where, size))


def read_geojson(text: str, file: str) -> tuple[list[Shape], str, list[str]]:
    """Read the shapes of a GeoJSON file in its own numbers.

    Returns
    -------
    shapes : list of Shape
    crs : str
        What an old-style ``crs`` member names, or "".
    notes : list of str

    Raises
    ------
    SurveyError
        Everything wrong in the file, together.
    """
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise SurveyError(
            f"{file} line {error.lineno}", f"is not JSON ({error.msg})", "export it as GeoJSON"
        ) from None
    except (RecursionError, ValueError):
        raise SurveyError(file, "is not GeoJSON", "export it as GeoJSON") from None
    reader = _Geojson(file)
    kind = data.get("type") if isinstance(data, dict) else None
    if kind == "FeatureCollection" and isinstance(data.get("features"), list):
        features = data["features"]
        for i, feature in enumerate(features, 1):
            reader.feature(feature, f"feature {i}", len(features) == 1)
    elif kind == "Feature":
        reader.feature(data, "the feature", True)
    elif kind in ("Polygon", "MultiPolygon"):
        reader.feature({"geometry": data}, "the geometry", True)
    else:
        right = "export a FeatureCollection, a Feature or a Polygon"
        raise SurveyError(file, "is not GeoJSON with an outline", right)
    reader.problems.raise_any()
    if not reader.shapes:
        raise SurveyError(file, "holds no outline and no exclusion", "draw at least one Polygon")
    crs = data.get("crs")
    try:
        named = str(crs["properties"]["name"]) if crs else ""
    except (KeyError, TypeError):
        raise SurveyError(
            f"{file}: crs", "names no coordinate system", "leave crs out: RFC 7946 has none"
        ) from None
    return reader.shapes, named, reader.notes


def in_survey_numbers(
    shapes: list[Shape], crs: str, system: System, file: str
) -> tuple[list[Shape], list[str]]:
    """Turn the shapes of a GeoJSON file into the numbers of the survey.

    Longitude and latitude as RFC 7946 wants them, unless the file names another system or its
    numbers lie outside them: then they are the survey's own. On a local grid they always are.

    Raises
    ------
    SurveyError
        The file names a system and the survey has none, or no place can be found.
    """
    if system.crs is None:
        if crs:
            raise SurveyError(
                f"{file}: crs",
                f"the outline is in {crs} and the survey in a local grid",
                "give survey.crs in the job, or the outline in the survey's own numbers",
            )
        return shapes, []
    every = np.vstack([s.xy for s in shapes])
    degrees = bool((np.abs(every) <= 180).all())  # a map counts in thousands; order: see below
    if not crs and not degrees and not system.degrees:
        return shapes, [f"{file} is in the survey's own numbers, not in longitude and latitude."]
    if not crs:
        for shape in shapes:
            for xy, where in zip(shape.xy, shape.where, strict=True):
                try:
                    geojson_position(xy)
                except SurveyError as error:
                    raise SurveyError(
                        where, error.problems[0].what, error.problems[0].right
                    ) from None
    source = parse(crs, f"{file}: crs") if crs else None
    converted, accuracy = system.numbers(every, source)  # all at once: opening it takes longest
    parts = np.split(converted, np.cumsum([len(s.xy) for s in shapes])[:-1])
    for shape, xy in zip(shapes, parts, strict=True):
        if not np.isfinite(xy).all():
            raise SurveyError(
                shape.where[0],
                f"does not lie where {system.name} holds",
                "write [longitude, latitude] in degrees, in that order",
            )
    found = [replace(shape, xy=xy) for shape, xy in zip(shapes, parts, strict=True)]
    note = f"{file} was converted to {system.name}; that alone is good to {accuracy:.3g} m only."
    return found, [note] if accuracy > 0.05 else []
