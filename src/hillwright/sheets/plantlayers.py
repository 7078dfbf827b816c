"""The planting for CAD and map programs: walking cells, plants, crowns and hydrozones by layer."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from hillwright.arrays import Index
from hillwright.planting.model import USE_WORDS, WALKING
from hillwright.planting.palette import HOUR, water_class
from hillwright.sheets.drawing import Drawing
from hillwright.sheets.marks import LEAST_TEXT, Circle, Hatch, Pen, Words
from hillwright.sheets.plantcodes import plant_codes
from hillwright.sheets.plantsigns import sign

if TYPE_CHECKING:
    from hillwright.plan import Plan

Layer = tuple[str, Any, dict[str, Any]]
_FINE, _THIN = Pen(0.13), Pen(0.18)


def draw_planting(d: Drawing, plan: Plan) -> None:
    """Draw what grows where on layers of its own, each plant with its sign and letters."""
    planting, layout = plan.planting, plan.layout
    corners = d.view.place(layout.corners)
    for i in np.flatnonzero(planting.use == WALKING):
        d.marks.append(Hatch("walking", corners[i], d.mm(1.1), math.pi / 4, _FINE))
    codes = plant_codes(planting)
    low = d.mm(LEAST_TEXT)  # beneath the number of the cell
    for group in planting.groups:
        plant = planting.plants[group.plant]
        x, y = (float(v) for v in d.view.place(group.centre))
        d.marks += sign(plant.kind, (x - low, y - low), d.mm(1.2))
        letters = (x + 0.3 * low, y - low)
        d.marks.append(Words("plants", letters, codes[group.plant], low, halo=False))
        if plant.canopy:
            edge = d.view.place(group.centre[:2] + np.array([plant.width / 2, 0.0]))
            radius = float(np.hypot(*(edge - d.view.place(group.centre[:2]))))
            d.marks.append(Circle("crowns", (x, y), radius, _THIN))
    for zone, cells in stretches(plan):
        shape = shapely.union_all(shapely.polygons(corners[cells]))
        for part in shapely.get_parts(shape):
            ring = shapely.get_coordinates(part.exterior)[:-1]
            d.line_placed("hydrozones", ring, d.of("hydrozones"), True)
        at = corners[cells[0]].mean(axis=0) + np.array([-low, low])
        name = planting.hydrozones[zone][0].upper()
        d.marks.append(Words("hydrozones", (float(at[0]), float(at[1])), name, low))


def stretches(plan: Plan) -> list[tuple[int, Index]]:
    """List runs of planted cells of one thirst along a row, with the class of thirst."""
    planting, layout = plan.planting, plan.layout
    if not len(planting.hydrozone):
        return []
    order = np.lexsort((layout.number, layout.row))
    found: list[tuple[int, list[int]]] = []
    last = (-1, -1)
    for i in order.tolist():
        zone, key = int(planting.hydrozone[i]), (int(layout.row[i]), int(planting.hydrozone[i]))
        if zone >= 0:
            if key == last:
                found[-1][1].append(i)
            else:
                found.append((zone, [i]))
        last = key
    return [(zone, np.array(cells, np.intp)) for zone, cells in found]


def planting_layers(plan: Plan, place: Callable[[Any], Any]) -> dict[str, Layer]:
    """Give the cells with their use, and the plants; ``place`` gives the survey's coordinates."""
    planting, layout = plan.planting, plan.layout
    names = np.array([p.id for p in planting.plants] + [""], object)
    zones = np.array([*planting.hydrozones, ""], object)
    mixes = np.array([*planting.mixes, ""], object)
    groups = planting.groups
    grown = [planting.plants[g.plant] for g in groups]
    first = np.array([g.cells[0] for g in groups], np.intp)
    return {
        "planting_cells": (
            "Polygon Z",
            shapely.polygons(place(layout.corners)),
            {
                "row": layout.row,
                "number": layout.number,
                "use": [USE_WORDS[u] for u in planting.use],
                "plant": list(names[planting.plant]),
                "water": list(zones[planting.hydrozone]),
                "mix": list(mixes[planting.mix]),
                "sun_season_h": planting.season / HOUR,
            },
        ),
        "plants": (
            "Point",
            [shapely.Point(place(g.centre)[:2]) for g in groups],
            {
                "plant": [p.id for p in grown],
                "common": [p.common for p in grown],
                "botanical": [p.botanical for p in grown],
                "kind": [p.kind for p in grown],
                "plants": np.array([g.plants for g in groups], np.int64),
                "cells": np.array([len(g.cells) for g in groups], np.int64),
                "row": layout.row[first],
                "number": layout.number[first],
                "water": [planting.hydrozones[water_class(p.factor)] for p in grown],
                "spread_m": np.array([p.width for p in grown], float),
                "height_m": np.array([p.tall for p in grown], float),
            },
        ),
    }
