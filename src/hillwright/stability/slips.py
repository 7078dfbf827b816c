"""The critical circles of a hill: three sections soaked with cells, and the steepest as found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange
from hillwright.stability.critical import TRIALS, CriticalCircle, critical_on
from hillwright.stability.cuts import Cut
from hillwright.stability.given import WATER
from hillwright.stability.load import HillLoad
from hillwright.stability.model import STATES, SlipCircle
from hillwright.stability.section import Section, section

FIRST = ("bishop",)  # by which the weakest section is found
BOTH = ("bishop", "spencer")  # by which it is told
SCAN = 1000  # circles of each scan of the first search
_STEP = 1e-3  # over which the water rises at the edge of the cells [m]
SHALLOWEST = 0.05  # least depth of a circle over the slope's height; its skin is told apart


def slip_circles(
    cuts: tuple[Cut, ...], hill: HillLoad, trials: int = TRIALS
) -> tuple[SlipCircle, ...]:
    """Search the critical circle of every section and state, the least factor first.

    Parameters
    ----------
    cuts : tuple of Cut
        The first is the steepest.
    hill : HillLoad
        Soil, water, shaking and weight.
    trials : int
        Circles of the scan of the weakest section.

    Returns
    -------
    tuple of SlipCircle
        All soaked with cells, by Bishop's method; the weakest of them by Spencer's too, and with
        earthquake where the job has one; the first section as found, bare. A section on which no
        circle slides has none. Strengths are the likeliest of their ranges.
    """
    found = [_slip(cut, hill, STATES[1], SCAN, FIRST) for cut in cuts]
    if any(found):
        k = int(np.argmin([f.factor if f else np.inf for f in found]))
        found[k] = _slip(cuts[k], hill, STATES[1], trials, BOTH) or found[k]
        if hill.kh > 0:
            found.append(_slip(cuts[k], hill, STATES[2], trials, BOTH))
    if cuts:
        found.append(_slip(cuts[0], hill, STATES[0], SCAN, FIRST))
    return tuple(sorted((f for f in found if f), key=lambda f: f.factor))


def section_of(cut: Cut, hill: HillLoad, state: str) -> Section:
    """Give the section of a cut in one state.

    The water's pressure on a slip surface is that of water flowing parallel to the ground: its
    upright height times the square of the cosine of the slope, here of the gentlest facet.
    """
    ground, soil = cut.profile, hill.soil
    wet = state != STATES[0]
    floor = ground - np.array([0.0, hill.depth])
    level = None
    if wet and hill.soaked_height > 0:
        level = floor + np.array([0.0, min(hill.soaked_height, hill.depth)])
    elif not wet and hill.groundwater is not None:
        level = ground - np.array([0.0, hill.groundwater])
    loads = None
    if wet and len(cut.loaded):
        pressure = float(hill.surcharges(np.asarray(cut.slope))[1])
        loads = np.column_stack([cut.loaded, np.full(len(cut.loaded), pressure)])
    found = section(
        ground,
        soil.cohesion.best,
        soil.friction.best,
        soil.moist.best,
        saturated_unit_weight=soil.saturated.best,
        water_line=level,
        water_unit_weight=float(WATER * np.cos(cut.gentlest) ** 2),
        surcharge=loads,
        kh=hill.kh if state == STATES[2] else 0.0,
        base=floor if hill.depth_known else None,
    )
    if level is None or not wet or not len(cut.loaded):
        return found
    # water in soaked cells stands over the ground and presses on what lies below
    head = float(hill.head_in_cells(np.asarray(cut.slope)))
    return replace(found, water=frozen(_raised(level, cut.loaded, head)))


def _raised(level: Array, spans: Array, head: float) -> Array:
    """Lift a line by a step wherever cells lie."""
    steps = np.concatenate([spans[:, :1] - _STEP, spans[:, :1], spans[:, 1:], spans[:, 1:] + _STEP])
    x = np.unique(np.concatenate([level[:, 0], steps.ravel()]))
    inside = ((x[:, None] >= spans[:, 0]) & (x[:, None] <= spans[:, 1])).any(axis=1)
    return np.column_stack([x, np.interp(x, *level.T) + np.where(inside, head, 0.0)])


def _slip(
    cut: Cut, hill: HillLoad, state: str, trials: int, methods: tuple[str, ...]
) -> SlipCircle | None:
    given = section_of(cut, hill, state)
    shallowest = SHALLOWEST * cut.relief
    if hill.depth_known:
        shallowest = min(shallowest, hill.depth / 2)
    try:
        worst = critical_on(given, methods, trials=trials, least_depth=shallowest)
    except OutOfRange:
        return None  # no circle of this section slides
    return _told(cut, hill, given, worst, state)


def _told(
    cut: Cut, hill: HillLoad, given: Section, worst: CriticalCircle, state: str
) -> SlipCircle | None:
    wet = state != STATES[0]
    if not np.isfinite(worst.factors).any():
        return None
    return SlipCircle(
        name=cut.name,
        beside=cut.beside,
        state=state,
        loaded=state != STATES[0],
        line=frozen(cut.line),
        methods=worst.methods,
        factors=worst.factors,
        factor=float(np.nanmin(worst.factors)),
        centre=worst.centre,
        radius=worst.radius,
        arc=worst.arc,
        depth=worst.depth,
        skin=worst.skin,
        at_edge=worst.at_edge,
        surcharge=float(given.surcharge[:, 2].max(initial=0.0)),
        head=float(hill.head_in_cells(np.asarray(cut.slope))) if wet and len(cut.loaded) else 0.0,
        water_weight=given.water_weight,
        tried=worst.tried,
    )
