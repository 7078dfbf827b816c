"""Line types, widths and letter heights of the drawings, layer by layer.

Numbers, elements and widths are those of ISO 128-2, heights those of ISO 3098-1, both from memory.
`docs/sheets.md` has the same table; a test holds it, the pages and the DXF layers against this one.
"""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.sheets.marks import Pen

WIDTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)  # [mm]
HEIGHTS = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)  # of capitals [mm]
FINE, THIN, MEDIUM, HEAVY = 0.13, 0.18, 0.35, 0.7  # told apart in black and white

# dash, gap, dash ... in widths of the line: dot 0.5, gap 3, short dash 6, dash 12, long dash 24
ELEMENTS: dict[str, tuple[float, ...]] = {
    "01": (),  # continuous
    "02": (12, 3),  # dashed
    "04": (24, 3, 0.5, 3),  # long-dashed dotted
    "05": (24, 3, 0.5, 3, 0.5, 3),  # long-dashed double-dotted
    "07": (0.5, 3),  # dotted
    "08": (24, 3, 6, 3),  # long-dashed short-dashed
    "09": (24, 3, 6, 3, 6, 3),  # long-dashed double-short-dashed
    "10": (12, 3, 0.5, 3),  # dashed dotted
    "12": (12, 3, 0.5, 3, 0.5, 3),  # dashed double-dotted
}


@dataclass(frozen=True, slots=True)
class LineStyle:
    """A type of line at a width."""

    number: str  # of the basic type
    width: float  # [mm]

    def pen(self, mm: float = 1.0) -> Pen:
        """Give its pen; ``mm`` is a millimetre of paper in the view's units."""
        dash = tuple(k * self.width * mm for k in ELEMENTS[self.number])
        return Pen(self.width, dash, self.number)

    @property
    def name(self) -> str:
        """What the DXF file calls it."""
        return "Continuous" if self.number == "01" else linetype_name(self.pen())


def linetype_name(pen: Pen) -> str:
    """Give the name of a pen's line type in the DXF file, as in "ISO-02-035"."""
    return f"ISO-{pen.kind}-{round(100 * pen.weight):03d}"


# what lies on each layer, in the order of marks.LAYERS; other pens on a layer are named beside it
LAYER_LINES: dict[str, LineStyle] = {
    "grid": LineStyle("07", FINE),
    "not-surveyed": LineStyle("01", FINE),
    "contours": LineStyle("02", FINE),
    "exclusions": LineStyle("01", MEDIUM),
    "outline": LineStyle("02", MEDIUM),
    "fall-line": LineStyle("04", THIN),
    "cells": LineStyle("01", THIN),
    "trimmed": LineStyle("01", FINE),
    "left-out": LineStyle("02", FINE),
    "anchored": LineStyle("01", HEAVY),
    "bars": LineStyle("01", THIN),
    "slip": LineStyle("10", MEDIUM),
    "soil": LineStyle("01", FINE),
    "lifts": LineStyle("01", MEDIUM),
    "seams": LineStyle("10", HEAVY),
    "top-string": LineStyle("04", 0.25),
    "walking": LineStyle("01", FINE),
    "plants": LineStyle("01", THIN),
    "crowns": LineStyle("01", THIN),
    "hydrozones": LineStyle("02", MEDIUM),
    "small-tubing": LineStyle("01", FINE),
    "laterals": LineStyle("01", MEDIUM),
    "header": LineStyle("01", HEAVY),
    "valves": LineStyle("01", THIN),
    "emitters": LineStyle("01", FINE),
    "base-line": LineStyle("08", THIN),
    "benchmarks": LineStyle("01", MEDIUM),
    "stakes": LineStyle("01", FINE),
    "spots": LineStyle("07", MEDIUM),
    "drains": LineStyle("12", MEDIUM),
    "pile": LineStyle("02", MEDIUM),
    "spills": LineStyle("01", THIN),
    "row-labels": LineStyle("01", THIN),
    "cell-numbers": LineStyle("01", THIN),
    "ground": LineStyle("01", 0.5),
    "frame": LineStyle("01", THIN),
}
CONTOUR_INDEX = LineStyle("01", THIN)
DRAIN_LEAD = LineStyle("10", THIN)
SURVEYED = LineStyle("02", THIN)  # the ground before it is graded, in the section
WITHOUT_ROWS = LineStyle("02", THIN)  # of a hydrograph
CROWN = LineStyle("02", MEDIUM)  # of a tree, grown up, in the planting's picture
THIRST = (LineStyle("07", 0.25), LineStyle("02", 0.25), LineStyle("01", 0.25))  # least first
VALVES = ("01", "02", "10", "08", "12")  # by valve; from the sixth on they come again
