"""The stage that judges the hill and chooses what holds the cells on it."""

from __future__ import annotations

import numpy as np

from hillwright.errors import OutOfRange, Problem
from hillwright.fill.model import Fill
from hillwright.job.ground import Checklist, Holding, SoilText
from hillwright.layout.model import Layout
from hillwright.stability.anchoring import Held, anchor, base_slopes
from hillwright.stability.bars import bar_ground
from hillwright.stability.cellload import cell_loads
from hillwright.stability.cuts import cuts
from hillwright.stability.friction import interface_friction
from hillwright.stability.gridchecks import grid_checks
from hillwright.stability.hang import open_above, open_below
from hillwright.stability.judge import (
    grid_reasons,
    hill_reasons,
    site_reasons,
    warnings,
)
from hillwright.stability.load import HillLoad, hill_load
from hillwright.stability.measures import measures
from hillwright.stability.model import CheckRow, Stability
from hillwright.stability.probability import infinite_slope_first_order
from hillwright.stability.report import workings
from hillwright.stability.slips import slip_circles
from hillwright.stability.slopechecks import slope_checks
from hillwright.stability.slopemap import slope_map
from hillwright.stability.toe import Toe, fill_friction, toe, wall_check
from hillwright.terrain.model import Surface


def assess(
    surface: Surface,
    layout: Layout,
    text: SoilText,
    site: Checklist,
    holding: Holding,
    fill: Fill | None = None,
    walked: tuple[int, ...] = (),
) -> Stability:
    """Stage: judge the hill, and choose what holds the cells.

    Parameters
    ----------
    surface, layout
        The graded ground, and the cells on it.
    text, site, holding
        Sections [soil], [checklist] and [holding] of the job.
    fill : Fill, optional
        What is in the cells; without it they are full of garden soil.
    walked : tuple of int, optional
        The rows that have walking cells, where those stand who tend the garden; without it,
        any row.

    Returns
    -------
    Stability
        Strengths for the hill's factors are the likeliest of their ranges, as the required factors
        expect; for what holds the cells they are the lowest.

    Raises
    ------
    OutOfRange
        A soil that no table has, or that cannot be.
    """
    try:
        return _assess(surface, layout, text, site, holding, fill, walked)
    except OutOfRange as error:
        raise OutOfRange.all(_by_key(problem) for problem in error.problems) from error


# what the methods call a thing, and the key of the job that gave it
_KEYS = {
    "kh": "soil.earthquake",
    "friction": "soil.friction",
    "cohesion": "soil.cohesion",
    "unit_weight": "soil.unit_weight",
    "saturated_weight": "soil.saturated_weight",
    "undrained_strength": "soil.undrained_strength",
    "ground of the anchors": "soil.friction",
    "soil 1": "soil.cohesion",
    "base_friction": "holding.base_friction",
}


def _by_key(problem: Problem) -> Problem:
    return Problem(_KEYS.get(problem.where, problem.where), problem.what, problem.right)


def _assess(
    surface: Surface,
    layout: Layout,
    text: SoilText,
    site: Checklist,
    holding: Holding,
    fill: Fill | None,
    walked: tuple[int, ...],
) -> Stability:
    hill = hill_load(text, layout.cell, cell_loads(layout, holding, fill))
    found = slope_map(surface, layout, hill)
    sections = cuts(surface, layout)
    circles = slip_circles(sections, hill)
    of_slope = slope_checks(hill, found, circles)
    friction = base_friction(hill, holding)
    held, bottom, of_grid = _grid(layout, hill, holding, text, friction, walked)
    i, soil = found.weakest, hill.soil
    load = head = 0.0
    if found.loaded[i]:
        load = float(hill.surcharges(found.slope[i])[1])
        head = float(hill.head_in_cells(found.slope[i]))
    chance = infinite_slope_first_order(
        found.slope[i],
        hill.depth,
        soil.cohesion,
        soil.friction,
        soil.moist,
        soil.saturated,
        hill.soaked_height,
        load,
        water_above=head,
    ).probability
    return Stability(
        soil=soil.name if hill.known else "",
        soil_source=f"{soil.source} ({soil.status})",
        soil_notes=soil.notes,
        depth=hill.depth,
        depth_known=hill.depth_known,
        map=found,
        circles=circles,
        first_order=float(chance),
        anchoring=held.anchoring,
        slope_checks=of_slope,
        grid_checks=of_grid,
        site=site_reasons(site.model_dump()),
        hill=hill_reasons(surface, layout, hill, of_slope, float(found.chance[i])),
        grid=grid_reasons(held),
        measures=measures(layout, holding, hill, held, bottom, of_grid, walked),
        workings=workings(layout, hill, holding, found, circles, held, friction, bottom, of_grid),
        warnings=warnings(hill, of_slope),
        soaked=hill.soaked_height / hill.depth,
        root_kind=hill.root_kind,
    )


def base_friction(hill: HillLoad, holding: Holding) -> float:
    """Give the friction of a filled cell on the ground: as tested, or from the soil [rad]."""
    if holding.base_friction is not None:
        return holding.base_friction
    return float(interface_friction(fill_friction(), hill.soil.friction.low))


def _grid(
    layout: Layout,
    hill: HillLoad,
    holding: Holding,
    text: SoilText,
    friction: float,
    walked: tuple[int, ...],
) -> tuple[Held, Toe | None, tuple[CheckRow, ...]]:
    """Choose what holds the cells; the bottom row gets bars where it would not hold itself."""
    hangs = layout.anchored | open_above(layout)
    bottom, more = None, ()
    if len(layout.row) and hill.cells.at_wall > 0:
        slope, below = base_slopes(layout), open_below(layout)
        bottom = toe(layout.cell, hill, float(slope[below].max()), friction)
        if bottom.slides:
            hangs = hangs | below
        wall = wall_check(layout.cell, hill, float(np.max(slope)), holding)
        more = (*bottom.checks, *((wall,) if wall else ()))
    held = anchor(layout, hill, holding, bar_ground(hill.soil, text), friction, hangs, walked)
    return held, bottom, grid_checks(layout, holding, held, more, walked)
