"""What the job asks of the network, as the room takes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.irrigation.asbuilt import as_built
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.led import Early
from hillwright.irrigation.model import Irrigation, Needs, Wishes
from hillwright.irrigation.parts import UNIT_WEIGHT, EmitterType, Tubing
from hillwright.irrigation.stage import dry, irrigate
from hillwright.irrigation.supply import Supply
from hillwright.job.drip import DripText, EmitterText, SupplyText, TubingText
from hillwright.job.readings import Reading
from hillwright.layout.model import Layout
from hillwright.planting.model import PLANTED, Planting
from hillwright.watering.demand import spreads
from hillwright.watering.model import Wants, Watering

SUMMER = 0.28 * 0.0254  # reference evapotranspiration of a hot day: common practice [m]
EFFICIENCY = 0.9  # of drip: 80 to 90 % in the trade press (data/irrigation_emitters.toml)
PEAK = 0.25 * 0.0254  # depth of a peak day, losses included: common practice, no source [m]


def water_plants(
    layout: Layout,
    tap: Array | None,
    supply: SupplyText,
    wishes: DripText,
    emitters: tuple[EmitterText, ...],
    tubing: tuple[TubingText, ...],
    pass_height: float,
    planting: Planting | None = None,
    readings: tuple[Reading, ...] = (),
    needs: Needs | None = None,
    shut: tuple[Array, ...] | None = None,
    early: Early | None = None,
) -> Irrigation:
    """Stage: lay the drip network of a job out.

    Parameters
    ----------
    layout : Layout
        The cells.
    tap : (2,) array or None
        Where the tap is; None puts it beside the cells.
    supply, wishes, emitters, tubing
        Sections of the job.
    pass_height : float
        Of the holes over a cell's base [m].
    planting : Planting, optional
        What grows where; where nothing is known every whole cell is taken as planted.
    readings : tuple of Reading, optional
        Catches and pressures measured after it was built.
    needs : Needs, optional
        Of the plants, where they are known better than by the planting.
    shut : tuple of (k, 2) array, optional
        Rings of places that no lateral may cross; None: every hole in the cells [m].
    early : Early, optional
        Told a first look, where the run before led its pipes to the same plants.

    Returns
    -------
    Irrigation
        The network; where none can be had, an empty one that says why and what would do.
    """
    grown = assumed_needs(layout) if planting is None else planted_needs(layout, planting)
    wanted = needs or grown
    if wishes.peak_depth is not None:
        wanted = _by_depth(layout, wanted, wishes.peak_depth)
    given = supply_of(supply, tap, layout, wanted)
    asked = wishes_of(wishes, emitters, tubing, pass_height)
    try:
        found = irrigate(layout, wanted, given, asked, shut, early)
    except OutOfRange as error:
        refused = tuple((p.where, p.what, p.right) for p in error.problems)
        return dry(given, wanted.said, refused)
    if not readings:
        return found
    return replace(found, measured=as_built(found, layout, readings))


def assumed_needs(layout: Layout, depth: float = PEAK) -> Needs:
    """Take every whole cell as planted, with a peak day of common practice."""
    cells = np.flatnonzero(~layout.trimmed)
    area = layout.cell.width * layout.cell.run
    return Needs(
        cells,
        np.full(len(cells), depth * area),
        ("all plants",) * len(cells),
        "every whole cell taken as planted, with 6.4 mm of water on the peak day (common practice, "
        "no source)",
    )


def planted_needs(layout: Layout, planting: Planting) -> Needs:
    """Give the planted cells with what their plants take on a day of high summer."""
    grown = (planting.use == PLANTED) & (planting.hydrozone >= 0) & (planting.plant >= 0)
    cells = np.flatnonzero(grown)
    factor = np.array([p.factor for p in planting.plants])[planting.plant[cells]]
    area = layout.cell.width * layout.cell.run
    return Needs(
        cells,
        factor * SUMMER / EFFICIENCY * area,
        tuple(planting.hydrozones[int(z)] for z in planting.hydrozone[cells]),
        "each plant's factor of 7.1 mm of reference evapotranspiration on the peak day, 90 % of "
        "the water reaching it (common practice, no source)",
    )


def needs_of(watering: Wants | Watering) -> Needs:
    """Give what the watering room found that each planted cell must get on its peak day."""
    cells = np.flatnonzero((watering.planted.zone >= 0) & (watering.demand.peak > 0))
    # valves are numbered as the controller's program numbers them
    cells = cells[np.argsort(watering.planted.zone[cells], kind="stable")]
    area = watering.demand.area
    return Needs(
        cells,
        watering.demand.peak[cells],
        tuple(watering.planted.zones[int(z)] for z in watering.planted.zone[cells]),
        "each cell's own, on a day of the hottest month of a dry year",
        # emitters of a wide plant lie round it, those of others within their cell
        np.where(spreads(watering.planted, area), watering.planted.canopy, area)[cells],
        watering.soil.texture,
        np.asarray(watering.soil.top_slope)[cells],
    )


def _by_depth(layout: Layout, needs: Needs, depth: float) -> Needs:
    area = layout.cell.width * layout.cell.run
    return Needs(
        needs.cell,
        np.full(len(needs.cell), depth * area),
        needs.zone,
        f"the job's peak_depth, {1e3 * depth:.1f} mm over each planted cell",
        needs.ground,
        needs.texture,
        needs.top,
    )


def supply_of(text: SupplyText, tap: Array | None, layout: Layout, needs: Needs) -> Supply:
    """Give the supply with its tap on the hill, and say what nobody measured."""
    base = layout.corners.mean(axis=1)
    watered = base[needs.cell] if len(needs.cell) else base
    foot = text.side == "foot"
    heights = watered[:, 2] if len(watered) else np.zeros(1)
    height = float(heights.min() if foot else heights.max())
    assumed = []
    if "pressure" not in text.model_fields_set:
        assumed.append("the pressure: read a gauge on the tap")
    measured = [v for v in (text.flow, _bucket(text)) if v is not None]
    meter = text.meter or ""
    if not measured and not meter:
        meter = "5/8"
        assumed.append("the flow (the smallest meter's is taken): time a bucket")
    if tap is None:
        assumed.append("the place of the tap: beside the cells")
    place = _beside(layout, foot) if tap is None else tap
    return Supply(
        low=text.pressure[0] / UNIT_WEIGHT,
        high=text.pressure[-1] / UNIT_WEIGHT,
        flow=min(measured) if measured else None,
        meter=meter,
        service_length=text.service_length,
        service_bore=text.service_bore,
        elevation=height - text.apart if foot else height + text.apart,
        place=(float(place[0]), float(place[1])),
        assembly=text.backflow or "",
        assumed=tuple(assumed),
    )


def _bucket(text: SupplyText) -> float | None:
    if text.bucket is None or text.bucket_time is None:
        return None
    return text.bucket / text.bucket_time


def _beside(layout: Layout, foot: bool) -> Array:
    """Give the place a cell's width off the left end of the lowest or highest row."""
    if not len(layout.row):
        return np.zeros(2)
    rows = Rows.of_layout(layout)
    cell = rows.of[max(rows.of) if foot else min(rows.of)][0]
    return np.asarray(rows.centre[cell, :2] - 1.5 * layout.cell.width * rows.along)


def wishes_of(
    text: DripText,
    emitters: Sequence[EmitterText],
    tubing: Sequence[TubingText],
    pass_height: float,
) -> Wishes:
    """Give the person's wishes with parts of their own."""
    own = tuple(emitter_of(e) for e in emitters)
    # a person who lists emitters wants one of these, whatever the kind by default
    compensating = text.emitters == "compensating"
    if own and not any(e.compensating == compensating for e in own):
        compensating = not compensating
    return Wishes(
        compensating=compensating,
        longest_run=text.longest_run,
        longest_tube=text.longest_tube,
        target=text.uniformity,
        texture=text.texture,
        wetted=text.wetted,
        beside=text.beside,
        gentle=text.gentle,
        plugged=text.plugged,
        pass_height=pass_height,
        emitters=own,
        tubing=tuple(
            Tubing(t.name, t.use == "small", t.bore, t.highest / UNIT_WEIGHT, t.price)
            for t in tubing
        ),
    )


def emitter_of(text: EmitterText) -> EmitterType:
    """Give an emitter of the person's own, with its class's exponent where none is given."""
    at = text.pressure / UNIT_WEIGHT
    exponent = text.exponent if text.exponent is not None else 0.05 if text.compensating else 0.5
    lowest = at if text.lowest is None else text.lowest / UNIT_WEIGHT
    return EmitterType(
        text.name,
        text.compensating,
        text.flow,
        at,
        exponent,
        lowest,
        text.highest / UNIT_WEIGHT,
        text.variation,
        text.price,
    )
