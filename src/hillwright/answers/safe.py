"""Question 1: the slope, the site and what to smooth."""

from __future__ import annotations

import math
from typing import Any

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.data import table
from hillwright.job.model import Job
from hillwright.layout.model import Layout
from hillwright.rooms import Rooms
from hillwright.stability.model import Reason
from hillwright.stability.thresholds import stop_reasons
from hillwright.terrain.model import Surface
from hillwright.units import System
from hillwright.wording import plural

_NAMED = 5  # spots told one by one


def safe(rooms: Rooms) -> Answer:
    """Say whether the slope may be built on, and what must be smoothed first."""
    job, surface, layout = rooms.job, rooms.surface, rooms.layout
    system, site = job.units, stop_reasons(job.checklist.model_dump())
    mean, place = surface.slope_mean, surface.slope_steepest
    verdict: Verdict = "with measures"
    short = f"Mean slope {slope_text(mean)}. Stability is not worked out yet."
    caution = "No figure here says that the hill holds. Local code and licensed practice decide."
    if limit := _limit(mean):
        verdict = limit["verdict"]
        short = f"Mean slope {slope_text(mean)}: {limit['why']}."
        caution = f"Ask {limit['who']} before anyone orders a cell. Source: {limit['source']}."
    if any(reason.verdict == "stop" for reason in site) and verdict != "stop":
        verdict = "stop"
        short = f"The site itself says stop. {short}"
    steepest = f"Steepest place of a cell's size: {slope_text(place)}"
    if (there := _limit(place)) and there != limit:  # a mean must not hide a steep place
        steepest += f", {there['why']}; show it to {there['who']}"
    plan, true = (units.show(a, "m2", system) for a in (surface.plan_area, surface.slope_area))
    error = units.show(surface.rmse, "m.small", system)
    covered = units.show(surface.covered, "%", system)
    lines = (
        f"{steepest}.",
        f"Faces {_facing(job, surface)}; {plan} in plan, {true} on the ground.",
        _bends(system, surface),
        f"Heights between the surveyed points are good to about {error} (each point left out in "
        f"turn and worked out from the rest). The survey covers {covered} of the outline.",
        *_smooth(system, surface, layout),
        *_seen(site),
    )
    figures = (
        "slope.mean",
        "slope.steepest",
        "aspect",
        "curvature",
        "area.slope",
        "error",
        "covered",
    )
    named = tuple(f"terrain.{figure}" for figure in figures)
    return Answer(1, QUESTIONS[0], short, verdict, lines, named, caution)


def slope_text(slope: float) -> str:
    """Write a slope the three ways it is read on site: degrees, percent and H:V."""
    ratio = f"{1 / math.tan(slope):.2f}H:1V" if slope > 1e-3 else "level"
    return f"{math.degrees(slope):.1f}° ({100 * math.tan(slope):.0f} %, {ratio})"


def _limit(slope: float) -> dict[str, Any]:
    """Give the row of the steepest limit that a slope is steeper than, or an empty one."""
    limits: list[dict[str, Any]] = table("slope_limits")["limit"]
    return next((row for row in limits if slope > units.slope(row["ratio"])), {})


def _seen(site: tuple[Reason, ...]) -> tuple[str, ...]:
    """Say what was seen on the site, or not looked for, and who must be asked of it."""
    asked: dict[tuple[str, str], list[str]] = {}
    for reason in site:
        asked.setdefault((reason.verdict, reason.who), []).append(reason.condition)
    return tuple(
        f"{'Stop' if verdict == 'stop' else 'Mind'}: {'; '.join(found)}. Ask {who}."
        for (verdict, who), found in asked.items()
    )


def _bends(system: System, surface: Surface) -> str:
    """Say how sharply the ground bends under the cells, as a radius that can be pictured."""
    if abs(surface.bend) < 1e-3:
        return "The ground bends no more than a circle of a kilometre's radius."
    way = "along the rows" if surface.bend_along_row else "down the slope"
    shape = "hump" if surface.bend > 0 else "hollow"
    radius = units.show(1 / abs(surface.bend), "m", system)
    return f"Its sharpest {shape} bends {way} with a radius of {radius}."


def _smooth(system: System, surface: Surface, layout: Layout) -> tuple[str, ...]:
    most = layout.cell.max_gap
    bridged = units.show(most, "m.small", system)
    off = int(((layout.gap > most) | (layout.hump > most)).sum())
    seated = f"{plural(off, 'cell')} as laid would be more than {bridged} off the ground"
    if not surface.spots and not off:
        return (f"Nothing to smooth: no dip or hump is larger than a cell bridges ({bridged}).",)
    if not surface.spots:
        return (f"No spot to smooth first, but {seated}: fill or trim under each.",)
    trim, fill = (units.show(v, "m3", system) for v in (surface.trim, surface.fill))
    lines = [f"Smooth first {plural(len(surface.spots), 'spot')}: {trim} to trim, {fill} to fill."]
    for spot in surface.spots[:_NAMED]:
        kind = "hump" if spot.trim > spot.fill else "dip"
        depth, area = units.show(spot.depth, "m.small", system), units.show(spot.area, "m2", system)
        lines.append(f"  spot {spot.number}: {kind} of {depth} over {area}")
    more = f"{len(surface.spots) - _NAMED} more; " if len(surface.spots) > _NAMED else ""
    lines.append(f"  {more}the sheets say where they lie")
    return (*lines, f"Until then {seated}.") if off else tuple(lines)


_POINTS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)


def _facing(job: Job, surface: Surface) -> str:
    if job.north_known or math.isnan(surface.aspect):
        return _compass(surface.aspect)
    degrees = round(math.degrees(surface.aspect)) % 360
    return (
        f"{degrees}° clockwise of straight across the base line to its left "
        "(base_line.bearing would give the compass)"
    )


def _compass(bearing: float) -> str:
    if math.isnan(bearing):
        return "no way (level)"
    degrees = round(math.degrees(bearing)) % 360
    return f"{_POINTS[round(degrees / 45) % 8]} ({degrees}°)"
