"""The ten questions and what the plan can answer so far, in words for people."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from hillwright import units
from hillwright.data import table
from hillwright.estimate.model import Takeoff
from hillwright.job.model import Job
from hillwright.layout.model import Layout, SetOut
from hillwright.terrain.model import Surface

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
    3: (
        "Not worked out. Order nothing before a licensed geotechnical engineer, or a room of this "
        "program that does not exist yet, has looked at sliding, anchors and stakes."
    ),
    4: "Not worked out. Watch the next rain: where does water come from above, where does it leave?",
    6: "Not worked out. Every cell counts as planted until you choose.",
    7: "Not worked out.",
    8: "Not worked out.",
}


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
        1: _safe(job, surface),
        2: _fit(job, layout),
        5: _soil(job, layout),
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


def _safe(job: Job, surface: Surface) -> Answer:
    def show(value: float, tag: str) -> str:
        return units.show(value, tag, job.units)

    verdict: Verdict = "with measures"
    short = f"Mean slope {slope_text(surface.slope_mean)}. Stability is not worked out yet."
    caution = "No figure here says that the hill holds. Local code and licensed practice decide."
    for limit in table("slope_limits")["limit"]:
        if surface.slope_mean > units.slope(limit["ratio"]):
            verdict = limit["verdict"]
            short = f"Mean slope {slope_text(surface.slope_mean)}: {limit['why']}."
            caution = f"Ask {limit['who']} before anyone orders a cell. Source: {limit['source']}."
            break
    lines = [
        f"Steepest place of a cell's size: {slope_text(surface.slope_steepest)}.",
        f"Faces {_compass(surface.aspect)}; {show(surface.plan_area, 'm2')} in plan, "
        f"{show(surface.slope_area, 'm2')} on the ground.",
        f"The surface is known to ±{show(surface.rmse, 'm.small')} (cross-validated); "
        f"{surface.covered:.0%} of the outline lies inside the survey.",
    ]
    if surface.spots:
        lines.append(
            f"Smooth first: {len(surface.spots)} spots, {show(surface.trim, 'm3')} to trim and "
            f"{show(surface.fill, 'm3')} to fill; the rest may stay as it is."
        )
        for spot in surface.spots[:5]:
            kind = "hump" if spot.trim > spot.fill else "dip"
            lines.append(
                f"  spot {spot.number}: {kind} of {show(spot.depth, 'm.small')} "
                f"at {show(spot.x, 'm')}, {show(spot.y, 'm')}"
            )
    else:
        lines.append("Nothing to smooth: every cell's base lies within its tolerance.")
    return Answer(
        1,
        QUESTIONS[0],
        short,
        verdict,
        tuple(lines),
        ("terrain.slope.mean", "terrain.slope.steepest", "terrain.area.slope", "terrain.error"),
        caution,
    )


def _fit(job: Job, layout: Layout) -> Answer:
    gap = layout.bound - layout.count
    proof = (
        "no placing with rows in this direction holds more"
        if gap == 0
        else f"at most {gap} more could fit with rows in this direction"
    )
    anchored = int(layout.anchored.sum())
    lines = [
        f"Row 1 hangs on {layout.top}; the rows lie {math.degrees(layout.tilt):.1f}° off the contour.",
        f"{proof.capitalize()} (proven bound {layout.bound}; by area alone, any direction, "
        f"{layout.area_bound}). {layout.searched:,} placings tried.",
        f"{anchored} cells hang from anchors of their own; anchor size and depth are not worked "
        "out yet.",
    ]
    if layout.count:
        lines.append(
            f"Worst cell: {math.degrees(float(layout.shear.max())):.1f}° off square, corner "
            f"{units.show(float(layout.twist.max()), 'm.small', job.units)} off, "
            f"{units.show(float(layout.gap.max()), 'm.small', job.units)} void under the base."
        )
    lines += [f"Seam: {seam.why}." for seam in layout.seams]
    if layout.left_out:
        lines.append(f"{len(layout.left_out)} cells that would fit are left out; see the sheet.")
    panels = int(layout.panel.max(initial=0))
    short = f"{layout.count} whole cells in {layout.rows} rows"
    short += f", in {panels} panels." if panels > 1 else "."
    flawed = layout.warnings or layout.seams or not layout.count
    return Answer(
        2,
        QUESTIONS[1],
        short,
        "with measures" if flawed else "clear",
        tuple(lines),
        ("layout.count", "layout.bound", "layout.shear", "layout.gap"),
    )


def _soil(job: Job, layout: Layout) -> Answer:
    boxes = layout.count * layout.cell.width * layout.cell.run * layout.cell.depth
    return Answer(
        5,
        QUESTIONS[4],
        f"Not worked out. The boxes alone hold {units.show(boxes, 'm3', job.units)} to the brim; "
        "do not order by it.",
        "not yet",
    )


def _cost(takeoff: Takeoff) -> Answer:
    lines = tuple(f"{line.count} {line.unit} {line.item}" for line in takeoff.lines)
    return Answer(
        9,
        QUESTIONS[8],
        "Counted, not priced yet.",
        "not yet",
        lines,
        tuple(w.figure for w in takeoff.workings),
    )


def _papers(setout: SetOut) -> Answer:
    return Answer(
        10,
        QUESTIONS[9],
        f"A set-out sheet with {len(setout.row)} lines and {len(setout.stake_name)} stakes; the "
        "other papers and the calendar are not made yet.",
        "with measures",
        ("`hillwright sheets JOB` writes the set.",),
    )


def _compass(bearing: float) -> str:
    if math.isnan(bearing):
        return "no way (level)"
    names = (
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    )
    degrees = math.degrees(bearing) % 360
    return f"{names[round(degrees / 45) % 8]} ({degrees:.0f}°)"
