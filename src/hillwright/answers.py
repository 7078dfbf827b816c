"""The ten questions and what the plan can answer so far, in words for people."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from hillwright import units
from hillwright.data import table
from hillwright.estimate.model import Takeoff
from hillwright.job.model import Job
from hillwright.layout.model import Layout, SetOut
from hillwright.stability.model import Reason
from hillwright.stability.thresholds import stop_reasons
from hillwright.terrain.model import Surface
from hillwright.units import System
from hillwright.wording import in_units, plural

Verdict = Literal["clear", "with measures", "stop", "not yet"]

QUESTIONS = (
    "Is this slope safe to build on, and what must be smoothed first?",
    "How does the grid fit inside the strings: which cells, which rows, where does each anchor go?",
    "Will it stay there, dry and soaked, empty and full?",
    "Where does the rain go now, where will it go, and how much soil stops leaving?",
    "How much soil of which mix, and how does it get up the hill?",
    "What goes in which cell?",
    "How does every plant get its own share of water, and when does the valve open?",
    "How many hands, how many days, in what order, and is anyone asked to lift too much?",
    "What does it cost, what is the price, how sure are we?",
    "Who gets which paper, and what must be done in the years after?",
)

_NOT_YET = {
    3: "Not worked out. Order nothing before a licensed geotechnical engineer has looked at "
    "sliding, anchors and stakes.",
    4: "Not worked out. Watch the next rain: where does water come in from above, and where does "
    "it leave?",
    6: "Not worked out. No cell has a plant yet.",
    7: "Not worked out. No water line, emitter or valve is chosen yet.",
    8: "Not worked out. Hours, days and what each person lifts are yours to plan.",
}
_NAMED = 5  # spots told one by one
_COVERED = 0.999  # share of the outline that the survey covers; less is not rounding


@dataclass(frozen=True, slots=True)
class Answer:
    """One of the ten questions and its answer so far."""

    number: int
    question: str
    short: str
    verdict: Verdict
    lines: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()  # that `hillwright why` explains
    caution: str = ""


def answers(
    job: Job, surface: Surface, layout: Layout, setout: SetOut, takeoff: Takeoff
) -> tuple[Answer, ...]:
    """Answer the ten questions as far as the plan goes; one without an answer says so."""
    known = {
        1: _safe(job, surface, layout),
        2: _fit(job.units, surface, layout),
        5: _soil(job.units, layout),
        9: _cost(takeoff),
        10: _papers(setout),
    }
    return tuple(
        known.get(n) or Answer(n, question, _NOT_YET[n], "not yet")
        for n, question in enumerate(QUESTIONS, 1)
    )


def slope_text(slope: float) -> str:
    """Write a slope the three ways it is read on site: degrees, percent and H:V."""
    ratio = f"{1 / math.tan(slope):.2f}H:1V" if slope > 1e-3 else "level"
    return f"{math.degrees(slope):.1f}° ({100 * math.tan(slope):.0f} %, {ratio})"


def _limit(slope: float) -> dict[str, Any]:
    """Give the row of the steepest limit that a slope is steeper than, or an empty one."""
    limits: list[dict[str, Any]] = table("slope_limits")["limit"]
    return next((row for row in limits if slope > units.slope(row["ratio"])), {})


def _safe(job: Job, surface: Surface, layout: Layout) -> Answer:
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


def _fit(system: System, surface: Surface, layout: Layout) -> Answer:
    lines = [f"Row 1 hangs on {in_units(layout.top, system)}.", *_proof(layout)]
    if "off the contour" not in layout.top:
        lines[0] += f" The rows lie {math.degrees(layout.tilt):.1f}° off the contour."
    if anchored := int(layout.anchored.sum()):
        hang = plural(anchored, "cell hangs from its", "cells hang from their")
        lines.append(f"{hang} own anchors; anchor size and depth are not worked out yet.")
    figures = ["layout.count", "layout.bound"]
    if len(layout.row):
        corner, void = (
            units.show(float(each.max()), "m.small", system) for each in (layout.twist, layout.gap)
        )
        lines.append(
            f"Worst of all cells: {math.degrees(float(layout.shear.max())):.1f}° off square; a "
            f"corner {corner} off the plane of the others; {void} void under the base."
        )
        figures += ["layout.shear", "layout.twist", "layout.gap"]
    for why in dict.fromkeys(seam.why for seam in layout.seams):
        cut = plural(sum(seam.why == why for seam in layout.seams), "seam")
        lines.append(f"{cut}: {in_units(why, system)}.")
    if out := len(layout.left_out):
        fit = plural(out, "more whole cell fits", "more whole cells fit")
        lines.append(f"{fit} inside the strings, left out; the sheets say why.")
    panels = int(layout.panel.max(initial=0))
    short = f"{plural(layout.count, 'whole cell')} in {plural(layout.rows, 'row')}"
    short += f", in {panels} panels." if panels > 1 else "."
    guessed = surface.covered < _COVERED
    if guessed:
        lines.append(
            "Part of the outline lies outside the survey: cells there lie on guessed ground."
        )
    flawed = guessed or layout.warnings or layout.seams or not layout.count
    verdict: Verdict = "with measures" if flawed else "clear"
    return Answer(2, QUESTIONS[1], short, verdict, tuple(lines), tuple(figures))


def _proof(layout: Layout) -> tuple[str, ...]:
    more = layout.bound - layout.count
    proven = (
        f"Proven: with rows in this direction no more than {layout.bound:,} whole cells fit, "
        f"{f'{more:,} more than are laid' if more else 'as many as are laid'}."
    )
    tried = f"{layout.searched:,} placings were tried"
    return (
        proven,
        f"{tried}; by its area alone the ground could hold {layout.area_bound:,} at most, in any "
        "direction.",
    )


def _soil(system: System, layout: Layout) -> Answer:
    cell = layout.cell
    boxes = units.show(layout.count * cell.width * cell.run * cell.depth, "m3", system)
    short = f"Not worked out. The boxes alone hold {boxes} to the brim; do not order by it."
    return Answer(5, QUESTIONS[4], short, "not yet")


def _cost(takeoff: Takeoff) -> Answer:
    lines = []
    for line in takeoff.lines:
        unit = "" if line.unit == "each" else f" {line.unit}"
        note = f" ({line.note})" if line.note else ""
        lines.append(f"{line.item}: {line.count:,}{unit}{note}")
    # what there is to order; how long the edges are stands in the list of all figures
    figures = tuple(w.figure for w in takeoff.workings if not w.figure.endswith(".length"))
    return Answer(9, QUESTIONS[8], "Counted, not priced yet.", "not yet", tuple(lines), figures)


def _papers(setout: SetOut) -> Answer:
    held = f"{plural(len(setout.row), 'line')} and {plural(len(setout.stake_name), 'stake')}"
    short = f"A set-out with {held}; the other papers and the calendar are not made yet."
    lines = ("`hillwright sheets JOB` writes the sheets.",)
    return Answer(10, QUESTIONS[9], short, "with measures", lines)


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
