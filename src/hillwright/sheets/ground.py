"""The ground on the plan: contours, unsurveyed parts, places to keep off, places to smooth."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any, cast

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.job.site import Site
from hillwright.sheets import figures
from hillwright.sheets.drawing import FINE, MEDIUM, THIN, Drawing, direction
from hillwright.sheets.fonts import text_width
from hillwright.sheets.linetypes import CONTOUR_INDEX
from hillwright.sheets.marks import LEAST_TEXT, Circle, Fill, Hatch, Words
from hillwright.sheets.place import Candidate, around
from hillwright.sheets.view import height_label
from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.model import Surface

RIM = 0.8  # ground that is drawn around the outline [m]
MOST_CONTOURS = 24
SAMPLES = 180  # along the longer side
FAR = (0.7, 2, 4, 7, 11, 16, 22, 29, 37, 46, 56, 67, 80)  # how far a label may stray [mm]
BALLOON = 2.7  # radius round the number of a spot [mm]


def contour_interval(relief: float) -> float:
    """Choose the contour interval for a relief, in the same unit: 1, 2 or 5 times ten to a power.

    At most `MOST_CONTOURS` lines, so that the cells stay in front.
    """
    return figures.nice_step(max(relief, 1e-6) / MOST_CONTOURS)


def contour_lines(surface: Surface, z_unit: float) -> tuple[float, list[tuple[float, Array]]]:
    """Trace the graded ground around the outline.

    Returns
    -------
    interval : float
        Between lines, in the survey's unit of height. [any]
    lines : list of (level, (k, 2) array)
        Level in the survey's unit of height, points [m].
    """
    import contourpy

    near = shapely.Polygon(surface.outline).buffer(RIM)
    x0, y0, x1, y1 = near.bounds
    step = max(x1 - x0, y1 - y0) / SAMPLES
    x, y = np.arange(x0, x1 + step, step), np.arange(y0, y1 + step, step)
    across, up = np.meshgrid(x, y)
    z = np.asarray(surface.graded.at(across, up)[0]) / z_unit
    inside = shapely.contains_xy(near, across, up) & np.isfinite(z)
    if not inside.any():
        return 1.0, []
    low, high = float(z[inside].min()), float(z[inside].max())
    interval = contour_interval(high - low)
    trace = contourpy.contour_generator(x, y, np.ma.masked_array(z, ~inside))
    levels = np.arange(math.ceil(low / interval), math.floor(high / interval) + 1) * interval
    return interval, [
        (float(level), np.asarray(line))
        for level in levels
        for line in trace.lines(level)
        if len(line) > 2
    ]


def draw_contours(d: Drawing, lines: list[tuple[float, Array]], interval: float) -> None:
    """Draw contours, every fifth heavier and lettered."""
    decimals = max(0, math.ceil(-math.log10(interval) - 1e-9))
    for level, line in lines:
        index = round(level / interval) % 5 == 0
        z = np.full(len(line), level / d.view.z_factor)
        pen = d.of(CONTOUR_INDEX if index else "contours")
        d.line("contours", np.column_stack([line, z]), pen)
    d.notes["contours"] = (
        f"Contour, every {interval:g} {height_label(d.frame)}; full line every {5 * interval:g}"
    )
    for level, line in lines:
        if round(level / interval) % 5 == 0:
            d.words("contours", f"{level:.{decimals}f}", LEAST_TEXT, _along(d, line), worth=2.5)


def _along(d: Drawing, line: Array) -> list[Candidate]:
    """Places for a label along a line: its ends first, where no cells are, then its middle."""
    placed = d.view.place(line)
    steps = np.hypot(*np.diff(placed, axis=0).T)
    run = np.concatenate([[0.0], np.cumsum(steps)])
    if run[-1] < d.mm(14):
        return []
    found = []
    for share in (0.06, 0.94, 0.12, 0.88, 0.2, 0.8, 0.3, 0.7, 0.5):
        at = np.array(
            [
                np.interp(share * run[-1] + e, run, placed[:, k])
                for k in (0, 1)
                for e in (-d.mm(3), d.mm(3))
            ]
        )
        start, end = at[[0, 2]], at[[1, 3]]
        x, y = (start + end) / 2
        found.append(Candidate(float(x), float(y), direction(start, end)))
    return found


def unsurveyed(surface: Surface) -> list[Array]:
    """Give the parts of the outline that no survey point covers, each (k, 2) [m]."""
    if surface.supported.all():
        return []
    import contourpy

    window = cast(HeightField, surface.graded).window
    known = contourpy.contour_generator(
        window.x, window.y, surface.supported.astype(float), fill_type="OuterOffset"
    )
    filled: Any = known.filled(-1.0, 0.5)
    points, offsets = filled
    outline = shapely.Polygon(surface.outline)
    found = []
    for place, offset in zip(points, offsets, strict=True):
        rings = [place[a:b] for a, b in pairwise(offset)]
        area = shapely.make_valid(shapely.Polygon(rings[0], rings[1:])).intersection(outline)
        found += [
            np.asarray(part.exterior.coords)[:-1]
            for part in shapely.get_parts(area)
            if part.geom_type == "Polygon" and part.area > window.step**2
        ]
    return found


def draw_unsurveyed(d: Drawing, surface: Surface) -> None:
    """Hatch the ground that no survey point covers."""
    for ring in unsurveyed(surface):
        placed = d.view.place(ring)
        d.marks.append(Hatch("not-surveyed", placed, d.mm(2.4), math.radians(-60), d.pen(FINE)))
        d.line("not-surveyed", ring, d.pen(FINE))
        d.notes["not-surveyed"] = "Outside the survey: heights are guessed"


def near_exclusions(site: Site, outline: Array) -> list[tuple[str, Array]]:
    """Cut the places to keep off to what lies near the outline; name and ring (k, 2) [m]."""
    near = shapely.box(*shapely.Polygon(outline).buffer(2 * RIM).bounds)
    found: list[tuple[str, Array]] = []
    for exclusion in site.exclusions:
        ring = shapely.make_valid(shapely.Polygon(exclusion.ring))
        parts = shapely.get_parts(ring.intersection(near))
        found += [
            (exclusion.name, np.asarray(part.exterior.coords)[:-1])
            for part in parts
            if part.geom_type == "Polygon"
        ]
    return found


def draw_exclusions(d: Drawing, rings: list[tuple[str, Array]]) -> None:
    """Hatch and name the places to keep off."""
    for _, ring in rings:
        placed = d.view.place(ring)
        d.marks.append(Fill("exclusions", placed, 1.0))
        d.marks.append(Hatch("exclusions", placed, d.mm(1.3), math.radians(45), d.pen(FINE)))
        d.line("exclusions", ring, d.pen(MEDIUM), closed=True)
        d.notes["exclusions"] = "Keep off: no cells here"


def name_exclusions(d: Drawing, rings: list[tuple[str, Array]]) -> None:
    """Letter each place to keep off inside it, or beside it where it is small."""
    for name, ring in rings:
        area = shapely.Polygon(d.view.place(ring))
        inside = area.representative_point()
        reach = math.sqrt(area.area) / 2
        half = text_width(name, d.mm(LEAST_TEXT)) / 2
        gaps = [reach + d.mm(r) for r in FAR]
        beside = around(inside.x, inside.y, gaps, half)
        places = [Candidate(inside.x, inside.y), Candidate(area.centroid.x, area.centroid.y)]
        d.words("exclusions", name, LEAST_TEXT, [*places, *beside], needed=True, thing=area)


def ring_spots(d: Drawing, surface: Surface) -> None:
    """Ring each place to smooth and put its number on it; numbers of cells give way to it."""
    for spot in surface.spots:
        if len(spot.ring) > 2:
            d.line("spots", spot.ring, d.of("spots"), closed=True)
        x, y = (float(v) for v in d.view.place([spot.x, spot.y]))
        d.marks.append(Circle("spots", (x, y), d.mm(BALLOON), d.pen(THIN), 1.0))
        number = Words("spots", (x, y), str(spot.number), d.mm(LEAST_TEXT), bold=True, halo=False)
        d.marks.append(number)
        d.hard.append(shapely.Point(x, y).buffer(d.mm(BALLOON)))
        d.notes["spots"] = "Smooth first: number, dip or hump, depth"


def measure_spots(d: Drawing, surface: Surface) -> None:
    """Letter what each place to smooth is and how deep, as near as there is room."""
    for spot in surface.spots:
        x, y = (float(v) for v in d.view.place([spot.x, spot.y]))
        text = f"{'dip' if spot.fill > spot.trim else 'hump'} {figures.small(spot.depth, d.system)}"
        half = text_width(text, d.mm(LEAST_TEXT), bold=True) / 2
        gaps = [d.mm(BALLOON + r) for r in FAR]
        d.words(
            "spots",
            text,
            LEAST_TEXT,
            around(x, y, gaps, half),
            bold=True,
            worth=8.0,
            thing=shapely.Point(x, y).buffer(d.mm(BALLOON)),
            called=f"depth of spot {spot.number}",
        )
