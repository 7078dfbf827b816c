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
from hillwright.stability.model import Reason, Stability
from hillwright.terrain.model import Surface
from hillwright.units import System
from hillwright.wording import factor_text, in_units, plural

_NAMED = 5  # spots told one by one
COVERED = 0.999  # share of the outline that the survey covers; less is not rounding


def safe(rooms: Rooms) -> Answer:
    """Say whether the slope may be built on, and what must be smoothed first."""
    job, surface, layout = rooms.job, rooms.surface, rooms.layout
    system, found = job.units, rooms.stability
    mean, place = surface.slope_mean, surface.slope_steepest
    limit, there = _limit(mean), _limit(place)
    own: list[Verdict] = [limit["verdict"]] if limit else []
    if there:  # somebody is to look at that place
        own.append("with measures")
    verdict = _gravest((*own, found.hill_verdict, *_to_do(surface)))
    short = f"Mean slope {slope_text(mean)}{': ' + limit['why'] if limit else ''}."
    caution = "No figure here says that the hill holds. Local code and licensed practice decide."
    if limit:
        caution = f"Ask {limit['who']} before anyone orders a cell. Source: {limit['source']}."
    stops = [
        r
        for r in (*found.hill, *found.site)
        # the slope's own limit is told with the slope
        if r.verdict == "stop" and not (limit and r.condition.endswith(limit["why"]))
    ]
    if stops:
        says = "The hill itself" if stops[0] in found.hill else "The site"
        short = f"{says} says stop: {in_units(stops[0].condition, system)}. {short}"
        caution = f"Ask {stops[0].who} before anyone orders a cell. Source: {stops[0].source}."
    steepest = f"Steepest place of a cell's size: {slope_text(place)}"
    if there and there != limit:  # a mean must not hide a steep place
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
        *_strength(found, system),
        *_seen((*found.hill, *found.site), system),
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
    named = (*(f"terrain.{figure}" for figure in figures), *_factors(found))
    return Answer(1, QUESTIONS[0], short, verdict, lines, named, caution)


def slope_text(slope: float) -> str:
    """Write a slope the three ways it is read on site: degrees, percent and H:V."""
    ratio = f"{1 / math.tan(slope):.2f}H:1V" if slope > 1e-3 else "level"
    return f"{math.degrees(slope):.1f}° ({100 * math.tan(slope):.0f} %, {ratio})"


def _limit(slope: float) -> dict[str, Any]:
    """Give the row of the steepest limit that a slope is steeper than, or an empty one."""
    limits: list[dict[str, Any]] = table("slope_limits")["limit"]
    return next((row for row in limits if slope > units.slope(row["ratio"])), {})


def _gravest(verdicts: tuple[Verdict, ...]) -> Verdict:
    order: tuple[Verdict, ...] = ("stop", "with measures")
    return next((v for v in order if v in verdicts), "clear")


def _to_do(surface: Surface) -> tuple[Verdict, ...]:
    """Say whether something must be smoothed, or surveyed, before the slope is built on."""
    whole = surface.covered >= COVERED and not surface.spots
    return () if whole else ("with measures",)


def _strength(found: Stability, system: System) -> tuple[str, ...]:
    """Say what the soil is taken as, and what its strength gives."""
    soil = found.soil or "not said; drawn as loose fine sand"
    m, i = found.map, found.map.weakest
    depth = units.show(found.depth, "m", system)
    known = "" if found.depth_known else ", which nobody has dug to see"
    wet = "" if found.soaked > 0.999 else f" (water in {100 * found.soaked:.0f} % of it)"
    as_found, bare, loaded = (
        factor_text(float(each.min())) for each in (m.bare[0], m.bare[1], m.filled[1])
    )
    lines = [
        f"Soil: {soil}. A layer {depth} deep{known} has a factor of safety of {as_found} bare as "
        f"found, {bare} bare and soaked{wet}, {loaded} soaked with cells (1.5 must be there)."
    ]
    soaked = [c for c in found.circles if c.loaded]
    if soaked:
        firm = f", none deeper than {depth}, where the firm ground begins" * found.depth_known
        worst = soaked[0]
        both = ", ".join(
            f"{method.capitalize()} {factor_text(float(factor))}"
            for method, factor in zip(worst.methods, worst.factors, strict=True)
        )
        sections = plural(len({c.name for c in soaked}), "section")
        lines.append(
            f"Slip circles on {sections}, soaked with cells: the least is "
            f"{factor_text(worst.factor)} on section {worst.name} ({both}; 1.5 must be there)"
            f"{firm}."
        )
    spread = " / ".join(factor_text(float(each[i])) for each in (m.p10, m.p50, m.p90))
    chance, first = (_chance(v, system) for v in (float(m.chance[i]), found.first_order))
    lines.append(
        f"At the weakest place, soaked: factor {spread} (P10 / P50 / P90 over the soil's ranges); "
        f"chance that it is below 1: {chance} sampled, {first} first-order."
    )
    gain = float(m.rooted[i] - m.filled[1, i])
    if gain > 0.005:
        kind = f"Grown roots of {found.root_kind}, if such are planted,"
        lines.append(f"{kind} may add {gain:.2f} to that factor one day: never counted.")
    return tuple(lines)


def _chance(chance: float, system: System) -> str:
    """Write a chance; less than a thousandth cannot be told from what ranges of a soil say."""
    return "under 0.1 %" if chance < 1e-3 else units.show(chance, "%", system)


def _factors(found: Stability) -> tuple[str, ...]:
    """Name the working of each factor that the lines tell."""
    worst = next((c for c in found.circles if c.loaded), None)
    circle: tuple[str, ...] = ()
    if worst is not None:
        named = f"stability.circle.{worst.name}.{worst.state.replace(', with ', '-')}"
        circle = tuple(w.figure for w in found.workings if w.figure.startswith(named))
    layer = ("bare.found", "bare.soaked", "cells.soaked", "p10", "p50", "p90", "chance")
    return (*(f"stability.slope.{name}" for name in layer), *circle)


def _seen(reasons: tuple[Reason, ...], system: System) -> tuple[str, ...]:
    """Say what was found in the hill or seen on the site, and who must be asked of it."""
    asked: dict[tuple[str, str], list[str]] = {}
    for reason in reasons:
        said = in_units(reason.condition, system)
        asked.setdefault((reason.verdict, reason.who), []).append(said)
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
