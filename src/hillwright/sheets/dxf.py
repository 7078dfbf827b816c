"""Marks to DXF (R2018): the plan in the survey's own coordinates, a layer for each thing."""

from __future__ import annotations

import importlib
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from hillwright.job.site import Frame
from hillwright.sheets.linetypes import LAYER_LINES, linetype_name
from hillwright.sheets.marks import LAYERS, Circle, Hatch, Line, Mark, Pen, Words
from hillwright.sheets.svg import CAP_MIDDLE

# $INSUNITS by the name of the unit; 0 is "unitless" (DXF reference, from memory)
_UNITS = {"in": 1, "ft": 2, "us_survey_foot": 21, "yd": 10, "mm": 4, "cm": 5, "m": 6}


def insert_units(unit: str) -> int:
    """Give the DXF code of a unit of length, by its name in the frame."""
    return _UNITS.get(unit, 0)


def write_dxf(marks: Iterable[Mark], frame: Frame, path: Path, mm: float = 1.0) -> None:
    """Write marks that are in the survey's own coordinates as a DXF file.

    White areas, which only keep paper legible, are left out.

    Parameters
    ----------
    marks : iterable of Mark
        Made with a `View.survey`.
    frame : Frame
        Gives the unit.
    path : Path
        Where to write; the same marks give the same bytes.
    mm : float, optional
        A millimetre of paper in the drawing's units, for the dashes of the layers.
    """
    ezdxf: Any = importlib.import_module("ezdxf")  # exports nothing by name, so no types
    # it stamps time, version and new ids into a file; the option keeps them fixed
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2018")
        document.header["$INSUNITS"] = insert_units(frame.unit_name)
        document.header["$MEASUREMENT"] = 1 if insert_units(frame.unit_name) in (4, 5, 6) else 0
        document.styles.add("SHEET", font="SourceSans3-Regular.ttf")
        space = document.modelspace()
        pens: set[str] = set()
        for layer, about in LAYERS.items():
            name, weight = _line(document, LAYER_LINES[layer].pen(mm), pens)
            made = document.layers.add(layer.upper(), linetype=name, lineweight=weight)
            made.description = about
        for mark in marks:
            _one(document, space, mark, pens)
        for name in ("ACDBPLACEHOLDER", "LAYOUT"):  # else in the order of a set, which changes
            document.classes.add_class(name)
        document.saveas(path)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _one(document: Any, space: Any, mark: Mark, pens: set[str]) -> None:
    look: dict[str, Any] = {"layer": mark.layer.upper()}
    match mark:
        case Line():
            look |= _pen(document, mark, pens)
            if mark.height is None:
                space.add_lwpolyline(mark.points.tolist(), close=mark.closed, dxfattribs=look)
                return
            if np.ptp(mark.height) == 0:
                look["elevation"] = float(mark.height[0])
                space.add_lwpolyline(mark.points.tolist(), close=mark.closed, dxfattribs=look)
                return
            points = np.column_stack([mark.points, mark.height]).tolist()
            # not 3DFACE, which is quicker: GDAL reads those as rings that are not closed
            space.add_polyline3d(points, close=mark.closed, dxfattribs=look)
        case Hatch():
            area = space.add_hatch(dxfattribs=look | _pen(document, mark, pens))
            step = mark.spacing
            off = (-step * math.sin(mark.angle), step * math.cos(mark.angle))
            area.set_pattern_fill("LINES", definition=[[math.degrees(mark.angle), (0, 0), off, []]])
            ring = np.concatenate([mark.points, mark.points[:1]]).tolist()
            area.paths.add_polyline_path(ring, is_closed=True)
        case Circle():
            look |= _pen(document, mark, pens)
            space.add_circle(mark.centre, mark.radius, dxfattribs=look)
        case Words():
            from ezdxf.enums import TextEntityAlignment

            align = {
                "left": TextEntityAlignment.MIDDLE_LEFT,
                "middle": TextEntityAlignment.MIDDLE_CENTER,
                "right": TextEntityAlignment.MIDDLE_RIGHT,
            }[mark.anchor]
            text = space.add_text(
                mark.text,
                height=2 * CAP_MIDDLE * mark.size,
                rotation=math.degrees(mark.angle),
                dxfattribs=look | {"style": "SHEET"},
            )
            text.set_placement(mark.at, align=align)


def _pen(document: Any, mark: Line | Hatch | Circle, pens: set[str]) -> dict[str, Any]:
    """Give the look of a mark that is not drawn as the rest of its layer."""
    own = LAYER_LINES[mark.layer]
    if (mark.pen.kind, mark.pen.weight) == (own.number, own.width):
        return {}
    name, weight = _line(document, mark.pen, pens)
    return {"linetype": name, "lineweight": weight}


def _line(document: Any, pen: Pen, pens: set[str]) -> tuple[str, int]:
    """Give the name of a pen's line type, made where it is new, and its width [mm / 100]."""
    weight = round(100 * pen.weight)
    if not pen.dash:
        return "Continuous", weight
    name = linetype_name(pen)
    if name not in pens:
        pens.add(name)
        # DXF counts a gap as negative, after the length of the whole pattern
        pattern = [d if k % 2 == 0 else -d for k, d in enumerate(pen.dash)]
        about = f"ISO 128 type {pen.kind}, {pen.weight:g} mm"
        document.linetypes.add(name, [sum(pen.dash), *pattern], description=about)
    return name, weight
