"""The job's own places and coded shots, and the Site that all pieces make together."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job import outline
from hillwright.job.feet import SURVEY_FOOT, foot_mixup
from hillwright.job.fields import Degrees
from hillwright.job.files import find, read_text
from hillwright.job.geojson import Shape, in_survey_numbers, read_geojson
from hillwright.job.grid import Grid, System
from hillwright.job.model import OpenJob
from hillwright.job.points import Features, Shot
from hillwright.job.site import Measured, Shade, Site

_IN_DEGREES = (
    "the survey is in degrees, so places in feet or metres have no zero",
    'write longitude and latitude, as in ["-118.301234 deg", "34.104567 deg"]',
)
_NOT_IN_DEGREES = (
    "is in degrees, and the survey counts in lengths",
    'write two lengths, as in ["12 ft", "20 ft"]',
)
_CHOSEN = {"string", "fixed_rows", "fixed_cell", "keep", "leave_out"}
_FILLED = {"empty", "part_full", "cells", "pile", "line", "entry", "place"}
_PLACES = {"corners", "centre", "A", "B", "start", "end", "outlet", *_FILLED, *_CHOSEN}
_FOOT = re.compile(r"""\d\s*(ft|foot|feet|'|in|inch|inches|"|yd|yard)\s*$""")
_SMALLEST, _LARGEST = 1.0, 1000.0  # a hillside that one crew plants [m]


def check_extent(
    xy: Array, places: Any, file: str, hint: str = "check the unit of the numbers and survey.crs"
) -> None:
    """Refuse a survey that no crew could plant, naming the stray shot where there is just one."""
    size = float(np.ptp(xy, axis=0).max())
    if not math.isfinite(size) or size < _SMALLEST:
        raise SurveyError(file, f"the survey is only {size:.3g} m across", hint)
    if size <= _LARGEST:
        return
    stray = int(np.argmax(np.abs(xy - np.median(xy, axis=0)).max(axis=1)))
    others = np.delete(xy, stray, axis=0)
    if len(others) > 2 and np.ptp(others, axis=0).max() <= _LARGEST:
        what = f"this shot lies {size:,.0f} m from the others, which are less than 1 km across"
        raise SurveyError(str(places[stray]), what, "correct its coordinates")
    raise SurveyError(file, f"the survey is {size:,.0f} m across, more than 1 km", hint)


def given_shapes(opened: OpenJob, system: System, has_unit: bool) -> tuple[list[Shape], list[str]]:
    """Read the outline file and the job's own corners, in the numbers of the survey."""
    job, where = opened.job, opened.path.name
    shapes: list[Shape] = []
    notes: list[str] = []
    if job.outline.file:
        path = find(opened.path, job.outline.file, "outline.file")
        if not has_unit:
            raise SurveyError(
                f"{where}: survey.unit",
                f"the numbers of {path.name} have no unit",
                'write unit = "ft" or "m" under [survey]',
            )
        read, code, said = read_geojson(read_text(path), path.name)
        shapes, more = in_survey_numbers(read, code, system, path.name)
        notes += said + more
    if job.outline.corners:
        shapes.append(
            job_shape(
                "outline", "outline", job.outline.corners, f"{where}: outline.corners", system
            )
        )
    if job.layout.string:
        shapes = [s for s in shapes if s.role != "string"]
        shapes.append(
            job_shape("string", "string", job.layout.string, f"{where}: layout.string", system)
        )
    for i, e in enumerate(job.exclusion, 1):
        at = f"{where}: exclusion {i} ({e.name})"
        round_ = () if e.centre is None else (e.centre,)
        shape = job_shape("exclusion", e.name, e.corners or round_, at, system)
        shapes.append(replace(shape, size=None if e.corners else e.radius))
    return shapes, notes


def job_shape(role: str, name: str, places: Any, where: str, system: System) -> Shape:
    """Turn places of the job (metres on the survey's grid) into numbers of the survey."""
    xy = in_numbers(places, where, system.degrees, system.unit)
    return Shape(role, name, xy, tuple(f"{where} corner {i + 1}" for i in range(len(xy))))


def in_numbers(places: Any, where: str, degrees: bool, unit: float) -> Array:
    """Turn places of the job into (n, 2) numbers as the survey has them.

    Raises
    ------
    SurveyError
        Lengths beside a survey in degrees, or degrees beside one in lengths.
    """
    turned = {isinstance(value, Degrees) for place in places for value in place}
    if turned - {degrees}:
        raise SurveyError(where, *(_IN_DEGREES if degrees else _NOT_IN_DEGREES))
    return np.array(places, dtype=float).reshape(-1, 2) / (1.0 if degrees else unit)


def refuse_other_foot(opened: OpenJob, system: System, numbers: Array) -> None:
    """Refuse places written in plain feet beside a survey that counts in US survey feet.

    Over a lot the two feet are one; in a state-plane coordinate they lie up to 4 m apart, and
    nothing else would show it.

    Raises
    ------
    SurveyError
        Names the first such place.
    """
    apart = float(np.abs(numbers).max()) * abs(foot_mixup(system.unit).difference)
    if system.crs is None or not math.isclose(system.unit, SURVEY_FOOT) or apart < 0.005:
        return
    raw = tomllib.loads(read_text(opened.path))
    named = [(f"exclusion {i}", e) for i, e in enumerate(raw.get("exclusion", []), 1)]
    named += [(f"shade {i}", e) for i, e in enumerate(raw.get("shade", []), 1)]
    named += [
        (k, raw.get(k, {}))
        for k in ("planting", "outline", "benchmarks", "base_line", "layout", "drains", "supply")
    ]
    named += [(f"mix {i}", m) for i, m in enumerate(raw.get("mix", []), 1)]
    named += [(k, raw.get(k, {})) for k in ("fill", "carry")]
    for table, values in named:
        for key in _PLACES & set(values):
            for text in _texts(values[key]):
                if _FOOT.search(text):
                    raise SurveyError(
                        f"{opened.path.name}: {table}.{key}",
                        f"{text!r} is in international feet and {system.name} in US survey feet: "
                        f"at these coordinates they lie {apart:.2g} m apart",
                        'write "us_survey_foot" for "ft"',
                    )


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, list):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, str):
        yield value


def with_coded(
    shapes: list[Shape], coded: Features, shots: tuple[Shot, ...], places: list[str]
) -> tuple[list[Shape], list[str]]:
    """Add the outline, exclusions and string that the shots' codes draw."""

    def shape(role: str, name: str, ids: list[int]) -> Shape:
        xy = np.array([[shots[i].east, shots[i].north] for i in ids])
        return Shape(role, name, xy, tuple(places[i] for i in ids))

    found, notes = list(shapes), []
    for role, ids in (("outline", coded.outline), ("string", coded.string)):
        if not ids:
            continue
        if any(s.role == role for s in shapes):
            notes.append(
                f"The job gives its own {role}: the {len(ids)} shots coded so do not count."
            )
        else:
            found.append(shape(role, role, ids))
    found += [shape("exclusion", name, ids) for name, ids in coded.exclusions.items()]
    return found, notes


def assemble(
    opened: OpenJob, measured: Measured, grid: Grid, shapes: list[Shape], notes: list[str],
    ground: Array, base: Array | None,
) -> Site:  # fmt: skip
    """Put the pieces together in the local frame."""
    job, where = opened.job, opened.path.name
    edge, edge_where, exclusions = outline.placed(shapes, grid)
    if edge is not None:
        _check_outline(edge, edge_where, ground)
    strings = [grid.local(s.xy) for s in shapes if s.role == "string"]
    if len(strings) > 1:
        raise SurveyError(edge_where or where, "there are two top strings", "leave one out")

    def local(places: Any, key: str) -> Array:
        if not len(places):
            return frozen(np.empty((0, 2)))
        degrees = grid.project is not None
        return frozen(grid.local(in_numbers(places, f"{where}: {key}", degrees, grid.unit)))

    def single(place: Any, key: str) -> Array | None:
        return None if place is None else frozen(local([place], key)[0])

    if job.base_line.start is not None:
        base = local((job.base_line.start, job.base_line.end), "base_line")
        if np.linalg.norm(base[1] - base[0]) < 0.1:
            raise SurveyError(f"{where}: base_line", "has no length", "move its end off its start")
    choices = job.layout
    return Site(
        measured=measured,
        frame=grid.frame(*notes),
        outline=edge,
        outline_where=edge_where,
        exclusions=exclusions,
        string=_left_to_right(strings[0], ground, where) if strings else None,
        base_line=base,
        benchmarks=(
            single(job.benchmarks.A, "benchmarks.A"),
            single(job.benchmarks.B, "benchmarks.B"),
        ),
        fixed_rows=local(choices.fixed_rows, "layout.fixed_rows"),
        fixed_cell=single(choices.fixed_cell, "layout.fixed_cell"),
        keep=local(choices.keep, "layout.keep"),
        leave_out=local(choices.leave_out, "layout.leave_out"),
        outlet=single(job.drains.outlet, "drains.outlet"),
        entries=local(job.planting.entry, "planting.entry"),
        shades=tuple(
            Shade(
                name=s.name,
                line=local(s.line or (s.centre,), f"shade {i} ({s.name})"),
                height=s.height,
                spread=s.spread or 0.0,
                clear=s.clear,
                passes=s.lets_through,
            )
            for i, s in enumerate(job.shade, 1)
        ),
        tap=single(job.supply.place, "supply.place"),
    )


def _check_outline(edge: Array, where: str, ground: Array) -> None:
    """Refuse an outline of no plausible size, or one that misses the survey altogether."""
    size = float(np.ptp(edge, axis=0).max())
    if not _SMALLEST <= size <= _LARGEST:
        raise SurveyError(
            where,
            f"the outline is {size:.3g} m across",
            "check its unit, and whether it is in longitude and latitude (then give survey.crs)",
        )
    low, high = ground[:, :2].min(axis=0), ground[:, :2].max(axis=0)
    if (edge.max(axis=0) < low).any() or (edge.min(axis=0) > high).any():
        swapped = edge[:, ::-1]
        turned = (swapped.max(axis=0) >= low).all() and (swapped.min(axis=0) <= high).all()
        gap = np.maximum(low - edge.max(axis=0), edge.min(axis=0) - high).max()
        raise SurveyError(
            where,
            f"the outline lies {gap:,.1f} m off the survey",
            "northing and easting look swapped in one of the two"
            if turned
            else "check that both are in the same coordinate system and unit",
        )


def _left_to_right(string: Array, ground: Array, where: str) -> Array:
    """Order a top string left to right looking uphill, whichever way it was shot."""
    if len(string) < 2 or np.linalg.norm(string[-1] - string[0]) < 0.1:
        raise SurveyError(where, "the top string has no length", "give it from end to end")
    middle = ground.mean(axis=0)
    plane, *_ = np.linalg.lstsq(
        np.column_stack([ground[:, :2] - middle[:2], np.ones(len(ground))]),
        ground[:, 2],
        rcond=None,
    )
    along = string[-1] - string[0]
    turn = plane[0] * along[1] - plane[1] * along[0]  # uphill x along: left to right is negative
    return frozen(np.ascontiguousarray(string[::-1] if turn > 0 else string))
