"""What the crew builds from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.sheets.builtform import built_sheets
from hillwright.sheets.crew import crew_sheets
from hillwright.sheets.documents import Document, printed
from hillwright.sheets.drip import drip_sheets
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.setout import setout_sheets
from hillwright.sheets.soil import soil_sheets

if TYPE_CHECKING:
    from hillwright.plan import Plan


def crew_papers(plan: Plan) -> tuple[Document, ...]:
    """Give the crew's papers in the order of the work."""
    setout = printed(
        "crew",
        "set-out.pdf",
        "Set-out",
        "Plan, section and row schedule: where every row, bar and stake goes",
        setout_sheets(plan),
    )
    soil = printed(
        "crew",
        "soil.pdf",
        "Soil and lifts",
        "Which mix goes where, how much of it, and how it gets up the hill",
        soil_sheets(plan),
    )
    work = printed(
        "crew",
        "work.pdf",
        "Work plan and day sheets",
        "What is done when and by whom; a sheet for each person",
        crew_sheets(plan),
    )
    planting = printed(
        "crew",
        "planting.pdf",
        "Planting plan",
        "Which plant goes in which cell, row by row",
        planting_sheets(plan),
    )
    drip = printed(
        "crew",
        "drip.pdf",
        "Irrigation plan and punching list",
        "Where lines, valves and emitters go, and what each gauge should read",
        drip_sheets(plan),
    )
    built = printed(
        "crew",
        "as-built.pdf",
        "What was really built",
        "A form to fill in on the hill: cells, bars and their tests, soil, hours, emitters",
        built_sheets(plan),
    )
    return setout, soil, work, planting, drip, built
