"""What the inspector and the plan checker check."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.sheets.blocks import RoomSheet
from hillwright.sheets.book import book_sheets
from hillwright.sheets.documents import Document, Drawn, printed
from hillwright.sheets.drip import drip_sheets
from hillwright.sheets.hold import hold_sheet
from hillwright.sheets.pages import Sheet
from hillwright.sheets.rain import rain_sheet
from hillwright.sheets.setout import section_page
from hillwright.sheets.watersheets import water_sheets

if TYPE_CHECKING:
    from hillwright.plan import Plan


def inspector_papers(drawn: Drawn) -> tuple[Document, ...]:
    """Give what a checker asks for, in the order of the questions."""
    plan = drawn.plan
    book = printed(
        "inspector",
        "calculations.pdf",
        "Calculation book",
        "Each figure: equation, numbers, result, source, where it holds; with an index",
        drawn,
        book_sheets,
        bool(plan.workings),
    )
    stability = printed(
        "inspector",
        "stability.pdf",
        "What holds the hill",
        "Every check with demand, capacity, factor and source; the slip circle",
        drawn,
        _stability,
    )
    drainage = printed(
        "inspector",
        "drainage.pdf",
        "Where the rain goes",
        "The storm on the hill before and after, soil loss, drains",
        drawn,
        _drainage,
    )
    water = printed(
        "inspector",
        "water.pdf",
        "Water demand and budget",
        "Program, season, and the worksheet of the water budget",
        drawn,
        water_sheets,
        bool(plan.watering.valves.names),
    )
    drip = printed(
        "inspector",
        "irrigation.pdf",
        "Irrigation plan",
        "Lines, valves, pressures and losses",
        drawn,
        drip_sheets,
        bool(plan.irrigation.valves or plan.irrigation.refused),
    )
    return book, stability, drainage, water, drip


def _stability(plan: Plan) -> tuple[Sheet, ...]:
    return (hold_sheet(plan), section_page(plan))


def _drainage(plan: Plan) -> tuple[RoomSheet, ...]:
    return (rain_sheet(plan),)
