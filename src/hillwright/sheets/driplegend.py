"""The legend of the irrigation plan: signs, valves, scale, north, and what the inspector asks."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.irrigation.model import Valve
from hillwright.sheets.drawing import FINE, HEAVY, MEDIUM, THIN, Drawing
from hillwright.sheets.driplines import LETTER, check_sign, kind_of, stake_sign, valve_sign
from hillwright.sheets.fonts import text_width
from hillwright.sheets.furniture import compass_marks, scale_bar
from hillwright.sheets.linetypes import LineStyle
from hillwright.sheets.marks import Circle, Fill, Hatch, Line, Mark, Pen, Words

if TYPE_CHECKING:
    from hillwright.plan import Plan

COLUMN = 92.0  # width of the legend [mm]
_PITCH = 5.0  # from line to line [mm]
_SIGN = 20.0  # kept for the samples [mm]


def legend(
    plan: Plan, d: Drawing, turn: float, box: tuple[float, float, float, float]
) -> list[Mark]:
    """Draw the legend in columns that fill a box: left, bottom, right, top [mm of paper]."""
    page = _Page(box)
    page.title("Valves")
    for valve in plan.irrigation.valves:
        _valve(page, valve, plan)
    page.title("Signs")
    _signs(page)
    page.title("Scale, north and downhill", 44.0)
    job, frame = plan.opened.job, plan.site.frame
    page.box(11.0, scale_bar(d.scale, job.units, COLUMN - 8, 8.5))
    north, down = math.pi / 2 + frame.north + turn, math.pi / 2 - plan.surface.aspect + turn
    page.box(24.0, compass_marks(north, down, job.north_known, 60.0, 22.0))
    page.title("Before you dig or punch")
    for said in (
        "Have buried lines located. Relieve the pressure before a line is opened.",
        "Backflow assembly, permit and test as the local code asks; no cross-connection.",
        "Each hole: punching list. Pressures at the ends: valves and pressures.",
    ):
        page.words(said, 0.0)
    if d.unplaced:
        page.words(f"No room to letter: {', '.join(dict.fromkeys(d.unplaced))}.", 0.0)
    return page.marks


class _Page:
    """Columns that are filled from the top down."""

    def __init__(self, box: tuple[float, float, float, float]) -> None:
        self.left, self.bottom, _, self.top = box
        self.y, self.marks = self.top, list[Mark]()

    def _room(self, height: float) -> None:
        """Go on in the next column where this one has no room left."""
        if self.y - height < self.bottom and self.y < self.top:
            self.left, self.y = self.left + COLUMN, self.top

    def title(self, text: str, needs: float = 3.3 * _PITCH) -> None:
        """Head what follows, which stays with it for so many millimetres."""
        self._room(needs)
        self.y -= 1.5 if self.y < self.top else 0.0
        self._line(text, 0.0, bold=True)

    def words(self, text: str, indent: float) -> None:
        """Write a text, broken into lines that fit."""
        line = ""
        for word in text.split():
            tried = f"{line} {word}".strip()
            if line and text_width(tried, LETTER) > COLUMN - 6 - indent:
                self._line(line, indent)
                tried = word
            line = tried
        self._line(line, indent)

    def _line(self, text: str, indent: float, bold: bool = False) -> None:
        self._room(_PITCH)
        self.y -= _PITCH
        at = (self.left + indent, self.y + _PITCH / 2)
        self.marks.append(Words("frame", at, text, LETTER, 0.0, "left", bold))

    def sample(self, marks: list[Mark], text: str) -> None:
        """Put marks, drawn round (10, 0), before a text."""
        self._room(2 * _PITCH)
        self.marks += [shifted(m, self.left, self.y - _PITCH / 2) for m in marks]
        self.words(text, _SIGN)

    def box(self, height: float, marks: list[Mark]) -> None:
        """Put marks that are drawn from the lower left corner of a box."""
        self._room(height)
        self.y -= height
        large = (replace(m, size=LETTER) if isinstance(m, Words) else m for m in marks)
        self.marks += [shifted(m, self.left, self.y) for m in large]


def shifted(mark: Mark, dx: float, dy: float) -> Mark:
    """Move a mark."""
    match mark:
        case Circle():
            return replace(mark, centre=(mark.centre[0] + dx, mark.centre[1] + dy))
        case Words():
            return replace(mark, at=(mark.at[0] + dx, mark.at[1] + dy))
        case Line() | Fill() | Hatch():
            return replace(mark, points=np.add(mark.points, (dx, dy)))


def _valve(page: _Page, v: Valve, plan: Plan) -> None:
    system, kind = plan.opened.job.units, kind_of(v.number)
    flow = units.show(float(v.low.flow[0]), "m3/s.pipe", system)
    regulator = units.show(v.regulator, "m.head", system)
    upper, lower = np.array([[0.0, 1.0], [12.0, 1.0]]), np.array([[0.0, -1.4], [12.0, -1.4]])
    marks: list[Mark] = [
        Line("header", upper, LineStyle(kind, HEAVY).pen()),
        Line("laterals", lower, LineStyle(kind, MEDIUM).pen()),
        *stake_sign(v.number, (15.5, -0.2), 1.4),
    ]
    rows = f"row {v.rows[0]}" if v.rows[0] == v.rows[1] else f"rows {v.rows[0]} to {v.rows[1]}"
    page.sample(marks, f"V{v.number} {v.zone}, {rows}: {flow}, regulator {regulator}")


def _signs(page: _Page) -> None:
    line = np.array([[3.0, 0.0], [15.0, 0.0]])
    end = np.array([[15.0, -1.6], [15.0, 1.6]])
    page.sample(
        [
            Line("header", np.add(line, (0, 1.0)), Pen(HEAVY)),
            Line("laterals", np.add(line, (0, -1.4)), Pen(MEDIUM)),
        ],
        "heavy: header; medium: lateral in the cells' holes. Side by side: in one place",
    )
    page.sample(
        [Line("small-tubing", line, Pen(FINE)), *stake_sign(1, (15.0, 0.0), 1.4)],
        "small tubing of a cell, and a sign for each of its stakes",
    )
    page.sample(
        [Circle("header", (9.0, 0.0), 1.6, Pen(MEDIUM), 1.0)],
        "T: tap, backflow assembly, filter",
    )
    page.sample(valve_sign(np.array([9.0, 0.0]), 1.0), "V: isolation and control valve, regulator")
    page.sample(check_sign(np.array([9.0, 0.0]), 1.3), "take-off with check valve")
    page.sample(
        [Circle("valves", (9.0, 0.0), 0.9, Pen(THIN), 1.0)],
        "A: air and vacuum relief, highest point",
    )
    page.sample(
        [Line("laterals", line, Pen(MEDIUM)), Line("laterals", end, Pen(MEDIUM))],
        "flush end, of a lateral or a header",
    )
    page.words("V1-R05: lateral of valve 1 in row 5, with its bore", 0.0)
    page.words("Hatched: keep off; laterals are led and measured round it", 0.0)
