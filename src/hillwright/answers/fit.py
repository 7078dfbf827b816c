"""Question 2: cells and rows inside the strings."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.answers.safe import COVERED
from hillwright.layout.model import Layout
from hillwright.rooms import Rooms
from hillwright.wording import in_units, plural


def fit(rooms: Rooms) -> Answer:
    """Say how the grid lies inside the strings."""
    system, surface, layout = rooms.job.units, rooms.surface, rooms.layout
    lines = [f"Row 1 hangs on {in_units(layout.top, system)}.", *_proof(layout)]
    if "off the contour" not in layout.top:
        lines[0] += f" The rows lie {math.degrees(layout.tilt):.1f}° off the contour."
    if anchored := int(rooms.stability.anchoring.hangs.sum()):
        hang = plural(anchored, "cell hangs from its", "cells hang from their")
        lines.append(f"{hang} own anchors or stakes: the plan shows each.")
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
    guessed = surface.covered < COVERED
    if guessed:
        lines.append(
            "Part of the outline lies outside the survey: cells there lie on guessed ground."
        )
    flawed = guessed or layout.warnings or layout.seams or not layout.count
    verdict: Verdict = "with measures" if flawed else "clear"
    return Answer(2, QUESTIONS[1], short, verdict, tuple(lines), tuple(figures))


def _proof(layout: Layout) -> tuple[str, ...]:
    more = layout.bound - layout.fitted
    laid = "the rows hold" if layout.all_rows else "are laid"
    proven = (
        f"Proven: with rows in this direction no more than {layout.bound:,} whole cells fit, "
        f"{f'{more:,} more than {laid}' if more else f'as many as {laid}'}."
    )
    if layout.all_rows:
        fewer = f"{plural(layout.rows, 'row')} from the top string"
        proven += (
            f" That is with all rows, {layout.all_rows:,} cells; {fewer}, as the job asks "
            f"(layout.max_rows), leave {layout.count:,}."
        )
    tried = f"{layout.searched:,} placings were tried"
    return (
        proven,
        f"{tried}; by its area alone the ground could hold {layout.area_bound:,} at most, in any "
        "direction.",
    )
