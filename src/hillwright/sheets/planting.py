"""The sheets of the planting: plan, list, rows, calendar, sun; readable in black and white."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hillwright.sheets.blocks import Block, RoomSheet, Text
from hillwright.sheets.plantcodes import plant_codes
from hillwright.sheets.plantpictures import plan_picture, sun_picture
from hillwright.sheets.planttables import (
    calendar,
    letters_table,
    plant_list,
    row_table,
    sun_table,
)
from hillwright.sheets.plantview import View, scale_said
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan


# keys of the job in brackets, as in "(planting.last_frost, first_frost)" or "([[wish]])"
_KEYS = re.compile(r" \((?:\[+[a-z_]+\]+|[a-z_]+\.[a-z_]+)(?:, [a-z_.]+)*\)")


def _said(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Give the answer's lines as owner and crew read them: no key of the job, no command."""
    return tuple(_KEYS.sub("", line) for line in lines if "`hillwright" not in line)


def planting_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets of the planting; none where there is no cell."""
    planting = plan.planting
    if not len(planting.use):
        return ()
    codes = plant_codes(planting)
    answer = next(a for a in plan.answers if a.number == 6)
    whole: list[Block] = [
        plan_picture(plan, codes),
        letters_table(planting, codes),
        Text("In short", (answer.short, *_said(answer.lines)), listed=True),
        Text("Before you buy and plant", (answer.caution,), strong=True),
    ]
    listed: list[Block] = [plant_list(plan, codes), row_table(plan, codes)]
    year: list[Block] = [calendar(planting, codes), sun_picture(plan), sun_table(planting)]
    if planting.unmet:
        system = plan.opened.job.units
        lines = tuple(in_units(f"{u.what}: {u.why}.", system) for u in planting.unmet)
        year.append(Text("Not as wished", lines, listed=True))
    sunny = View(plan, crowns=False)
    return (
        RoomSheet("Planting plan", tuple(whole), scale_said(plan, View(plan))),
        RoomSheet("Plant list and rows", tuple(listed)),
        RoomSheet("Planting calendar and sun", tuple(year), scale_said(plan, sunny)),
    )
