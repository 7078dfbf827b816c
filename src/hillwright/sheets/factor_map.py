"""A small map of factors of safety over the outline, for the sheet of what holds the hill."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from hillwright.arrays import Array
from hillwright.sheets.blocks import Picture
from hillwright.sheets.drawing import FINE, MEDIUM, THIN
from hillwright.sheets.marks import CHART_TEXT, Circle, Fill, Line, Mark, Pen, Words
from hillwright.sheets.scale import CHART
from hillwright.sheets.svg import svg
from hillwright.sheets.view import View
from hillwright.wording import factor_text

if TYPE_CHECKING:
    from hillwright.plan import Plan

HEIGHT = 62.0  # of a panel, its title not counted [mm]
TITLE = 7.0  # [mm]
# below which factor a place is how dark; 1.5 is the long-term factor, 1 slides
BANDS = ((1.0, 0.45), (1.25, 0.7), (1.5, 0.86))
KEY = "Dark: below 1.00, it slides. Grey: below 1.25; light grey: below 1.50. White: 1.50 and more."


def factor_map(plan: Plan) -> Picture:
    """Draw the layer's factor bare as found, bare and soaked, and soaked with cells."""
    found = plan.stability.map
    panels = (
        ("bare, as found", found.bare[0]),
        ("bare, soaked", found.bare[1]),
        ("soaked, with cells", found.filled[1]),
    )
    width = CHART / len(panels)
    marks: list[Mark] = []
    for k, (title, factors) in enumerate(panels):
        marks += _panel(plan, title, factors, (k * width, 0.0), width)
    size = (CHART, HEIGHT + TITLE)
    return Picture(
        "The hill, place by place: factor of safety of the layer",
        svg(marks, *size, CHART_TEXT).encode(),
        *size,
        "Three maps of the factor of safety over the outline",
        (KEY + " A ring marks the least, with its figure.",),
    )


def _panel(
    plan: Plan, title: str, factors: Array, corner: tuple[float, float], width: float
) -> list[Mark]:
    found, outline = plan.stability.map, plan.surface.outline
    turn = -plan.site.frame.north if plan.opened.job.north_known else 0.0
    turned = View.paper(1000, turn, (0.0, 0.0), (0.0, 0.0), plan.site.frame).place(outline)
    low, high = turned.min(axis=0), turned.max(axis=0)
    factor = float(min((width - 10) / (high - low)[0], (HEIGHT - 6) / (high - low)[1]))
    middle = np.array(corner) + np.array([width / 2, HEIGHT / 2])
    shift = middle - factor * (low + high) / 2
    view = View((0.0, 0.0), (float(shift[0]), float(shift[1])), turn, factor, 1.0, 1.0)
    half = found.step / 2
    square = np.array([[-half, -half], [half, -half], [half, half], [-half, half]])
    inside = shapely.Polygon(outline)
    marks: list[Mark] = []
    for below, tone in reversed(BANDS):
        weak = found.xy[1:][factors[1:] < below]
        dark = shapely.intersection(shapely.polygons(weak[:, None] + square), inside)
        marks += [
            Fill("grid", view.place(part.exterior.coords[:-1]), tone)
            for part in shapely.get_parts(dark)
            if shapely.get_type_id(part) == shapely.GeometryType.POLYGON and not part.is_empty
        ]
    marks.append(Line("outline", view.place(outline), Pen(MEDIUM), True))
    marks += [Line("cells", view.place(c), Pen(FINE), True) for c in plan.layout.corners]
    i = int(np.argmin(factors))
    x, y = (float(v) for v in view.place(found.xy[i]))
    marks.append(Circle("spots", (x, y), 1.6, Pen(THIN)))
    side = 1 if x < middle[0] else -1
    at = (x + side * 2.4, y)
    least = factor_text(float(factors[i]))
    marks.append(Words("spots", at, least, CHART_TEXT, 0.0, "left" if side > 0 else "right", True))
    heading = f"{title}: {least} at the least"
    if not math.isfinite(float(factors[i])):
        heading = title
    marks.append(
        Words("frame", (float(middle[0]), HEIGHT + TITLE / 2), heading, CHART_TEXT, bold=True)
    )
    return marks
