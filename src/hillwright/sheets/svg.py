"""Marks to SVG: the picture that is set into a page."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from html import escape

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.sheets.lettering import lettered
from hillwright.sheets.marks import LEAST_TEXT, Circle, Fill, Hatch, Line, Mark, Pen, Words

FONT = "Source Sans 3"
_NO_SIGN = re.compile(r"[\x00-\x1f\x7f-\x9f\ufffe\uffff]")  # what XML cannot hold
CAP_MIDDLE = 0.33  # half the height of a capital over the letter body, in this font


def svg(marks: Iterable[Mark], width: float, height: float, least: float = LEAST_TEXT) -> str:
    """Print marks in millimetres, y up, as an SVG of a size, no text under the least [mm]."""
    ready = lettered(marks, (0.0, 0.0, width, height), least)
    body = "".join(_one(mark, height) for mark in ready)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}" font-family="{FONT}" fill="none" stroke="#000" '
        f'stroke-linecap="butt" stroke-linejoin="round">\n{body}</svg>\n'
    )


def _one(mark: Mark, height: float) -> str:
    match mark:
        case Line():
            d = _d(mark.points, height, mark.closed)
            return f'<path class="{mark.layer}" d="{d}"{_pen(mark.pen)}/>\n'
        case Fill():
            d = _d(mark.points, height, True)
            return f'<path class="{mark.layer}" d="{d}" fill="{_tone(mark.tone)}" stroke="none"/>\n'
        case Hatch():
            d = "".join(_d(line, height, False) for line in hatch_lines(mark))
            return f'<path class="{mark.layer}" d="{d}"{_pen(mark.pen)}/>\n' if d else ""
        case Circle():
            x, y = mark.centre
            fill = "" if mark.tone is None else f' fill="{_tone(mark.tone)}"'
            return (
                f'<circle class="{mark.layer}" cx="{_n(x)}" cy="{_n(height - y)}" '
                f'r="{_n(mark.radius)}"{fill}{_pen(mark.pen)}/>\n'
            )
        case Words():
            return _words(mark, height)


def _words(mark: Words, height: float) -> str:
    x, y = mark.at[0], height - mark.at[1]
    turn = f' transform="rotate({_n(-math.degrees(mark.angle))} {_n(x)} {_n(y)})"'
    anchor = {"left": "start", "middle": "middle", "right": "end"}[mark.anchor]
    stroke = (
        f' stroke="#fff" stroke-width="{_n(mark.size * 0.28)}" paint-order="stroke"'
        if mark.halo
        else ' stroke="none"'
    )
    bold = ' font-weight="600"' if mark.bold else ""
    return (
        f'<text class="{mark.layer}" x="{_n(x)}" y="{_n(y + CAP_MIDDLE * mark.size)}" '
        f'font-size="{_n(mark.size)}" text-anchor="{anchor}" fill="#000"'
        f"{bold}{stroke}"
        f"{turn if mark.angle else ''}>{escape(_NO_SIGN.sub(' ', mark.text))}</text>\n"
    )


def hatch_lines(hatch: Hatch) -> list[Array]:
    """Cut a hatch into its lines, each (2, 2), inside the area."""
    area = shapely.make_valid(shapely.Polygon(hatch.points))
    x0, y0, x1, y1 = area.bounds
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    reach = math.hypot(x1 - x0, y1 - y0) / 2 + hatch.spacing
    along = np.array([math.cos(hatch.angle), math.sin(hatch.angle)])
    across = np.array([-along[1], along[0]])
    # lines are counted from the origin of the view, so that neighbouring areas match
    start = math.floor((middle @ across - reach) / hatch.spacing)
    stop = math.ceil((middle @ across + reach) / hatch.spacing)
    steps = np.arange(start, stop + 1) * hatch.spacing
    feet = (middle @ along) * along + steps[:, None] * across
    ends = np.stack([feet - reach * along, feet + reach * along], axis=1)
    cut = shapely.get_parts(shapely.intersection(shapely.linestrings(ends), area))
    return [
        shapely.get_coordinates(part) for part in cut if part.geom_type == "LineString" and part
    ]


def _d(points: Array, height: float, closed: bool) -> str:
    pairs = [f"{_n(x)} {_n(height - y)}" for x, y in np.asarray(points).tolist()]
    return "M" + "L".join(pairs) + ("Z" if closed else "")


def _pen(pen: Pen) -> str:
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in pen.dash)}"' if pen.dash else ""
    return f' stroke-width="{_n(pen.weight)}"{dash}'


def _tone(tone: float) -> str:
    return f"#{round(255 * tone):02x}" + f"{round(255 * tone):02x}" * 2


def _n(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
