"""Water that comes down onto row 1 from the ground above, and whether a drain must take it."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.job.site import HeightGrid
from hillwright.job.water import Rain
from hillwright.layout.model import Layout
from hillwright.runoff.beforeafter import excess_of
from hillwright.runoff.catchment import Catchment, area_above
from hillwright.runoff.curvenumber import tabled_number
from hillwright.runoff.designrain import DesignRain
from hillwright.runoff.model import FromAbove
from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.model import Surface

NEEDS_DRAIN = 0.5e-3  # about a garden hose, fully open; our choice [m3/s]
_NODES = 10_000  # that the surface is routed on: finer tells no more of where water goes


def from_above(
    surface: Surface,
    layout: Layout,
    asked: Rain,
    crest: str,
    rain: DesignRain,
    group: str,
    around: HeightGrid | None = None,
) -> FromAbove:
    """Give the water that reaches row 1, and whether a crest drain takes it.

    Parameters
    ----------
    surface, layout : Surface, Layout
        The ground, and the string that row 1 hangs on.
    asked : Rain
        What the job says: its own area comes first.
    crest : str
        A crest drain "when needed", "always" or "never".
    rain : DesignRain
        The storm.
    group : str
        Hydrologic soil group of the ground above, which is taken as bare.
    around : HeightGrid, optional
        Heights of more ground than was surveyed.
    """
    area, how, whole, along = _area(surface, layout, asked, around)
    number = tabled_number("fallow", group, "", "bare soil")
    flow = excess_of(rain.rain, number) * area / rain.step
    peak = float(flow.max(initial=0.0))
    needed = peak > NEEDS_DRAIN
    drained = crest == "always" or (crest == "when needed" and needed)
    return FromAbove(
        area=area,
        how=how,
        whole=whole,
        along=frozen(along),
        curve_number=number,
        volume=float(flow.sum() * rain.step),
        flow=frozen(flow),
        peak=peak,
        needed=needed,
        drained=drained and peak > 0,
    )


def _area(
    surface: Surface, layout: Layout, asked: Rain, around: HeightGrid | None
) -> tuple[float, str, bool, Array]:
    """Give the area, where it is from, whether all of it is known, and where it comes in."""
    if asked.water_from_above is not None:
        return asked.water_from_above, "given", True, np.empty(0)
    if len(layout.top_string) < 2:
        return 0.0, "surface", False, np.empty(0)
    line = layout.top_string
    if around is None:
        (found, whole), how = _routed(surface, line), "surface"
    else:  # it holds the survey's ground too, and the water that comes from beyond
        found, whole = _drains_to(around.heights, around.dx, around.x0, around.y0, line)
        how = "map"
    return max(found.area, 0.0), how, whole, np.asarray(found.along)


def _drains_to(
    heights: Array, step: float, x0: float, y0: float, line: Array
) -> tuple[Catchment, bool]:
    """Give what drains over a line, and whether the heights reach up to its divide.

    Multiple flow spreads a trace of everything everywhere; one way for each node does not, so
    that one tells whether ground at the border belongs to it.
    """
    found = area_above(heights, step, x0, y0, line)
    return found, area_above(heights, step, x0, y0, line, scheme="d8").whole


def _routed(surface: Surface, line: Array) -> tuple[Catchment, bool]:
    ground = surface.ground
    if not isinstance(ground, HeightField):
        raise TypeError("the ground is no height field")
    skip = max(1, int(np.ceil(np.sqrt(ground.heights.size / _NODES))))
    heights = np.where(surface.supported, ground.heights, np.nan)[::skip, ::skip]
    return _drains_to(heights, ground.step * skip, ground.x0, ground.y0, line)
