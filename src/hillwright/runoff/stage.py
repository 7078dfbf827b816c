"""The runoff stage: the hill before and after, the water from above, the storm on the rows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.job.ground import SoilText
from hillwright.job.rainread import RainFiles
from hillwright.job.site import HeightGrid
from hillwright.job.water import Rain
from hillwright.layout.model import Layout
from hillwright.runoff.above import from_above
from hillwright.runoff.beforeafter import HillShape, excess_of, four_states
from hillwright.runoff.cellstore import held_below, plan_area, slope_area
from hillwright.runoff.designrain import (
    Rainfall,
    design_rain,
    event_storm,
    rainfall_of,
)
from hillwright.runoff.fillsoil import CellSoil, soil_settled
from hillwright.runoff.hillsoil import HillSoil, fill_water, hill_soil
from hillwright.runoff.model import FromAbove, Runoff, Threshold
from hillwright.runoff.remarks import assumptions, cautioned, doubts
from hillwright.runoff.rowsoil import soils_of
from hillwright.runoff.rowstorm import RowStorm, entry_shares, storm_on_rows
from hillwright.runoff.spill import Spill, spill_paths
from hillwright.runoff.threshold import spill_threshold
from hillwright.runoff.workings import workings
from hillwright.terrain.model import Surface

_NEVER = Threshold(frozen(np.empty(0)), float("inf"), 0)


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """The cells as water meets them."""

    soil: Array  # (n,) depth [m]
    levelled: Array  # (n,) 0 along the slope, 1 level [-]
    paths: Spill
    area: Array  # (n,) in plan [m2]


def where_rain_goes(
    surface: Surface,
    layout: Layout,
    soil: SoilText,
    asked: Rain,
    crest: str,
    files: RainFiles,
    around: HeightGrid | None = None,
    filled: CellSoil | None = None,
) -> Runoff:
    """Stage: the rain on the hill today and with the rows.

    Parameters
    ----------
    surface, layout : Surface, Layout
        The ground and the cells on it.
    soil : SoilText
        What the job says of the ground.
    asked : Rain
        What it says of rain, cover and water from above.
    crest : str
        A crest drain "when needed", "always" or "never".
    files : RainFiles
        The rainfall table and the event, where it names them.
    around : HeightGrid, optional
        Heights of more ground than was surveyed.
    filled : CellSoil, optional
        The soil in the cells; without it they are full but for what settles.

    Raises
    ------
    OutOfRange
        Rain that does not reach the return period, or names of a soil or a cover that no table
        has.
    """
    rainfall = rainfall_of(asked, files.table)
    rain = design_rain(asked, rainfall)
    ground = hill_soil(soil, asked.soil_group)
    hill = hill_shape(surface, layout)
    states = four_states(rain, asked, ground, hill)
    above = from_above(surface, layout, asked, crest, rain, ground.group, around)
    storm = event = None
    event_rain, leaves, spilt = np.empty(0), np.zeros((3, 0)), np.empty(0)
    rows, paths, threshold = None, None, _NEVER
    if len(layout.row):
        rows = _rows(layout, filled or soil_settled(layout))
        paths = rows.paths
        storm = _march(layout, rows, ground, rain.rain, rain.step, above)
        threshold = _threshold(layout, rows, ground, rainfall, asked, above)
        leaves = np.asarray(paths.exits * storm.spilled)
        spilt = np.asarray(storm.spilled[paths.source] * paths.share)
        if files.event is not None:
            fell = event_storm(files.event.time, files.event.total)
            event = _march(layout, rows, ground, fell.rain, float(fell.time[0]), above)
            event_rain = fell.rain
    found = Runoff(
        rain=rain,
        soil=ground,
        area=hill.area,
        cells=float(hill.cell_area.sum()),
        slope=hill.slope,
        length=hill.length,
        states=states,
        weighed=asked.erosivity is not None,
        above=above,
        storm=storm,
        event=event,
        event_rain=frozen(event_rain),
        threshold=threshold,
        soil_depth=float(rows.soil.mean()) if rows else 0.0,
        leaves=frozen(leaves),
        source=frozen(paths.source if paths else np.empty(0, np.intp)),
        target=frozen(paths.target if paths else np.empty(0, np.intp)),
        spilt=frozen(spilt),
        assumed=assumptions(asked, rain, ground, files, above),
        doubts=doubts(hill, rain, layout.cell.run),
        workings=(),
        warnings=cautioned(crest, above),
    )
    return workings(found, asked)


def hill_shape(surface: Surface, layout: Layout) -> HillShape:
    """Give the area, slope and length of the hill, and of its cells."""
    if len(layout.row):
        area = plan_area(layout.corners)
        c = layout.corners
        down = (c[:, 3] + c[:, 2] - c[:, 0] - c[:, 1]) / 2
        pitch = np.hypot(down[:, 0], down[:, 1])
        upright = np.clip(area / slope_area(c), 0.0, 1.0)
        slope = np.arccos(upright)
    else:
        area = pitch = slope = np.empty(0)
    return HillShape(
        area=max(surface.plan_area, float(area.sum())),
        slope=surface.slope_mean,
        length=_length(surface),
        cell_area=np.asarray(area),
        cell_slope=np.asarray(slope),
        pitch=np.asarray(pitch),
    )


def _length(surface: Surface) -> float:
    """Give how far the outline reaches down the mean fall of the ground, in plan [m]."""
    x, y = surface.outline[:, 0], surface.outline[:, 1]
    z = np.asarray(surface.graded.at(x, y)[0])
    here = np.isfinite(z)
    if here.sum() >= 3:
        flat = np.column_stack((x - x.mean(), y - y.mean(), np.ones(len(x))))[here]
        fall = np.linalg.lstsq(flat, z[here], rcond=None)[0][:2]
        if (size := float(np.hypot(*fall))) > 1e-6:
            return float(np.ptp(surface.outline @ (fall / size)))
    return float(np.ptp(surface.outline, axis=0).max())


def _rows(layout: Layout, filled: CellSoil) -> _Rows:
    c, wall = layout.corners, layout.cell.depth
    paths = spill_paths(c, layout.row, layout.clips, np.full(len(layout.row), wall))
    soil = np.clip(filled.depth, 0.0, wall)  # heaped above the brim it holds no water
    return _Rows(soil, filled.levelled, paths, plan_area(c))


def _march(
    layout: Layout, rows: _Rows, ground: HillSoil, rain: Array, step: float, above: FromAbove
) -> RowStorm:
    """March a storm down the rows; what comes from above does, unless a drain takes it."""
    run_on = None
    if above.area > 0 and not above.drained:
        run_on = excess_of(rain, above.curve_number) * above.area / step
    return storm_on_rows(
        layout.corners,
        layout.row,
        layout.clips,
        layout.cell.depth,
        rows.soil,
        fill_water(),
        ground.water,
        rain,
        step,
        run_on,
        levelled=rows.levelled,
        longest_step=step,
        paths=rows.paths,
    )


def _threshold(
    layout: Layout,
    rows: _Rows,
    ground: HillSoil,
    rainfall: Rainfall,
    asked: Rain,
    above: FromAbove,
) -> Threshold:
    n, c = len(layout.row), layout.corners
    hold = held_below(c, rows.soil, rows.levelled, rows.paths.level) / rows.area
    soil = rows.soil * slope_area(c) / rows.area
    soils = soils_of(fill_water(), ground.water, soil, hold, n)
    enters = entry_shares(c, layout.row) / rows.area * (0.0 if above.drained else above.area)
    return spill_threshold(soils, layout.row, rainfall, asked, enters, above.curve_number)
