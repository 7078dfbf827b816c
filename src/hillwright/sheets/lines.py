"""Strings, base line, pegs, stakes and the section line on the plan."""

from __future__ import annotations

import math

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.layout.model import Layout, SetOut
from hillwright.sheets import figures
from hillwright.sheets.drawing import FINE, MEDIUM, THIN, Drawing, direction
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import LEAST_TEXT, Circle, Fill
from hillwright.sheets.place import Candidate, around
from hillwright.sheets.tables import MOST_MARKS
from hillwright.sheets.view import height_label
from hillwright.terrain.model import Surface

NEAR = (2.6, 3.8, 5.5, 8.0, 11.0)  # distances at which a label is tried [mm]


def draw_outline(d: Drawing, surface: Surface) -> None:
    """Draw the strings that the cells must stay inside."""
    d.line("outline", surface.outline, d.of("outline"), closed=True)
    d.notes["outline"] = "Outline: cells stay inside these strings"


def draw_top_string(d: Drawing, layout: Layout) -> None:
    """Draw the line that row 1 hangs on."""
    if len(layout.top_string) > 1:
        d.line("top-string", layout.top_string, d.of("top-string"))
        d.notes["top-string"] = "Top string: row 1 hangs on it"


def draw_base_line(d: Drawing, setout: SetOut) -> None:
    """Draw the base line with a tick and its station every so often."""
    line = setout.base_line
    d.line("base-line", line, d.of("base-line"))
    d.notes["base-line"] = "Base line, with stations from its start"
    placed = d.view.place(line)
    # stations count along the level, as the layout's stations do
    total = float(np.hypot(*(line[1, :2] - line[0, :2])))
    if total == 0:
        return
    unit = 0.3048 if d.system == "us" else 1.0
    step = figures.nice_step(max(total / unit / 12, 18 * d.scale / 1000 / unit)) * unit
    u = (placed[1] - placed[0]) / np.hypot(*(placed[1] - placed[0]))
    n = np.array([-u[1], u[0]])
    angle = direction(placed[0], placed[1])
    for k in range(math.floor(total / step + 1e-9) + 1):
        at = placed[0] + (placed[1] - placed[0]) * (k * step / total)
        d.line_placed("base-line", np.array([at - n * d.mm(0.9), at + n * d.mm(0.9)]), d.pen(THIN))
        places = [
            Candidate.on(at + n * side * d.mm(r), angle) for r in (3.2, 4.6) for side in (-1, 1)
        ]
        d.words("base-line", f"{k * step / unit:g}", LEAST_TEXT, places, worth=3.0)
    middle = [
        Candidate.on(placed[0] + (placed[1] - placed[0]) * s + n * d.mm(r), angle)
        for s in (0.5, 0.35, 0.65, 0.2, 0.8, 0.07, 0.93)
        for r in (2.6, -2.6, 5, -5, 7.5, -7.5)
    ]
    d.words("base-line", "Base line", LEAST_TEXT, middle, needed=True)


def draw_benchmarks(d: Drawing, setout: SetOut) -> None:
    """Draw pegs A and B as triangles with a point."""
    for name, peg in (("A", setout.benchmark_a), ("B", setout.benchmark_b)):
        x, y = (float(v) for v in d.view.place(peg))
        r = d.mm(2.2)
        corners = [
            (x + r * math.sin(t), y + r * math.cos(t)) for t in (0, math.tau / 3, 2 * math.tau / 3)
        ]
        d.marks.append(Fill("benchmarks", np.array(corners), 1.0))
        d.line_placed("benchmarks", np.array(corners), d.pen(MEDIUM), closed=True)
        d.marks.append(Circle("benchmarks", (x, y), d.mm(0.35), d.pen(FINE), 0.0))
        d.keep_free(np.array([[x, y]]), d.mm(1.9))
        label = f"{name}: {float(d.view.height(peg[2])) + 0.0:.2f}".replace("-0.00", "0.00")
        half = text_width(label, d.mm(LEAST_TEXT), bold=True) / 2
        places = around(x, y, [d.mm(v) for v in (2.8, 4, 6, 9, 13)], half)
        d.words("benchmarks", label, LEAST_TEXT, places, bold=True, needed=True)
    # heights are the survey's own numbers, in its unit: not always that of the tapes
    unit = height_label(d.frame)
    d.notes["benchmarks"] = f"Peg for the tapes, with its height in {unit}"


def draw_stakes(d: Drawing, setout: SetOut) -> None:
    """Dot every set-out stake."""
    for x, y in d.view.place(setout.stake).reshape(-1, 2).tolist():
        d.marks.append(Circle("stakes", (x, y), d.mm(0.55), d.pen(FINE), 0.0))
        d.notes["stakes"] = "Set-out stake (see the row schedule)"


def name_marks(d: Drawing, setout: SetOut) -> None:
    """Letter the corners of the outline and the left end of the top string: tapes start there."""
    named = [
        (name, place)
        for name, place in zip(setout.stake_name, setout.stake, strict=True)
        if name.startswith("OL-") or name == "TS-1"
    ]
    if len(named) > MOST_MARKS:
        return
    for name, place in named:
        x, y = (float(v) for v in d.view.place(place))
        half = text_width(name, d.mm(LEAST_TEXT)) / 2
        places = around(x, y, [d.mm(v) for v in (1.4, *NEAR, 13.0, 18.0)], half)
        at = shapely.Point(x, y)
        d.words("stakes", name, LEAST_TEXT, places, needed=True, thing=at, lead=4.0)


def draw_fall_line(d: Drawing, surface: Surface) -> None:
    """Draw where the section is cut, with an arrow downhill and the letter S at both ends."""
    if len(surface.fall_line) < 2:
        return
    d.line("fall-line", surface.fall_line[:, :2], d.of("fall-line"))
    placed = d.view.place(surface.fall_line)
    for end, before in ((0, 1), (-1, -2)):
        step = placed[end] - placed[before]
        out = step / np.hypot(*step)
        if end == -1:
            d.marks.append(Fill("fall-line", _arrow(placed[-1], out, d.mm(3.2)), 0.0))
        places = [Candidate.on(placed[end] + d.mm(gap) * out) for gap in (3.5, 5, 7, 10)]
        beside = around(float(placed[end][0]), float(placed[end][1]), [d.mm(r) for r in NEAR])
        d.words("fall-line", "S", LEAST_TEXT * 1.4, [*places, *beside], bold=True)
    d.notes["fall-line"] = "Section S, arrow downhill"


def _arrow(tip: Array, along: Array, size: float) -> Array:
    side = np.array([-along[1], along[0]])
    return np.array(
        [tip, tip - along * size + side * size * 0.3, tip - along * size - side * size * 0.3]
    )
