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


Block = Text | Table | Picture


@dataclass(frozen=True, slots=True, eq=False)
class RoomSheet:
    """One sheet; it goes over to further pages where its blocks need them."""

    title: str
    blocks: tuple[Block, ...]
    scale: str = ""  # that the title block says; an empty one stands for none


def set_from(sheet: RoomSheet, prefix: str) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """Give what the template sets a sheet from, and the pictures that it needs by name."""
    files: dict[str, bytes] = {}
    blocks = []
    for i, block in enumerate(sheet.blocks):
        if isinstance(block, Picture):
            name = f"{prefix}{i}.svg"
            files[name] = block.svg
            blocks.append(_picture(block, name))
        else:
            blocks.append(_text(block) if isinstance(block, Text) else _table(block))
    return blocks, files


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
