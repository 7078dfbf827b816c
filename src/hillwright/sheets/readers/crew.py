"""What the crew builds from."""

from __future__ import annotations

from hillwright.sheets.anchors import anchor_sheets
from hillwright.sheets.builtform import built_sheets
from hillwright.sheets.crew import crew_sheets, day_sheets
from hillwright.sheets.documents import Document, Drawn, printed
from hillwright.sheets.drip import drip_sheets
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.rowcards import row_cards
from hillwright.sheets.safety import safety_sheets, smoothing_sheets
from hillwright.sheets.setout import setout_sheets
from hillwright.sheets.soil import soil_sheets


def crew_papers(drawn: Drawn) -> tuple[Document, ...]:
    """Give the crew's papers in the order of the work."""
    plan = drawn.plan
    cells, work, drip = len(plan.layout.row) > 0, plan.work, plan.irrigation
    makers = (
        (
            "safety.pdf",
            "Site and safety",
            "Hang it on the site: stops, emergency box, notice to the utilities, checklists",
            safety_sheets,
            True,
        ),
        (
            "smoothing.pdf",
            "Smoothing",
            "What to trim and fill before cells are laid, and what the plan warns of",
            smoothing_sheets,
            True,
        ),
        (
            "set-out.pdf",
            "Set-out",
            "Plan, section and row schedule: where every row and stake goes",
            setout_sheets,
            True,
        ),
        (
            "row-cards.pdf",
            "Row cards",
            "One card a row, to carry up the hill: stakes, cells, clips, bars, fill, plants, drip",
            row_cards,
            cells,
        ),
        (
            "anchors.pdf",
            "Anchor and stake plan",
            "Every bar that cells hang from: where, how many, how deep, which test first",
            anchor_sheets,
            len(plan.stability.anchoring.place) > 0,
        ),
        (
            "soil.pdf",
            "Lifts and soil",
            "Which mix goes where, how much of it, and how rows and soil get up the hill",
            soil_sheets,
            bool(plan.fill.totals),
        ),
        (
            "work.pdf",
            "Work plan",
            "The chart of the work and its tasks",
            crew_sheets,
            bool(work.makespan or work.stopped),
        ),
        (
            "days.pdf",
            "Day sheets",
            "What is done on each day, and by each person",
            day_sheets,
            bool(work.makespan and not work.stopped),
        ),
        (
            "planting.pdf",
            "Planting plan",
            "Which plant goes in which cell, row by row",
            planting_sheets,
            len(plan.planting.use) > 0,
        ),
        (
            "drip.pdf",
            "Irrigation plan and punching list",
            "Where lines, valves and emitters go, and what each gauge should read",
            drip_sheets,
            bool(drip.valves or drip.refused),
        ),
        (
            "as-built.pdf",
            "What was really built",
            "A form to fill in on the hill: cells, bars and their tests, soil, hours, emitters",
            built_sheets,
            cells,
        ),
    )
    return tuple(
        printed("crew", name, title, use, drawn, draw, there)
        for name, title, use, draw, there in makers
    )
