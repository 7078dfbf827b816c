"""How fast water lands on the cells of a valve, against rules for slopes and the soil's intake."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.irrigation.choose import choose_emitters
from hillwright.irrigation.model import Gentler, Landing, Needs, Valve, Wishes
from hillwright.irrigation.parts import EmitterType
from hillwright.irrigation.soilrules import wetted_area
from hillwright.irrigation.tables import GALLON, INCH, rows
from hillwright.irrigation.water import application_rate
from hillwright.layout.model import Layout
from hillwright.watering.intake import cycle_and_soak, soil_intake, wetted_circle
from hillwright.watering.tables import row as soil_row


class Rule(NamedTuple):
    """What a code allows on a slope; infinite where it says nothing."""

    rate: float  # of application [m/s]
    emitter: float  # flow of one [m3/s]
    said: str
    places: str


def slope_rule(slope: float) -> Rule:
    """Give the strictest printed rule for a slope (rise over run)."""
    held = [r for r in rows("irrigation_supply", "slope_limit") if 100 * slope > r["over_percent"]]
    if not held:
        return Rule(math.inf, math.inf, "", "")
    least = min(held, key=lambda r: r["rate_in_h"])
    emitter = min(r["emitter_gph"] or math.inf for r in held)
    said = "; ".join(f"{r['where']}: {r['rule']}" for r in held)
    places = "; ".join(str(r["where"]) for r in held)
    return Rule(least["rate_in_h"] * INCH / 3600, emitter * GALLON / 3600, said, places)


def slope_of(layout: Layout, cells: Index) -> float:
    """Give the steepest slope of the ground under cells, rise over run [-]."""
    return float(np.tan(np.asarray(layout.run_slope)[cells].max(initial=0.0)))


def ground_of(layout: Layout, needs: Needs) -> Array:
    """Give the ground that the emitters of each plant may lie on (p,) [m2]."""
    whole = np.full(len(needs.cell), layout.cell.width * layout.cell.run)
    return whole if needs.ground is None else np.asarray(needs.ground)


def landing(
    valve: Valve, layout: Layout, needs: Needs, types: tuple[EmitterType, ...], wishes: Wishes
) -> Landing:
    """Hold a valve's rates against the rule for its slope and the intake of the soil."""
    at = {int(c): k for k, c in enumerate(needs.cell)}
    mine = np.array([at[int(c)] for c in valve.plants])
    ground = ground_of(layout, needs)[mine]
    punches, nominal = valve.punches, valve.network.outlets.nominal
    n = int(valve.plants.max()) + 1
    flow: Array = np.bincount(punches.cell, nominal, n)[valve.plants].astype(float)
    many: Array = np.bincount(punches.cell, minlength=n)[valve.plants].astype(float)
    rate = application_rate(flow, layout.cell.width, ground / layout.cell.width)
    worst = int(rate.argmax())
    slope = slope_of(layout, valve.plants)
    rule = slope_rule(slope)
    over = float(rate[worst]) > rule.rate * (1 + 1e-9)
    soil = _soil(needs, mine, flow, many, ground) if needs.texture else _Soil()
    return Landing(
        valve=valve.number,
        slope=slope,
        rate=float(rate[worst]),
        cell=int(valve.plants[worst]),
        flow=float(flow[worst]),
        ground=float(ground[worst]),
        limit=rule.rate,
        over=over,
        emitter=max(t.nominal for t in (types[int(k)] for k in np.unique(punches.kind))),
        emitter_limit=rule.emitter,
        rule=rule.said,
        places=rule.places,
        gentler=_gentler(valve, layout, needs, mine, types, wishes) if over else None,
        texture=needs.texture,
        spot=soil.spot,
        intake=soil.intake,
        stands=soil.stands,
        longest=soil.longest,
        soak=soil.soak,
    )


class _Soil(NamedTuple):
    spot: float = 0.0
    intake: float = math.inf
    stands: float = 0.0
    longest: float = math.inf
    soak: float = 0.0


def _soil(needs: Needs, mine: Index, flow: Array, many: Array, ground: Array) -> _Soil:
    """Find the plant under which water stands soonest: the program cuts its runs by the same."""
    texture = soil_row("soil_water", "alike", "texture", needs.texture)["intake"]
    wet = np.minimum(wetted_circle(1.0, needs.texture, np.maximum(many, 1)).area, ground)
    top = np.zeros(len(mine)) if needs.top is None else np.asarray(needs.top)[mine]
    takes = soil_intake(texture, top)
    held = cycle_and_soak(flow / wet, takes.rate, takes.accumulation)
    k = int(np.argmin(held.longest_run))
    if math.isinf(float(held.longest_run[k])):
        k = int(np.argmax(flow / wet))
    return _Soil(
        float(flow[k] / wet[k]),
        float(takes.rate[k]),
        float(takes.accumulation[k]),
        float(held.longest_run[k]),
        float(held.shortest_soak.max()),
    )


def gentle_flow(
    layout: Layout, cells: Index, ground: Array, types: tuple[EmitterType, ...]
) -> tuple[tuple[EmitterType, ...], Array]:
    """Give the emitters that the rule for the slope lets through, and each plant's flow by it."""
    rule = slope_rule(slope_of(layout, cells))
    return tuple(t for t in types if t.nominal <= rule.emitter * (1 + 1e-6)), rule.rate * ground


def _gentler(
    valve: Valve,
    layout: Layout,
    needs: Needs,
    mine: Index,
    types: tuple[EmitterType, ...],
    wishes: Wishes,
) -> Gentler | None:
    """Find what emitters and run would keep the rule; none where nothing does."""
    ground, demand = ground_of(layout, needs)[mine], needs.demand[mine]
    slow, gentle = gentle_flow(layout, valve.plants, ground, types)
    area = np.full(len(mine), layout.cell.width * layout.cell.run)
    if not slow:
        return None
    try:
        found = choose_emitters(
            demand,
            area,
            slow,
            wishes.longest_run,
            wetted_area(wishes.texture),
            wishes.wetted,
            gentle,
        )
    except OutOfRange:
        return None
    more = float(found.given.sum()) / (valve.flow * valve.run) - 1
    return Gentler(int(found.count.sum()), found.run, more)
