"""The owner's first page: the hill in perspective, and what they get."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.planting.season import said
from hillwright.sheets import figures, words
from hillwright.sheets.blocks import Block, Picture, RoomSheet, Text
from hillwright.sheets.perspective import MOST, picture
from hillwright.sheets.scale import paper_of
from hillwright.sheets.svg import svg
from hillwright.watering.words import month_name
from hillwright.wording import plural

if TYPE_CHECKING:
    from hillwright.plan import Plan

SHARE = 0.62  # of the page's height that the picture takes
HALF = 0.48  # of its width, for what stands side by side


def cover_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the cover; none where there is no cell."""
    if not len(plan.planting.use):
        return ()
    paper = paper_of(plan.opened.job)
    width, height = paper.inner_width, SHARE * paper.inner_height
    notes = [
        "Seen from below, a little from the side. Plants as simple shapes at the size that they "
        f"grow to, no more than {MOST} of each planting: a ball on a trunk is a tree, a ball a "
        "berry, a cup a vegetable, a cone a herb, a disc on a stalk a flower, a low dome ground "
        "cover. Light cells are walked on."
    ]
    if not plan.opened.job.north_known:
        notes.append("Where north is, the survey does not tell.")
    drawn = Picture(
        "The hill, planted and grown",
        svg(picture(plan, width, height), width, height).encode(),
        width,
        height,
        "Perspective of the hill with its cells and grown plants, seen from below",
        tuple(notes),
    )
    blocks: list[Block] = [drawn]
    if stops := words.stops(plan):
        blocks.append(Text("Not yet", tuple(stops), strong=True))
    blocks.append(Text("What you get", tuple(gets(plan)), listed=True, share=HALF))
    if taken := takes(plan):
        blocks.append(Text("What it takes", tuple(taken), listed=True, share=HALF))
    return (RoomSheet("Your hill", tuple(blocks), whole=True),)


def gets(plan: Plan) -> list[str]:
    """Say in a few lines what the owner gets."""
    system = plan.opened.job.units
    layout, planting, surface = plan.layout, plan.planting, plan.surface
    area = units.show(float(plan.fill.area.sum()), "m2", system)
    soil = units.show(plan.fill.total_settled, "m3", system)
    return [
        f"{plural(layout.count, 'cell')} in {plural(layout.rows, 'row')} on {area} of a slope of "
        f"{figures.slope(surface.slope_mean)}, filled with {soil} of soil.",
        f"{plural(planting.planted, 'planted cell')}, {plural(planting.walking, 'walking cell')} "
        "to reach them by.",
        *_plants(plan),
        *_rain(plan),
    ]


def takes(plan: Plan) -> list[str]:
    """Say in a few lines what water and work it takes."""
    found = _water(plan)
    work = plan.work
    if work.makespan and not work.stopped:
        hours = (
            f"{work.person_hours:,.0f} hours of {plural(len(work.crew.people), 'person', 'people')}"
        )
        found.append(f"{plural(work.days, 'working day')}, {hours}.")
    return found


def _plants(plan: Plan) -> list[str]:
    planting = plan.planting
    kinds: dict[str, int] = {}
    for k, plant in enumerate(planting.plants):
        if planting.count[k]:
            kinds[plant.kind] = kinds.get(plant.kind, 0) + int(planting.count[k])
    if not kinds:
        return []
    many = ", ".join(f"{n:,} {_NAMES[kind][n != 1]}" for kind, n in sorted(kinds.items()))
    months = [
        f"{what} in {_months(mask)}"
        for what, mask in (("Something flowers", planting.bloom), ("something is picked",
                           planting.harvest))
        if mask.any()
    ]  # fmt: skip
    first = min(planting.windows[k][0] for k in range(len(planting.plants)) if planting.count[k])
    said_months = f" {'; '.join(months)}." if months else ""
    return [f"Plants: {many}; the first to be planted from {said(first)}.{said_months}"]


_NAMES = {
    "tree": ("tree", "trees"),
    "berry": ("berry plant", "berry plants"),
    "vegetable": ("vegetable plant", "vegetable plants"),
    "herb": ("herb", "herbs"),
    "flower": ("flower", "flowers"),
    "cover": ("plant of ground cover", "plants of ground cover"),
}


def _months(mask: object) -> str:
    there = np.flatnonzero(np.asarray(mask)).tolist()
    if len(there) == 12:
        return "every month"
    return ", ".join(month_name(m)[:3] for m in there)


def _water(plan: Plan) -> list[str]:
    system, watering = plan.opened.job.units, plan.watering
    total = float(watering.program.volume.sum()) if watering.program.volume.size else 0.0
    if not total:
        return []
    year = units.show(total, "m3.garden", system)
    if not watering.allowance:
        return [f"Drip to every plant: {year} a year."]
    asked, most = (
        units.show(v, "m3.garden", system) for v in (watering.estimated, watering.allowance)
    )
    over = 100 * (watering.estimated / watering.allowance - 1)
    # the program's water and the worksheet's are two figures: each beside its own
    said = f"{over:.0f} % over" if over > 0 else "within it"
    return [
        f"Drip to every plant: {year} a year. By the worksheet of the water budget {asked} are "
        f"estimated and {most} allowed: {said}."
    ]


def _rain(plan: Plan) -> list[str]:
    states = {s.key: s for s in plan.runoff.states}
    bare, grown = states["bare"].loss[1], states["grown"].loss[1]
    if not bare:
        return []
    return [f"Soil that a mean year washes off, grown in: {100 * grown / bare:.0f} % of today's."]
