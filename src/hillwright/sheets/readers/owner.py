"""What the owner gets: what grows where, what it costs, and how it is watered."""

from __future__ import annotations

from hillwright.sheets.cover import cover_sheets
from hillwright.sheets.documents import Document, Drawn, printed
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.price import price_sheets
from hillwright.sheets.upkeep import upkeep_sheets
from hillwright.sheets.watersheets import water_sheets


def owner_papers(drawn: Drawn) -> tuple[Document, ...]:
    """Give the owner's papers in the order in which they are read."""
    plan = drawn.plan
    cover = printed(
        "owner",
        "cover.pdf",
        "Your hill",
        "The hill in a picture, planted and grown, and what you get",
        drawn,
        cover_sheets,
        len(plan.planting.use) > 0,
    )
    planting = printed(
        "owner",
        "planting.pdf",
        "The planting",
        "What grows in which cell, when it blooms and is picked",
        drawn,
        planting_sheets,
        len(plan.planting.use) > 0,
    )
    watering = printed(
        "owner",
        "watering.pdf",
        "Watering through the year",
        "What to set at the controller, month by month; hang it beside the valves",
        drawn,
        water_sheets,
        bool(plan.watering.valves.names),
    )
    upkeep = printed(
        "owner",
        "upkeep.pdf",
        "The years after",
        "What to do each month, how much of it, and why",
        drawn,
        upkeep_sheets,
        bool(plan.upkeep.chores),
    )
    price = printed(
        "owner",
        "price.pdf",
        "Price and terms",
        "What it costs, when it is paid, how sure that is, and who else could build it",
        drawn,
        price_sheets,
        plan.estimate.priced,
    )
    return cover, planting, price, watering, upkeep
