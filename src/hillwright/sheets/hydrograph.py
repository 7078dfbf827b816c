"""A storm through time: the rain that falls, and what runs off with and without the rows."""

from __future__ import annotations

import math

import numpy as np

from hillwright import units
from hillwright.arrays import Array
from hillwright.runoff.rowstorm import RowStorm
from hillwright.sheets.drawing import FINE, MEDIUM, THIN
from hillwright.sheets.figures import nice_step
from hillwright.sheets.linetypes import LAYER_LINES, WITHOUT_ROWS
from hillwright.sheets.marks import CHART_TEXT, Fill, Line, Mark, Pen, Words
from hillwright.sheets.svg import svg
from hillwright.units import System

LEFT, RIGHT, BELOW, RAIN = 14.0, 4.0, 11.0, 14.0  # kept free, and the height of the rain [mm]
WITHOUT, WITH = WITHOUT_ROWS.pen(), Pen(MEDIUM)


def hydrograph(storm: RowStorm, rain: Array, system: System, width: float, height: float) -> bytes:
    """Draw flows off the cells over the part of a storm that matters, as SVG.

    Parameters
    ----------
    storm : RowStorm
        What leaves with and without the rows.
    rain : (t,) array
        Rain in each step [m].
    system : {"us", "metric"}
        The job's units.
    width, height : float
        Of the picture [mm].
    """
    first, last = window(storm)
    time = np.concatenate(([0.0], storm.time))[first : last + 1] / 3600
    with_, without = (
        flow(h, first, last) * units.shown(1.0, "m3/s", system)[0] for h in (storm.rows, storm.bare)
    )
    top = float(max(with_.max(), without.max(), 1e-12))
    box = _Box(width, height, float(time[0]), float(time[-1]), top)
    marks = _axes(box, units.shown(0.0, "m3/s", system)[1])
    marks += _rain(box, time, rain[first:last], storm.time[0], system)
    marks.append(Line("frame", box.line(time, without), WITHOUT))
    marks.append(Line("frame", box.line(time, with_), WITH))
    marks += _key(box)
    return svg(marks, width, height, CHART_TEXT).encode()


def window(storm: RowStorm) -> tuple[int, int]:
    """Give the first and last step round what flows: a day is long, a storm's peak is short."""
    total = storm.bare.toe + storm.bare.left + storm.bare.right
    total = np.maximum(total, storm.rows.toe + storm.rows.left + storm.rows.right)
    wet = np.flatnonzero(total > 0.02 * total.max(initial=0.0))
    n = len(storm.time)
    if not wet.size:
        return 0, n
    pad = max(3, (int(wet[-1]) - int(wet[0])) // 12)
    return max(0, int(wet[0]) - pad), min(n, int(wet[-1]) + 1 + pad)


def flow(hydro: object, first: int, last: int) -> Array:
    """Give all that leaves, at the ends of steps ``first`` to ``last`` [m3/s]."""
    total = hydro.toe + hydro.left + hydro.right  # type: ignore[attr-defined]
    return np.asarray(np.concatenate(([0.0], total))[first : last + 1])


class _Box:
    """Where hours and flows come to lie [mm]."""

    def __init__(self, width: float, height: float, start: float, end: float, top: float) -> None:
        self.width, self.height = width, height
        self.start, self.end, self.top = start, end, top
        self.x0, self.x1 = LEFT, width - RIGHT
        self.y0, self.y1 = BELOW, height - RAIN - 3

    def x(self, hours: Array | float) -> Array:
        share = (np.asarray(hours, float) - self.start) / (self.end - self.start)
        return np.asarray(self.x0 + (self.x1 - self.x0) * share)

    def line(self, hours: Array, flows: Array) -> Array:
        y = self.y0 + (self.y1 - self.y0) * flows / (1.05 * self.top)
        return np.column_stack((self.x(hours), y))


def _axes(box: _Box, unit: str) -> list[Mark]:
    corner = np.array([[box.x1, box.y0], [box.x0, box.y0], [box.x0, box.y1]])
    marks: list[Mark] = [Line("frame", corner, Pen(THIN))]
    step = nice_step((box.end - box.start) / 12)
    for k in range(math.ceil(box.start / step - 1e-9), math.floor(box.end / step + 1e-9) + 1):
        x = float(box.x(k * step))
        marks.append(Line("frame", np.array([[x, box.y0], [x, box.y0 - 1.2]]), Pen(THIN)))
        marks.append(Words("frame", (x, box.y0 - 3.2), f"{k * step:g}", CHART_TEXT, halo=False))
    at = ((box.x0 + box.x1) / 2, box.y0 - 7.6)
    marks.append(Words("frame", at, "hours since the storm began", CHART_TEXT, halo=False))
    step = nice_step(box.top / 5)
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    for k in range(math.floor(1.05 * box.top / step) + 1):
        y = float(box.line(np.array([box.start]), np.array([k * step]))[0, 1])
        marks.append(
            Line("grid", np.array([[box.x0 - 1.2, y], [box.x1, y]]), LAYER_LINES["grid"].pen())
        )
        text = f"{k * step:.{places}f}"
        marks.append(Words("frame", (box.x0 - 1.8, y), text, CHART_TEXT, 0.0, "right", halo=False))
    marks.append(Words("frame", (box.x0 + 1.5, box.y1 + 0.4), unit, CHART_TEXT, 0.0, "left"))
    return marks


def _rain(box: _Box, time: Array, rain: Array, step: float, system: System) -> list[Mark]:
    """Draw the rain hanging from the top, as is usual."""
    factor, unit, _ = units.shown(1.0, "m/s.small", system)
    hard = rain / step * factor
    most = float(hard.max(initial=0.0))
    top = box.height - 0.5
    marks: list[Mark] = [Line("frame", np.array([[box.x0, top], [box.x1, top]]), Pen(FINE))]
    if most <= 0:
        return marks
    x = box.x(time)
    y = top - (RAIN - 2.5) * hard / most
    outline = [[float(x[0]), top]]
    for k, deep in enumerate(y.tolist()):
        outline += [[float(x[k]), deep], [float(x[k + 1]), deep]]
    outline.append([float(x[-1]), top])
    marks.append(Fill("frame", np.array(outline), 0.72))
    text = f"rain, at most {most:.3g} {unit}"
    marks.append(Words("frame", (box.x0 + 1.5, top - 2.4), text, CHART_TEXT, 0.0, "left"))
    return marks


def _key(box: _Box) -> list[Mark]:
    marks: list[Mark] = []
    for k, (pen, text) in enumerate(((WITHOUT, "without the rows"), (WITH, "with the rows"))):
        y = box.y1 - 3.0 - 4.0 * k
        x = box.x1 - 34.0
        marks.append(Line("frame", np.array([[x, y], [x + 9, y]]), pen))
        marks.append(Words("frame", (x + 10.5, y), text, CHART_TEXT, 0.0, "left"))
    return marks
