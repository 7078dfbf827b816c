"""What every plan carries besides the hill: grid, north, downhill, scale bar, legend samples."""

from __future__ import annotations

import math

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.sheets import figures
from hillwright.sheets.drawing import FINE, HEAVY, MEDIUM, THIN, Drawing, direction
from hillwright.sheets.linetypes import CONTOUR_INDEX, LAYER_LINES
from hillwright.sheets.marks import LEAST_TEXT, Circle, Fill, Hatch, Line, Mark, Pen, Words
from hillwright.sheets.place import Candidate
from hillwright.sheets.view import survey_xy, unit_label
from hillwright.units import System

GRID_MM = 45.0  # grid lines are at least so far apart on paper


def draw_grid(d: Drawing, names: tuple[str, str], cells: Array) -> None:
    """Draw the survey's coordinate grid across the paper, its numbers along the edge.

    Parameters
    ----------
    names : (str, str)
        What the two coordinates are called, as in ("E", "N").
    cells : (n, 4, 2 or 3) array
        Corners of the cells, among which no grid is drawn. [m]
    """
    if d.bounds is None:
        return
    x0, y0, x1, y1 = d.bounds
    paper = shapely.box(x0, y0, x1, y1)
    keep_off = shapely.union_all(shapely.polygons(d.view.place(cells)))
    frame = d.frame
    step = figures.nice_step(GRID_MM / 1000 * d.scale / frame.unit)
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    ground = _unplace(d, corners)
    survey = survey_xy(frame, ground)
    low, high = survey.min(axis=0), survey.max(axis=0)
    for axis in (0, 1):
        first = math.ceil(low[axis] / step)
        for k in range(first, math.floor(high[axis] / step) + 1):
            ends = np.tile([low[1 - axis], high[1 - axis]], (2, 1)).T.astype(float)
            ends[:, axis] = k * step
            placed = d.view.place(ends * frame.unit - (frame.origin_x, frame.origin_y))
            cut = shapely.intersection(shapely.LineString(placed), paper)
            if cut.is_empty or cut.length < d.mm(8):
                continue
            for part in shapely.get_parts(shapely.difference(cut, keep_off)):
                d.line_placed("grid", shapely.get_coordinates(part), d.of("grid"))
            line = shapely.get_coordinates(cut)
            _letter(d, line, f"{names[axis]} {k * step:,.{_decimals(step)}f}")
    d.notes["grid"] = f"Grid of the survey's own coordinates, every {step:,g} {unit_label(frame)}"


def _letter(d: Drawing, line: Array, text: str) -> None:
    start, end = (line[0], line[1]) if tuple(line[0]) < tuple(line[1]) else (line[1], line[0])
    angle = direction(start, end)
    along = (end - start) / np.hypot(*(end - start))
    away = d.mm(12)
    places = [Candidate.on(at, angle) for at in (start + along * away, end - along * away)]
    d.words("grid", text, LEAST_TEXT, places, worth=2.5)


def _decimals(step: float) -> int:
    return max(0, math.ceil(-math.log10(step) - 1e-9))


def _unplace(d: Drawing, placed: Array) -> Array:
    c, s = math.cos(d.view.turn), math.sin(d.view.turn)
    turned = (placed - d.view.middle) / d.view.factor
    return np.asarray(turned @ np.array([[c, -s], [s, c]]) + d.view.centre)


def compass_marks(
    north: float, downhill: float, known: bool, width: float, height: float
) -> list[Mark]:
    """Draw the north arrow and the downhill arrow side by side in a box [mm].

    Parameters
    ----------
    north, downhill : float
        Directions on the paper, anticlockwise from its right. [rad]
    known : bool
        North was given; else the arrow shows the y axis of the local grid and says so.
    """
    marks: list[Mark] = []
    r = min(width / 4, height / 2) - 4.2
    for middle, angle, name, heavy in (
        (width * 0.26, north, "N" if known else "y", False),
        (width * 0.74, downhill, "downhill", True),
    ):
        if math.isnan(angle):
            continue
        c = np.array([middle, height / 2])
        u = np.array([math.cos(angle), math.sin(angle)])
        n = np.array([-u[1], u[0]])
        tip, tail = c + u * r, c - u * r
        if heavy:
            marks.append(Line("frame", np.array([tail, tip - u * 3]), Pen(HEAVY)))
            marks.append(
                Fill("frame", np.array([tip, tip - u * 4.5 + n * 2, tip - u * 4.5 - n * 2]), 0.0)
            )
            side = n * 3 if abs(u[1]) < 0.5 else np.zeros(2)
            at = c + side if side.any() else c
            marks.append(Words("frame", (float(at[0]), float(at[1])), name, LEAST_TEXT, bold=True))
        else:
            marks.append(Line("frame", np.array([tail, tip]), Pen(THIN)))
            marks.append(
                Fill("frame", np.array([tip, c - u * r * 0.1, c - u * r * 0.1 + n * 2.2]), 0.0)
            )
            marks.append(
                Line(
                    "frame",
                    np.array([tip, c - u * r * 0.1, c - u * r * 0.1 - n * 2.2]),
                    Pen(THIN),
                    True,
                )
            )
            at = tip + u * 2.4
            marks.append(
                Words("frame", (float(at[0]), float(at[1])), name, LEAST_TEXT * 1.4, bold=True)
            )
    return marks


def scale_bar(scale: int, system: System, width: float, height: float) -> list[Mark]:
    """Draw a scale bar of five steps that fits a box [mm]; its length is true on paper."""
    unit = 0.3048 if system == "us" else 1.0
    steps = next(
        s
        for s in (100, 50, 40, 20, 10, 5, 4, 2, 1, 0.5, 0.2, 0.1, 0.05)
        if 5 * s * unit * 1000 / scale <= width - 14
    )
    each = steps * unit * 1000 / scale
    x0, y = (width - 5 * each) / 2 - 2, height - 3.2
    marks: list[Mark] = []
    for k in range(5):
        x = x0 + k * each
        box = np.array([[x, y], [x + each, y], [x + each, y + 1.6], [x, y + 1.6]])
        if k % 2 == 0:
            marks.append(Fill("frame", box, 0.0))
        marks.append(Line("frame", box, Pen(THIN), True))
    for k in range(6):
        text = f"{k * steps:g}" + (f" {'ft' if system == 'us' else 'm'}" if k == 5 else "")
        marks.append(Words("frame", (x0 + k * each, y - 2.0), text, LEAST_TEXT))
    return marks


def cross(x: float, y: float, arm: float) -> tuple[Array, Array]:
    """Give the two strokes of the mark of a bar."""
    return (
        np.array([[x - arm, y - arm], [x + arm, y + arm]]),
        np.array([[x - arm, y + arm], [x + arm, y - arm]]),
    )


def sample(layer: str) -> list[Mark]:
    """Draw how a layer looks, 11 x 5 mm, for the legend."""
    middle = np.array([[0.5, 2.5], [10.5, 2.5]])
    box = np.array([[1.5, 0.6], [9.5, 0.6], [9.5, 4.4], [1.5, 4.4]])
    own = LAYER_LINES[layer].pen() if layer in LAYER_LINES else Pen(THIN)
    if layer in ("outline", "top-string", "base-line", "drains", "seams", "grid"):
        return [Line(layer, middle, own)]
    match layer:
        case "cells":
            return [Line(layer, box, Pen(THIN), True), Words(layer, (5.5, 2.5), "7", LEAST_TEXT)]
        case "trimmed":
            return [Line(layer, box, Pen(FINE), True), Line(layer, box[[0, 2]], Pen(FINE))]
        case "left-out":
            return [Line(layer, box, own, True)]
        case "anchored":
            return [Line(layer, box, Pen(THIN), True), Line(layer, box[2:], Pen(HEAVY))]
        case "exclusions":
            hatch = Hatch(layer, box, 1.3, math.radians(45), Pen(FINE))
            return [hatch, Line(layer, box, Pen(MEDIUM), True)]
        case "not-surveyed":
            return [
                Hatch(layer, box, 2.0, math.radians(-60), Pen(FINE)),
                Line(layer, box, Pen(FINE), True),
            ]
        case "contours":
            lower, upper = middle - np.array([0, 1.0]), middle + np.array([0, 1.0])
            return [Line(layer, upper, CONTOUR_INDEX.pen()), Line(layer, lower, own)]
        case "benchmarks":
            t = np.array([0, math.tau / 3, 2 * math.tau / 3])
            corners = np.column_stack([5.5 + 2.2 * np.sin(t), 2.2 + 2.2 * np.cos(t)])
            return [
                Line(layer, corners, Pen(MEDIUM), True),
                Circle(layer, (5.5, 2.2), 0.35, Pen(FINE), 0.0),
            ]
        case "bars":
            return [Line(layer, stroke, Pen(MEDIUM)) for stroke in cross(5.5, 2.5, 0.8)]
        case "stakes":
            return [Circle(layer, (5.5, 2.5), 0.55, Pen(FINE), 0.0)]
        case "spots":
            t = np.linspace(0, math.tau, 25)[:-1]
            ring = np.column_stack([5.5 + 4 * np.cos(t), 2.5 + 1.9 * np.sin(t)])
            return [
                Line(layer, ring, own, True),
                Words(layer, (5.5, 2.5), "3", LEAST_TEXT, bold=True),
            ]
        case "fall-line":
            tip = np.array([[10.5, 2.5], [7.3, 3.5], [7.3, 1.5]])
            return [Line(layer, middle, own), Fill(layer, tip, 0.0)]
        case "spills":
            tip = np.array([[8.5, 2.5], [6.7, 3.1], [6.7, 1.9]])
            return [
                Line(layer, np.array([[2.5, 2.5], [7.0, 2.5]]), Pen(THIN)),
                Fill(layer, tip, 0.0),
            ]
        case "lifts":
            box = np.array([[0.5, 0.4], [10.5, 0.4], [10.5, 4.6], [0.5, 4.6]])
            return [
                Line(layer, box, Pen(MEDIUM), True),
                Words(layer, (5.5, 2.5), "L1", LEAST_TEXT, bold=True),
            ]
        case "pile":
            tip = np.array([[10.5, 2.5], [7.5, 3.5], [7.5, 1.5]])
            t = np.linspace(0, math.tau, 17)[:-1]
            heap = np.column_stack([2.2 + 1.7 * np.cos(t), 2.5 + 1.7 * np.sin(t)])
            return [
                *(Hatch(layer, heap, 0.9, math.radians(a), Pen(FINE)) for a in (45, -45)),
                Line(layer, heap, Pen(MEDIUM), True),
                Line(layer, np.array([[3.9, 2.5], [7.8, 2.5]]), own),
                Fill(layer, tip, 0.0),
            ]
        case "row-labels":
            return [Words(layer, (5.5, 2.5), "R01", LEAST_TEXT, bold=True)]
        case _:
            return []
