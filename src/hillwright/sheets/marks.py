"""Marks: what a sheet is made of before it is printed anywhere.

A drawing is a list of marks in the units of its view (millimetres of paper, or the survey's own
units), y up. The back ends that print marks know nothing of hills.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from hillwright.arrays import Array

# ISO 3098-1 letters drawings in 2.5, 3.5, 5 mm and on (from memory); the capitals of the font are
# 0.66 of its body
LEAST_TEXT = 2.5 / 0.66  # body of the smallest lettering [mm]
CHART_TEXT = 2.7  # of a chart on an office page, where it stands among text of 9 points [mm]

Anchor = Literal["left", "middle", "right"]

# every layer and what lies on it; the order is the order of printing
LAYERS = {
    "grid": "coordinate grid",
    "not-surveyed": "ground outside the survey",
    "contours": "contours of the graded ground",
    "exclusions": "places that cells keep off",
    "outline": "outline on the strings",
    "fall-line": "where the section is cut",
    "cells": "whole cells",
    "trimmed": "cells to be cut to fit",
    "left-out": "cells that fit and are not laid",
    "anchored": "upper edges that hang from bars of their own",
    "bars": "anchors and stakes that the cells hang from",
    "slip": "slip circle with the least factor, in the section",
    "soil": "mixes, by hatch and letter",
    "lifts": "rows that go up in one lift",
    "seams": "where the grid is cut into panels",
    "top-string": "top string",
    "walking": "walking cells of the planting",
    "plants": "plants: sign of their kind, and letters as in the plant list",
    "crowns": "crowns of planned trees and shrubs, grown up",
    "hydrozones": "stretches of one thirst along the rows",
    "small-tubing": "small tubing to stakes",
    "laterals": "drip laterals",
    "header": "drip header and tap",
    "valves": "drip valves, take-offs with check valves, air relief",
    "emitters": "stakes of emitters",
    "base-line": "base line",
    "benchmarks": "pegs A and B",
    "stakes": "set-out stakes",
    "spots": "places to smooth",
    "drains": "drains and the stones at their ends",
    "pile": "where the soil lies, and the way up",
    "spills": "where spilled water leaves the grid",
    "row-labels": "row labels",
    "cell-numbers": "cell numbers",
    "ground": "ground in the section",
    "frame": "axes, scale bar, north arrow, legend",
}


@dataclass(frozen=True, slots=True)
class Pen:
    """Line weight and dashes [mm of paper]; no dashes is a full line."""

    weight: float
    dash: tuple[float, ...] = ()
    kind: str = "01"  # number of the type of line, as linetypes has it


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A polyline, or an outline when closed."""

    layer: str
    points: Array  # (k, 2)
    pen: Pen
    closed: bool = False
    height: Array | None = None  # (k,) elevation of each point, for back ends that have one


@dataclass(frozen=True, slots=True, eq=False)
class Fill:
    """An area in black (tone 0), grey or white (tone 1)."""

    layer: str
    points: Array  # (k, 2)
    tone: float


@dataclass(frozen=True, slots=True, eq=False)
class Hatch:
    """An area of parallel lines."""

    layer: str
    points: Array  # (k, 2)
    spacing: float  # in the view's units
    angle: float  # of the lines, anticlockwise [rad]
    pen: Pen


@dataclass(frozen=True, slots=True, eq=False)
class Circle:
    """A circle, filled when it has a tone."""

    layer: str
    centre: tuple[float, float]
    radius: float
    pen: Pen
    tone: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """One line of text, its middle height on the point."""

    layer: str
    at: tuple[float, float]
    text: str
    size: float  # of the letter body, in the view's units
    angle: float = 0.0  # anticlockwise [rad]
    anchor: Anchor = "middle"
    bold: bool = False
    halo: bool = True  # a white edge, so that lines behind do not spoil it


Mark = Line | Fill | Hatch | Circle | Words


def upright(angle: float) -> float:
    """Turn a direction of writing by half a turn if it would stand on its head."""
    angle = math.remainder(angle, math.tau)
    if angle > math.pi / 2 + 1e-6:
        return angle - math.pi
    if angle <= -math.pi / 2 + 1e-6:
        return angle + math.pi
    return angle
