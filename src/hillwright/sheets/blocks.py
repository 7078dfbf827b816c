"""A sheet of words, tables and pictures that a room adds to the set: set by one fixed template."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Text:
    """Paragraphs, or a list of points under a heading."""

    heading: str
    lines: tuple[str, ...]
    listed: bool = False
    strong: bool = False
    share: float = 0.0  # of the page that it takes beside others; 0 all of it


@dataclass(frozen=True, slots=True)
class Table:
    """A table under a heading, with notes below it."""

    heading: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()  # columns that are set to the right
    widths: tuple[float, ...] = ()  # share of the free width for each column, 0 = as wide as needed
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A drawing under a heading."""

    heading: str
    svg: bytes
    width: float  # [mm]
    height: float  # [mm]
    alt: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Checks:
    """Points with a box to tick before each."""

    heading: str
    lines: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Form:
    """Fields to be filled in by hand: what each asks, and how many ruled lines it gets."""

    heading: str
    fields: tuple[tuple[str, int], ...]
    across: int = 2


Block = Text | Table | Picture | Checks | Form


@dataclass(frozen=True, slots=True, eq=False)
class RoomSheet:
    """Blocks under a title.

    Sheets of a paper flow on, one behind the other, on office pages; one that is ``alone`` begins
    a page. A picture that is wider than an office page gets a drawing sheet of its own, and the
    table behind it, which explains it, goes with it; where the sheet is ``whole`` all of it does.
    """

    title: str
    blocks: tuple[Block, ...]
    scale: str = ""  # that the title block says; an empty one stands for none
    alone: bool = False
    whole: bool = False


def set_blocks(
    blocks: tuple[Block, ...], prefix: str
) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """Give what the template sets blocks from, and the pictures that it needs by name."""
    files: dict[str, bytes] = {}
    found: list[dict[str, Any]] = []
    for i, block in enumerate(blocks):
        match block:
            case Picture():
                name = f"{prefix}{i}.svg"
                files[name] = block.svg
                found.append(_picture(block, name))
            case Text():
                found.append(_text(block))
            case Table():
                found.append(_table(block))
            case Checks():
                found.append(_filled("checks", block.heading, lines=list(block.lines)))
                found[-1]["notes"] = list(block.notes)
            case Form():
                fields = [list(f) for f in block.fields]
                found.append(_filled("form", block.heading, fields=fields, across=block.across))
    return found, files


def _filled(kind: str, heading: str, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "heading": heading, **more}


def section(title: str) -> dict[str, Any]:
    """Give the heading of a sheet that stands on a page with others."""
    return {"kind": "title", "heading": "", "text": title}


def _picture(block: Picture, name: str) -> dict[str, Any]:
    return {
        "kind": "picture",
        "heading": block.heading,
        "file": name,
        "width": block.width,
        "height": block.height,
        "alt": block.alt,
        "notes": list(block.notes),
    }


def _text(block: Text) -> dict[str, Any]:
    return {
        "kind": "text",
        "heading": block.heading,
        "lines": list(block.lines),
        "listed": block.listed,
        "strong": block.strong,
        "share": block.share,
    }


def _table(block: Table) -> dict[str, Any]:
    return {
        "kind": "table",
        "heading": block.heading,
        "head": list(block.head),
        "rows": [list(row) for row in block.rows],
        "right": list(block.numbers),
        "widths": list(block.widths) or [0.0] * len(block.head),
        "notes": list(block.notes),
    }
