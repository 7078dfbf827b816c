"""Set-out: every row given by two tapes, by station and offset, and checked before it is dug."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import SurveyError
from hillwright.job.site import Site
from hillwright.layout.groundtapes import meeting_angle, set_by_tapes, spread_on_ground
from hillwright.layout.model import Layout, SetOut
from hillwright.layout.pegs import choose_pegs, height_at, is_supported
from hillwright.layout.setoutwords import lifted, poor_points, row_workings
from hillwright.layout.stakes import stake_list
from hillwright.layout.stations import station_offset
from hillwright.layout.stretches import (
    Stretches,
    distance_from_string,
    drop_to_start,
    first_block,
    stretches,
)
from hillwright.layout.tolerances import STAKE, TAPE_SIGMA
from hillwright.terrain.model import Surface


class _Pegs(NamedTuple):
    a: Array
    b: Array
    base_line: Array  # (2, 3)
    notes: tuple[str, ...]


def set_out(
    layout: Layout,
    surface: Surface,
    site: Site,
    rounding: float = 0.01 * 0.3048,
    tape_sigma: float = TAPE_SIGMA,
) -> SetOut:
    """Stage: give what two people with a tape need to set every row out, and to check it.

    Parameters
    ----------
    layout : Layout
        The cells.
    surface : Surface
        The ground.
    site : Site
        Benchmarks and base line, where the person gave them; chosen here when not.
    rounding : float
        Last place that a tape reading is printed to: 0.01 ft unless given [m].
    tape_sigma : float
        Standard error of one tape reading [m].

    Returns
    -------
    SetOut
        One line for each stretch of whole cells.

    Raises
    ------
    SurveyError
        A benchmark of the person's stands where the ground is not known.
    """
    found = stretches(layout)
    start, end = layout.corners[found.first, 0], layout.corners[found.last, 1]
    ends = np.stack([start, end], axis=1)  # (r, 2, 3)
    pegs = _pegs(layout, surface, site, ends.reshape(-1, 3))
    station, offset = station_offset(pegs.base_line[0], pegs.base_line[1], ends)
    tape_a, tape_b = (np.linalg.norm(ends - peg, axis=2) for peg in (pegs.a, pegs.b))
    angle = meeting_angle(ends, pegs.a, pegs.b)
    spread = spread_on_ground(surface.graded, ends.reshape(-1, 3), pegs.a, pegs.b)
    sigma = tape_sigma * spread.reshape(-1, 2)
    straight = np.linalg.norm(end - start, axis=1)
    closure = _closure(surface, pegs, ends, (tape_a, tape_b), spread.reshape(-1, 2), rounding)
    string = layout.top_string
    down = distance_from_string(string, start) if len(start) else np.empty(0)
    check = (
        np.linalg.norm(ends - string[0], axis=2) if len(string) else np.full(tape_a.shape, np.nan)
    )
    square, square_note = first_block(layout, found)
    diagonals = np.linalg.norm(square[:2] - square[2:], axis=1) if len(square) else np.empty(0)
    names, stakes, notes = stake_list(layout, surface, found, (pegs.a, pegs.b), pegs.base_line)
    warnings = (
        *pegs.notes,
        *poor_points(found, angle, sigma),
        *_unclosed(found, closure),
        *lifted(surface.graded, found, ends, pegs.a, pegs.b),
    )
    return SetOut(
        benchmark_a=frozen(pegs.a),
        benchmark_b=frozen(pegs.b),
        base_line=frozen(pegs.base_line),
        row=_ints(found.row),
        cells=_ints(found.cells),
        first=_ints(layout.number[found.first]),
        start=frozen(start),
        end=frozen(end),
        from_string=frozen(down),
        station=frozen(station),
        offset=frozen(offset),
        tape_a=frozen(tape_a),
        tape_b=frozen(tape_b),
        along=frozen(found.reach[found.last]),
        angle=frozen(angle),
        sigma=frozen(sigma),
        closure=frozen(closure),
        tolerance=STAKE,
        stake_name=names,
        stake=frozen(stakes),
        stake_note=notes,
        workings=row_workings(found, start, pegs.a, pegs.b, pegs.base_line, string),
        warnings=warnings,
        line_name=found.name,
        straight=frozen(straight),
        check=frozen(check),
        drop=frozen(drop_to_start(layout, found, string) if len(start) else np.empty(0)),
        reach=frozen(found.reach),
        square=frozen(square),
        diagonals=frozen(diagonals),
        square_note=square_note,
        note=" ".join(pegs.notes),
    )


def _ints(values: Index) -> Index:
    return frozen(np.asarray(values, np.intp))


def _pegs(layout: Layout, surface: Surface, site: Site, points: Array) -> _Pegs:
    notes: list[str] = []
    given = [
        _given(surface, place, name, notes)
        for place, name in zip(site.benchmarks, "AB", strict=True)
    ]
    a, b = given
    if a is not None and b is not None and np.hypot(*(a - b)[:2]) < 0.5:
        raise SurveyError(
            "benchmarks", "A and B stand within half a metre of each other", "give pegs well apart"
        )
    if not len(points):  # no cell at all: the pegs still serve the outline
        xy = surface.outline
        points = np.column_stack([xy, np.nan_to_num(height_at(surface, xy))])
    if a is None or b is None:
        keep_off = ([e.ring for e in site.exclusions], layout.corners[:, :, :2])
        chosen = choose_pegs(
            surface, points, _uphill(layout, surface), keep_off, site.base_line, (a, b)
        )
        if chosen is None:
            raise SurveyError(
                "benchmarks",
                "no place for the pegs is known outside the cells",
                "survey a little beyond the outline, or give A and B",
            )
        which = "Pegs A and B were" if a is None and b is None else (
            "Peg A was" if a is None else "Peg B was"
        )  # fmt: skip
        a, b = chosen
        notes.append(
            f"{which} chosen, just outside the outline: drive them there first and check the "
            "distance from A to B."
        )
        new = np.array([p for p, g in zip((a, b), given, strict=True) if g is None])
        if not is_supported(surface, new[:, :2]).all():
            notes.append("A chosen peg stands beyond the survey: take its height on site.")
    if site.base_line is not None:
        return _Pegs(a, b, _on_ground(surface, site.base_line, notes), tuple(notes))
    notes.append("No base line was given: stations run from peg A to peg B.")
    return _Pegs(a, b, np.stack([a, b]), tuple(notes))


def _given(surface: Surface, place: Array | None, name: str, notes: list[str]) -> Array | None:
    if place is None:
        return None
    z = float(height_at(surface, place[None])[0])
    if not np.isfinite(z):
        raise SurveyError(
            f"benchmarks.{name}",
            "stands where the ground is not known",
            "give a place inside the survey, or leave it out to have it chosen",
        )
    if not is_supported(surface, place[None])[0]:
        notes.append(f"Peg {name} stands beyond the survey: take its height on site.")
    return np.array([*place, z])


def _uphill(layout: Layout, surface: Surface) -> Array:
    """(2,) direction in plan that the rows are seen in: up the cells, or up the ground."""
    if len(layout.row):
        c = layout.corners
        up = (c[:, :2].sum(axis=1) - c[:, 2:].sum(axis=1)).mean(axis=0)[:2]
    else:
        middle = surface.outline.mean(axis=0)
        up = np.array([float(v) for v in surface.ground.at(*middle)[1:]])
    length = float(np.hypot(*up))
    return up / length if length > 0 else np.array([0.0, 1.0])


def _on_ground(surface: Surface, line: Array, notes: list[str]) -> Array:
    """(2, 3) a base line with heights; where the ground ends, the height that it ends with."""
    share = np.linspace(0, 1, 201)
    xy = line[0] + share[:, None] * (line[1] - line[0])
    z = height_at(surface, xy)
    known = np.flatnonzero(np.isfinite(z))
    if not len(known):
        around = height_at(surface, surface.outline)
        notes.append("The base line lies off the survey: its heights are not known.")
        level = float(np.nanmean(around)) if np.isfinite(around).any() else 0.0
        return np.column_stack([line, [level, level]])
    if len(known) < len(z):
        notes.append("A part of the base line lies off the survey: its heights end there.")
    return np.column_stack([line, [z[known[0]], z[known[-1]]]])


def _closure(
    surface: Surface,
    pegs: _Pegs,
    ends: Array,
    tapes: tuple[Array, Array],
    spread: Array,
    rounding: float,
) -> Array:
    """(r,) length start to end by the printed readings, less the true one [m].

    Where rounded tapes do not meet at all: how far the rounding may put the point out.
    """
    if not len(ends):
        return np.empty(0)
    read_a, read_b = (np.round(t.ravel() / rounding) * rounding for t in tapes)
    guess = ends.reshape(-1, 3)[:, :2]
    points = set_by_tapes(surface.graded, pegs.a, pegs.b, read_a, read_b, guess).reshape(ends.shape)
    length = np.linalg.norm(points[:, 1] - points[:, 0], axis=1)
    true = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    farthest = np.maximum(*tapes).max(axis=1)  # no point is out by more than a tape is long
    out = np.minimum(rounding * np.nan_to_num(spread, nan=np.inf).max(axis=1), farthest)
    return np.asarray(np.where(np.isfinite(length), length - true, out))


def _unclosed(found: Stretches, closure: Array) -> tuple[str, ...]:
    bad = np.flatnonzero(np.abs(closure) > STAKE)
    if not len(bad):
        return ()
    names = ", ".join(found.name[i] for i in bad[:6]) + (" ..." if len(bad) > 6 else "")
    return (
        f"From the printed readings {names} do not close within {1e3 * STAKE:.0f} mm: set them by "
        "station and offset, or move the pegs.",
    )
