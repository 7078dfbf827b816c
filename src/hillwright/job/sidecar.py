"""Read a job's sidecar files: survey, outline, exclusions and places become one Site."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from functools import cache
from importlib import resources

import numpy as np

from hillwright import units
from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job import dem, landxml, points, sections
from hillwright.job.files import Problems, find, read_text
from hillwright.job.geojson import Shape
from hillwright.job.grid import Grid, System, factor, named, system, unit_factor
from hillwright.job.model import Job, OpenJob
from hillwright.job.places import (
    assemble,
    check_extent,
    given_shapes,
    refuse_other_foot,
    with_coded,
)
from hillwright.job.plantsite import for_planting
from hillwright.job.points import Features, PointFile, Shot
from hillwright.job.site import Site, Spots


@cache
def _table() -> dict[str, dict[str, str]]:
    text = resources.files("hillwright.data").joinpath("survey.toml").read_text("utf-8")
    return tomllib.loads(text)


def read_site(opened: OpenJob) -> Site:
    """Read everything that a job names, in one local frame.

    Raises
    ------
    SurveyError
        A file that is missing, cannot be read, or does not describe a hillside; everything
        wrong in one file is told together.
    """
    kind = opened.job.survey.kind
    readers = {"sections": _from_sections, "points": _from_points, "dem": _from_dem}
    return for_planting(opened, readers[kind](opened))


def _from_sections(opened: OpenJob) -> Site:
    job, where = opened.job, opened.path.name
    survey = job.survey
    path = find(opened.path, survey.file, "survey.file")
    if survey.unit:
        unit_factor(survey.unit, f"{where}: survey.unit")
    table = _table()["sections"]
    tape, angle = units.length(table["tape"]), units.angle(table["angle"])
    read = sections.read_sections(read_text(path), path.name, survey.unit, tape, angle)
    if survey.accuracy is not None:  # of one leg's height: seen as all of it in the angle
        reach = float(np.median(read.distance * np.cos(read.angle)))
        read = replace(read, angle_sigma=survey.accuracy / reach)
    metres = factor(survey.unit or ("ft" if job.units == "us" else "m"))
    name = named(metres, survey.unit)
    bearing = job.base_line.bearing
    note = "Local grid: x along the base line, y to its left, heights from the base line's zero."
    if bearing is None:
        note += " The bearing of the base line is not given: +y is taken as north."
    grid = Grid("", metres, name, metres, notes=(note,))
    if bearing is not None:
        grid = replace(grid, north=(bearing - math.pi / 2) % (2 * math.pi))
    shapes, notes = given_shapes(opened, System(None, "", metres, name, metres), survey.unit != "")
    ends = sections.ends(read)
    check_extent(ends[:, :2], read.where, path.name)
    along = [[read.chainage.min(), 0.0], [read.chainage.max(), 0.0]]
    base = frozen(np.array(along)) if np.ptp(read.chainage) > 0 else None
    return assemble(opened, read, grid, shapes, notes, ends, base)


def _from_points(opened: OpenJob) -> Site:
    job, where = opened.job, opened.path.name
    survey = job.survey
    path = find(opened.path, survey.file, "survey.file")
    text = read_text(path)
    xml = text.lstrip().startswith("<")
    read = (
        landxml.read_landxml(text, path.name)
        if xml
        else points.read_points(text, path.name, survey)
    )
    system = _points_system(job, read, path.name, where)
    shapes, notes = given_shapes(opened, system, True)
    read, order_note = _ordered(read, system, shapes, path.name)
    notes += [order_note] if order_note else []
    coded = points.features(read.shots, survey, path.name)
    numbers = np.array([[s.east, s.north] for s in read.shots])
    places = [f"{path.name} line {s.line}" for s in read.shots]
    if xml:
        places = [f"{path.name} point {s.name}" for s in read.shots]
    refuse_other_foot(opened, system, numbers)
    grid = system.grid(numbers, path.name)
    if not xml:
        shapes, more = with_coded(shapes, coded, read.shots, places)
        notes += more
    local = grid.local(numbers)
    check_extent(local, places, path.name)
    sigma = survey.accuracy or units.length(_table()["points"]["height"])
    spots = _spots(read, coded, local, places, grid.z_unit, sigma, path.name)
    if blank := len(read.shots) - len(spots.names):
        notes.append(f"{blank} shots of {path.name} have no height and are not ground points.")
    return assemble(opened, spots, grid, shapes, notes, spots.xyz, None)


def _from_dem(opened: OpenJob) -> Site:
    job, where = opened.job, opened.path.name
    path = find(opened.path, job.survey.file, "survey.file")
    raster = dem.open_dem(path, job.survey, where)
    shapes, notes = given_shapes(opened, raster.system, True)
    rings = [s.xy for s in shapes if s.role == "outline"]
    window = dem.window(raster, np.vstack(rings) if rings else None)
    corners = raster.corners(window)
    refuse_other_foot(opened, raster.system, corners)
    grid = raster.system.grid(corners, path.name)
    hint = "give an outline" if not rings else "check the coordinate system of the file"
    check_extent(grid.local(corners), [hint] * 4, path.name, hint)
    sigma = job.survey.accuracy or units.length(_table()["dem"]["height"])
    read, more = dem.read_heights(raster, window, grid, sigma)
    ny, nx = read.heights.shape
    x, y = np.meshgrid(read.x0 + read.dx * np.arange(nx), read.y0 + read.dy * np.arange(ny))
    step = max(1, (ny * nx) // 20_000)  # enough to tell uphill by
    some = np.column_stack([x.ravel(), y.ravel(), read.heights.ravel()])[::step]
    return assemble(opened, read, grid, shapes, notes + more, some[np.isfinite(some[:, 2])], None)


def _points_system(job: Job, read: PointFile, file: str, where: str) -> System:
    """Settle the unit between the file, the job and the coordinate system."""
    survey = job.survey
    try:
        metres = factor(read.unit) if read.unit else 0.0
    except units.UnitError:
        metres = 0.0  # the bracket in the header held a remark, not a unit
    used = system(survey.crs, survey.unit or ("" if survey.crs or not metres else read.unit), where)
    # headers say "ft" of either foot: only a unit of another size is a contradiction
    near = 1e-4 if survey.crs else 1e-9
    if metres and not used.degrees and abs(metres / used.unit - 1) > near:
        raise SurveyError(
            f"{where}: survey",
            f"the file {file} says its numbers are in {read.unit}, the job {used.unit_name}",
            "correct the one that is wrong",
        )
    return used


def _ordered(
    read: PointFile, system: System, shapes: list[Shape], file: str
) -> tuple[PointFile, str]:
    """Find out whether northing or easting comes first where the file does not say."""
    if read.sure:
        return read, ""
    as_read = np.array([[s.east, s.north] for s in read.shots])
    turned = as_read[:, ::-1]
    scores, by = (system.holds(as_read), system.holds(turned)), f"where {system.name} is meant for"
    rings = [s.xy for s in shapes if s.role == "outline"]
    if rings:
        ring = np.vstack(rings)
        low, high = ring.min(axis=0), ring.max(axis=0)
        reach = high - low
        inside = [
            ((p > low - reach) & (p < high + reach)).all(axis=1).mean() for p in (as_read, turned)
        ]
        if abs(inside[0] - inside[1]) > 0.2:
            scores, by = (float(inside[0]), float(inside[1])), "the outline"
    if scores[1] > scores[0] + 0.2:
        shots = tuple(s._replace(east=s.north, north=s.east) for s in read.shots)
        other = read.order.replace("NE", "EN")
        return replace(read, shots=shots, order=other), f"{file} read as {other}: told by {by}."
    if scores[0] > scores[1] + 0.2:
        return read, f"{file} read as {read.order}: told by {by}."
    return read, (
        f"{file} does not say whether northing or easting comes first; taken as {read.order}, "
        "northing first, as usual. A swap would mirror the hill: check it against the ground."
    )


def _spots(
    read: PointFile, coded: Features, local: Array, places: list[str], z_unit: float,
    sigma: float, file: str,
) -> Spots:  # fmt: skip
    """Keep the shots that have a height."""
    has = [i for i, s in enumerate(read.shots) if s.height is not None]
    if not has:
        raise SurveyError(file, "no shot has a height", "give the elevation of every ground shot")
    heights = np.array([read.shots[i].height for i in has], dtype=float)
    _check_zeros(heights, [read.shots[i] for i in has], file)
    new = {old: i for i, old in enumerate(has)}
    return Spots(
        names=tuple(read.shots[i].name for i in has),
        xyz=frozen(np.column_stack([local[has], heights * z_unit])),
        where=tuple(places[i] for i in has),
        breaklines=tuple(tuple(new[i] for i in ids) for ids in coded.breaklines.values()),
        sigma=sigma,
    )


def _check_zeros(heights: Array, shots: list[Shot], file: str) -> None:
    """Refuse a height of exactly 0 far off all others: a blank that some program filled in."""
    problems = Problems(file)
    rest = heights[heights != 0]
    if rest.size and abs(float(np.median(rest))) > 10 + 5 * float(np.ptp(rest)):
        for i in np.flatnonzero(heights == 0):
            away = abs(float(np.median(rest)))
            problems.add(
                shots[i].line,
                f"height 0 is {away:.0f} away from the other heights",
                "leave the elevation blank where the shot has none",
            )
    problems.raise_any()
