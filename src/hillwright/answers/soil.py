"""Question 5: how much soil of which mix, and how it gets up."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.answers.carry import haul_lines
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.fill.model import Fill, MixTotal
from hillwright.rooms import Rooms
from hillwright.units import System
from hillwright.wording import plural

_CAUTION = (
    "Soil: have no truck tip or stand near the crest or on the slope, keep the pile off the "
    "edge, keep people out of the way of moving trucks and of the pile's foot, wet dusty soil "
    "before it is moved, and wear gloves and a mask for compost. Local rules come first."
)


def soil(rooms: Rooms) -> Answer:
    """Say how much soil to order, how much of it goes up, and what it weighs."""
    fill, system = rooms.fill, rooms.job.units
    if not fill.totals:
        return Answer(5, QUESTIONS[4], "No cell is filled.", "clear")

    def vol(value: float) -> str:
        return units.show(value, "m3", system)

    mixes = ", ".join(t.mix.name for t in fill.totals)
    short = (
        f"Order {vol(fill.total_ordered)} ({mixes}); carry up {vol(fill.total_loose)} loose; "
        f"{vol(fill.total_settled)} in place once settled."
    )
    lines = [*soil_lines(rooms), *haul_lines(rooms)]
    best = rooms.carry.ways[rooms.carry.best].name if rooms.carry.best >= 0 else ""
    if best:
        short += f" Up by {best}."
    figures = ["fill.settled", "fill.loose", "fill.ordered", "fill.cell.saturated"]
    figures += [f"crew.haul.{best.replace(' ', '-')}"] if best else []
    held = fill.warnings or rooms.carry.warnings or not best
    verdict: Verdict = "with measures" if held else "clear"
    return Answer(5, QUESTIONS[4], short, verdict, tuple(lines), tuple(figures), _CAUTION)


def soil_lines(rooms: Rooms) -> tuple[str, ...]:
    """Say what the soil is and what it weighs."""
    fill, system = rooms.fill, rooms.job.units

    def vol(value: float) -> str:
        return units.show(value, "m3", system)

    lines = [
        _not_the_brim(fill, system),
        *(line for t in fill.totals for line in _mix(t, fill, system)),
        _order(fill, system),
    ]
    if fill.mulch_ordered > 0:
        lines.append(f"Mulch: {vol(fill.mulch_ordered)} of {fill.mulch_kind}.")
    dry, full = (units.show(float(a.max()), "kg", system) for a in (fill.moist, fill.saturated))
    lines.append(
        f"The heaviest cell holds {dry} as it is filled and {full} soaked, without the box; "
        "weigh a level bucket of each delivery and write it into the job."
    )
    if (dips := float(fill.dips.sum() - fill.humps.sum())) > 0.02 * fill.total_settled:
        lines.append(f"Of that, {vol(dips)} runs into dips under the cells.")
    if fill.unsmoothed > 0.02 * fill.total_settled:
        lines.append(f"On ground left as surveyed the cells take {vol(fill.unsmoothed)} more.")
    return tuple(lines)


def _not_the_brim(fill: Fill, system: System) -> str:
    low, high = (units.show(float(a.mean()), "m.small", system) for a in (fill.lip, fill.uphill))
    top = math.degrees(float(fill.top_slope[fill.settled > 0].mean()))
    share = 100 * fill.total_settled / fill.brim
    return (
        f"Soil stands {low} deep at the downhill wall and {high} at the uphill wall; its top "
        f"falls {top:.0f}°. That is {share:.0f} % of the boxes to the brim "
        f"({units.show(fill.brim, 'm3', system)}): do not order by the box."
    )


def _mix(t: MixTotal, fill: Fill, system: System) -> list[str]:
    m = t.mix
    moist, full = (units.show(v, "kg/m3", system) for v in (m.loose_moist, m.saturated))
    parts = ", ".join(f"{100 * share:.4g} % {name}" for name, share in m.parts)
    return [
        f"{m.name} ({parts}): {plural(t.cells, 'cell')}, {units.show(t.ordered, 'm3', system)} to "
        f"order; {moist} in the bucket, {full} soaked in the cell; settles "
        f"{100 * m.settlement:.0f} %, waste {100 * fill.waste:.0f} %, mixing loses "
        f"{100 * m.mixing_loss:.0f} %."
    ]


def _order(fill: Fill, system: System) -> str:
    said = []
    for p in fill.parts:
        if p.bank:
            said.append(f"{p.name}: dig {units.show(p.bank, 'm3', system)} on the site")
        elif fill.supply == "bags":
            bag = units.show(fill.bag, "m3.small", system)
            said.append(f"{p.name}: {plural(p.bags, 'bag')} of {bag}")
        else:
            much, heavy = units.show(p.loose, "m3", system), units.show(p.mass, "kg", system)
            loads = plural(p.trucks, "load")
            said.append(f"{p.name}: {much} loose, {heavy}, {loads} (full by {p.full_by})")
    return "To order: " + "; ".join(said) + "."
