"""The list of a reader's papers, and who must be asked first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.sheets.blocks import Block, RoomSheet, Table, Text
from hillwright.sheets.documents import READERS, Document, Reader

if TYPE_CHECKING:
    from hillwright.plan import Plan


def listing(
    plan: Plan,
    reader: Reader,
    documents: tuple[Document, ...],
    numbers: dict[str, str],
    pages: dict[str, int],
) -> tuple[RoomSheet, ...]:
    """Give the list of one reader's papers with number, file, pages and use."""
    stopped = [a for a in plan.answers if a.verdict == "stop"]
    blocks: list[Block] = []
    if stopped:
        lines = tuple(f"{a.question} {a.short} {a.caution}" for a in stopped)
        heading = "STOP: nothing is to be built or ordered before those named here have cleared it"
        blocks.append(Text(heading, lines, listed=True, strong=True))
    rows = tuple(
        (
            numbers.get(d.place, "–"),
            d.title,
            d.name,
            str(pages[d.place]) if d.place in pages else "–",
            d.use,
        )
        for d in documents
    )
    head = ("sheet", "paper", "file", "pages", "what it is for")
    blocks.append(Table("What is here", head, rows, (3,), (0, 1, 0.8, 0, 2)))
    return (RoomSheet(READERS[reader], tuple(blocks)),)
