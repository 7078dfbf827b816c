"""What the owner gets: what grows where, what it costs, and how it is watered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.sheets.cover import cover_sheets
from hillwright.sheets.documents import Document, printed
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.price import price_sheets
from hillwright.sheets.upkeep import upkeep_sheets
from hillwright.sheets.watersheets import water_sheets

if TYPE_CHECKING:
    from hillwright.plan import Plan


def owner_papers(plan: Plan) -> tuple[Document, ...]:
    """Give the owner's papers in the order in which they are read."""
    cover = printed(
        "owner",
        "cover.pdf",
        "Your hill",
        "The hill in a picture, planted and grown, and what you get",
        cover_sheets(plan),
    )
    planting = printed(
        "owner",
        "planting.pdf",
        "The planting",
        "What grows in which cell, when it blooms and is picked",
        planting_sheets(plan),
    )
    watering = printed(
        "owner",
        "watering.pdf",
        "Watering through the year",
        "What to set at the controller, month by month; hang it beside the valves",
        water_sheets(plan),
    )
    upkeep = printed(
        "owner",
        "upkeep.pdf",
        "The years after",
        "What to do each month, how much of it, and why",
        upkeep_sheets(plan),
    )
    price = printed(
        "owner",
        "price.pdf",
        "Price and terms",
        "What it costs, when it is paid, how sure that is, and who else could build it",
        price_sheets(plan),
    )
    return cover, planting, price, watering, upkeep
