"""What the layout says of itself: the working of its figures, and what to look at."""

from __future__ import annotations

import math

import numpy as np
import shapely

from hillwright.job.model import Choices
from hillwright.job.site import Site
from hillwright.layout.bound import area_bound
from hillwright.layout.measure import bend_between, cell_shear, cell_twist
from hillwright.layout.model import CellShape, Layout
from hillwright.layout.placing import TOUCH, allowed_ground
from hillwright.method import Number, Working
from hillwright.terrain.model import Surface
from hillwright.terrain.surface_area import surface_area

AREA_ERROR = 1e-4  # of a true area, relative; the ground room measures the outline's as well
THIS_PLAN = "counted from this plan"
OWN_STRING = "your own top string"
MANY_LOST = 0.75  # of the bound: with fewer cells laid the ground, not the grid, is to be changed


def area_count(surface: Surface, site: Site, cell: CellShape) -> int:
    """Give the count that the true area of the ground inside the strings cannot exceed.

    A sheared cell takes up less ground than a square one, by the cosine of the shear that the
    clips allow.
    """
    plan = shapely.Polygon(surface.outline)
    ground = surface.slope_area * (1 + AREA_ERROR)
    if site.exclusions:
        off = shapely.union_all([shapely.Polygon(e.ring) for e in site.exclusions])
        ground -= _true_area(surface, shapely.intersection(plan, off)) * (1 - AREA_ERROR)
    # a cell that touches a string may stand over it by a hair, on a slope of 60 deg by two
    ground += 2 * TOUCH * allowed_ground(surface.outline, site, 0.0).length
    most = int(area_bound(ground, cell.width * cell.run * math.cos(cell.max_shear)))
    return most + len(site.keep)  # a cell that is kept by hand may lie outside the strings


def _true_area(surface: Surface, shape: shapely.Geometry) -> float:
    """Give the area of the ground over a shape in plan, within ``AREA_ERROR`` [m2]."""
    area = 0.0
    for part in shapely.get_parts(shape):
        # a place to keep off may lie wholly outside the strings: then nothing of it is inside
        if shapely.get_type_id(part) == shapely.GeometryType.POLYGON and not part.is_empty:
            rings = (part.exterior, *part.interiors)
            over = [surface_area(surface.graded, ring.coords[:-1], AREA_ERROR) for ring in rings]
            area += over[0].area - sum(hole.area for hole in over[1:])
    return area


def workings(layout: Layout) -> tuple[Working, ...]:
    """Give the working of each figure of the layout that a person may act on."""
    count = Working(
        "layout.count",
        "Whole cells that are laid",
        "n = cells inside the strings, off the exclusions, within the clips' play, that hang",
        (
            Number("left out", len(layout.left_out), "-"),
            Number("rows", layout.rows, "-"),
            Number("placings tried", layout.searched, "-"),
        ),
        Number("n", layout.count, "-"),
        THIS_PLAN,
    )
    bound = Working(
        "layout.bound",
        "Most whole cells that any shift of the grid holds, rows in this direction",
        "branch and bound over all shifts: cells whose box of shifts meets the anchor region",
        (Number("laid", layout.fitted, "-"),),
        Number("bound", layout.bound, "-"),
        "exact geometry, in the flat sheet of the net",
        "Before hanging, panels and seams, which can only take cells away"
        + (
            f"; laid: with all rows, of which {layout.rows} are asked for."
            if layout.all_rows
            else "."
        ),
    )
    found = [count, bound]
    if not len(layout.row):
        return tuple(found)
    found += [_worst_shear(layout), _worst_twist(layout), _worst_gap(layout)]
    if len(layout.clips):
        found.append(_worst_bend(layout))
    return tuple(found)


def name(layout: Layout, k: int) -> str:
    """Name a cell as the sheets do: row and number."""
    return f"row {layout.row[k]} cell {layout.number[k]}"


def _worst_shear(layout: Layout) -> Working:
    k = int(np.argmax(layout.shear))
    return Working.of(
        "layout.shear",
        cell_shear,
        {"corners": f"four corners of {name(layout, k)}"},
        float(layout.shear[k]),
        note=f"The clips' play allows {math.degrees(layout.cell.max_shear):.1f} deg.",
    )


def _worst_twist(layout: Layout) -> Working:
    k = int(np.argmax(layout.twist))
    return Working.of(
        "layout.twist",
        cell_twist,
        {"corners": f"four corners of {name(layout, k)}"},
        float(layout.twist[k]),
        unit="m.small",
    )


def _worst_gap(layout: Layout) -> Working:
    k = int(np.argmax(layout.gap))
    return Working(
        "layout.gap",
        "Deepest void under a cell's base",
        "gap = max of (base plane - ground), square to the plane, at 7 by 7 places",
        (Number("cell", name(layout, k), "text"), Number("limit", layout.cell.max_gap, "m.small")),
        Number("gap", float(layout.gap[k]), "m.small"),
        THIS_PLAN,
    )


def _worst_bend(layout: Layout) -> Working:
    k = int(np.argmax(layout.bend))
    return Working.of(
        "layout.bend",
        bend_between,
        {"normal": f"base planes of {name(layout, k)} and of the cells clipped to it"},
        float(layout.bend[k]),
    )


def warnings(layout: Layout, choices: Choices) -> tuple[str, ...]:
    """Say what a person must look at before ordering."""
    cell, found = layout.cell, []
    for what, over, cure in (
        ("a corner lifted", layout.twist > cell.max_twist, "trim the ground there"),
        ("a void under the base", layout.gap > cell.max_gap, "fill there"),
        ("ground standing above the base", layout.hump > cell.max_gap, "trim there"),
    ):
        if over.any():
            where = ", ".join(name(layout, int(k)) for k in np.flatnonzero(over)[:4])
            more = f" and {over.sum() - 4} more" if over.sum() > 4 else ""
            cells = "1 cell has" if over.sum() == 1 else f"{over.sum()} cells have"
            found.append(f"{cells} {what} beyond its limit ({where}{more}): {cure}.")
    # a straight string is levelled at its middle and may leave the contour a little elsewhere
    if layout.tilt > choices.max_tilt + 1e-9 and layout.top == OWN_STRING:
        found.append(
            f"Your top string lies {math.degrees(layout.tilt):.1f} deg off the contour: "
            "water will run along the rows."
        )
    if layout.seams and layout.fitted < MANY_LOST * layout.bound:
        found.append(
            f"The ground bends so sharply that {layout.bound - layout.fitted} of {layout.bound} "
            "cells are lost at seams: smooth it further first (grading.smooth) or use smaller ones."
        )
    if layout.rows and (layout.row == 1).sum() < 3:
        found.append(
            f"Row 1 is only {(layout.row == 1).sum()} wide and {layout.count} cells are to hang: "
            "a straighter upper edge of the outline holds better."
        )
    return tuple(found)
