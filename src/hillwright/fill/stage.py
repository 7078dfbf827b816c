"""Stage: Layout and mixes to Fill: what every cell takes, what it weighs, what to order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.fill.cellvolume import between_walls, cell_soil, covering, lip_depth
from hillwright.fill.choose import Choice, chosen, shares_inside
from hillwright.fill.model import Fill
from hillwright.fill.plane import base_of
from hillwright.fill.quantities import loose_and_ordered, whole_packs
from hillwright.fill.report import warnings, workings
from hillwright.fill.totals import mix_totals, part_totals
from hillwright.fill.under import under_cells
from hillwright.fill.weights import cell_mass
from hillwright.job.planting_soil import FillText, MixText
from hillwright.job.site import Site
from hillwright.layout.model import Layout
from hillwright.terrain.model import Surface


def fill_cells(
    layout: Layout,
    surface: Surface,
    site: Site,
    text: FillText,
    mixes: tuple[MixText, ...] = (),
    mix_of: ArrayLike | None = None,
    fullness: ArrayLike | None = None,
    names: tuple[str, ...] = (),
    wall: float | None = None,
) -> Fill:
    """Stage: fill the cells.

    Parameters
    ----------
    layout : Layout
        The n cells.
    surface : Surface
        The ground that they stand on, as graded and as surveyed.
    site : Site
        Outline and exclusions, for what is left of a trimmed cell; its frame, for places.
    text : FillText
        How the cells are filled.
    mixes : tuple of MixText
        Mixes that the job blends itself; a name of the table's takes its place.
    mix_of : (n,) array of int, optional
        Which of ``names`` each cell takes; from the job where it is not given. -1: the job's.
    fullness : (n,) array, optional
        Share of the depth that is filled, 0 for a cell that stays open; the least of this and of
        what the job says counts. [-]
    names : tuple of str
        Mixes that ``mix_of`` counts in.
    wall : float, optional
        Thickness of the walls, which is no soil's; without it a cell is reckoned to its outer
        faces. [m]

    Raises
    ------
    OutOfRange
        A mix or component that nobody knows, or soil that no cell can hold; all of them at once.
        Walls that leave no room.
    """
    choice = chosen(layout, text, mixes, mix_of, fullness, names, site.frame)
    cell, corners = layout.cell, _inside(layout, wall or 0.0)
    free, mulch = text.free(cell.depth), text.mulched(cell.depth)
    if text.soil_depth is None:
        lip = lip_depth(cell.depth, free, mulch, choice.fullness)
    else:
        if text.soil_depth + mulch > cell.depth + 1e-9:
            raise OutOfRange(
                "fill.soil_depth",
                f"{text.soil_depth:.3f} m of soil under {mulch:.3f} m of mulch overfills the cell",
                f"its wall is {cell.depth:.3f} m: give less",
            )
        lip = text.soil_depth * choice.fullness
    over = np.where(lip > 0, mulch, 0.0)
    levelled = _levelled(corners, lip, text)
    share = shares_inside(layout, surface.outline, site)
    soil = cell_soil(corners, lip, levelled)
    under = under_cells(corners, surface.graded, lip, levelled)
    rough = under_cells(corners, surface.ground, lip, levelled)
    with_mulch = cell_soil(corners, lip + over, levelled)
    boxed = share * soil.volume
    dips, humps = share * under.dips, share * np.minimum(under.humps, soil.volume)
    settled = boxed + dips - humps
    spread = share * (with_mulch.volume - soil.volume)
    unsmoothed = share * (rough.dips - np.minimum(rough.humps, soil.volume))
    settlement = np.array([m.settlement for m in choice.mixes])[choice.mix]
    loose, ordered = loose_and_ordered(settled, settlement, text.waste)
    mass = cell_mass(settled, _densities(choice), spread, choice.mulch.settled)
    area = share * base_of(corners).area
    rows, which = np.unique(layout.row, return_inverse=True)
    mulch_ordered = float(
        loose_and_ordered(spread.sum(), choice.mulch.settlement, text.waste).ordered
    )
    totals = mix_totals(choice.mixes, choice.mix, settled, loose, ordered)
    found = Fill(
        mixes=choice.mixes,
        mix=frozen(choice.mix),
        fullness=frozen(choice.fullness),
        share=frozen(share),
        lip=frozen(lip),
        uphill=frozen(soil.uphill),
        levelled=frozen(levelled),
        top_slope=frozen(soil.top_slope),
        covered=frozen(soil.covered),
        boxed=frozen(boxed),
        dips=frozen(dips),
        humps=frozen(humps),
        settled=frozen(settled),
        loose=frozen(loose),
        mulch=frozen(spread),
        dry=frozen(mass.dry),
        moist=frozen(mass.moist),
        saturated=frozen(mass.saturated),
        area=frozen(area),
        row=frozen(rows),
        row_settled=_by_row(which, settled, len(rows)),
        row_loose=_by_row(which, loose, len(rows)),
        row_mulch=_by_row(which, spread, len(rows)),
        row_saturated=_by_row(which, mass.saturated, len(rows)),
        totals=totals,
        parts=part_totals(totals, text),
        mulch_kind=choice.mulch.name,
        mulch_ordered=mulch_ordered,
        mulch_mass=mulch_ordered * choice.mulch.loose,
        mulch_bags=int(whole_packs(mulch_ordered, text.bag)),
        waste=text.waste,
        supply=text.supply,
        bag=text.bag,
        truck=text.truck,
        payload=text.payload,
        brim=float((area * cell.depth).sum()),
        unsmoothed=float(unsmoothed.sum() - (dips - humps).sum()),
        workings=(),
        warnings=(),
    )
    return replace(
        found,
        workings=workings(found, layout, text),
        warnings=warnings(found, layout, text, under.unknown),
    )


def _inside(layout: Layout, wall: float) -> Array:
    """Give the corners that the soil has."""
    if 2 * wall >= min(layout.cell.width, layout.cell.run):
        what = f"two walls of {wall:.3f} m leave no room in the cell"
        raise OutOfRange("holding.wall_thickness", what, "give the thickness of one wall")
    return between_walls(layout.corners, wall)


def _levelled(corners: Array, lip: Array, text: FillText) -> Array:
    """Give how far each cell's top is raked level."""
    n = len(corners)
    if text.top == "level":
        return np.ones(n)
    if text.top == "along the slope" or not n:
        return np.zeros(n)
    # a cell that is filled by half keeps half of the least depth
    full = float(lip.max(initial=0.0)) or 1.0
    return covering(corners, lip, text.least_depth * lip / full)


def _densities(choice: Choice) -> Array:
    each = [(m.settled_dry, m.settled_moist, m.saturated) for m in choice.mixes]
    return np.array(each)[choice.mix].reshape(-1, 3)


def _by_row(which: Index, values: Array, rows: int) -> Array:
    return frozen(np.bincount(which, weights=values, minlength=rows).astype(float))
