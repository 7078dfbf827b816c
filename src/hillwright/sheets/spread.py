"""How blocks are spread over a page: measured here, so that the template need not set them twice.

The template would find the same by setting each table to look at it, and then again where it goes;
that took three quarters of the time of all papers. What is told here is left to nobody's guess: a
width or a height that is not told is found by the template itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from hillwright.sheets.fonts import cap_height, has_letters, set_width

POINT = 25.4 / 72  # [mm]
ACROSS, DOWN = 1.1, 0.75  # kept free left and right, above and below in each cell of a table [mm]
HEAD = 0.92  # lettering of a table's head, of the table's
HEADING = 1.12  # lettering of a block's heading, of the page's
BESIDE = 8.0  # between blocks side by side [mm]
BETWEEN = 6.0  # between the parts of one table side by side [mm]
NARROW = 0.7  # a block wider than this share of the page stands alone
TORN = 90.0  # a table that is surely no higher than this is not torn over two pages [mm]
SLACK = 0.001  # that a column is wider than its widest text [mm]


def spread(blocks: Sequence[dict[str, Any]], paper: dict[str, Any]) -> list[list[dict[str, Any]]]:
    """Give the blocks of a page, line by line: those that are narrow stand side by side.

    Each is a block as the template sets it, with its ``room`` [mm]; a table with its ``parts``:
    from which row to which, the widths of its columns [mm] and the heights of its rows [mm], or
    none where the template has to find them.
    """
    room = float(paper["width"] - 2 * paper["margin"])
    lines: list[list[tuple[dict[str, Any], float]]] = []
    free = 0.0  # beside the blocks of the last line
    for block in blocks:
        wide = _natural(block, paper, room)
        narrow = wide < NARROW * room
        if narrow and lines and BESIDE + wide <= free:
            lines[-1].append((block, wide))
            free -= BESIDE + wide
        else:
            lines.append([(block, wide)])
            free = room - wide if narrow else 0.0
    return [
        [
            _placed(block, paper, room, wide if len(line) > 1 else None)
            for block, wide in line
        ]
        for line in lines
    ]  # fmt: skip


def _natural(block: dict[str, Any], paper: dict[str, Any], room: float) -> float:
    """Give how wide a block is by itself [mm]; one that fills its line is as wide as the page."""
    if block["kind"] == "picture":
        return float(block["width"])
    if block.get("share"):
        return float(block["share"]) * room
    if not _free(block) or len(block["rows"]) > 16:
        return room
    size = paper["text"] * POINT * HEADING
    heading = min(set_width(block["heading"], True) * size, 60.0)
    return max(float(sum(_widths(block, block["rows"], paper))), float(heading), 50.0)


def _free(block: dict[str, Any]) -> bool:
    return block["kind"] == "table" and not any(block["widths"])


def _placed(
    block: dict[str, Any], paper: dict[str, Any], room: float, beside: float | None
) -> dict[str, Any]:
    found = {**block, "room": room if beside is None else beside}
    if block["kind"] == "table":
        parts = 1 if beside is not None else _parts(block, paper, room)
        found["parts"] = list(_parted(block, paper, room, parts))
        size = paper["table"] * POINT
        found["whole"] = all(_tall(block, part, size) <= TORN for part in found["parts"])
    return found


def _tall(block: dict[str, Any], part: dict[str, Any], size: float) -> float:
    """Give a height that a part of a table is surely within, words broken badly and all [mm]."""
    if part["widths"] is None:
        return math.inf
    room = [w - 2 * ACROSS for w in part["widths"]]
    lines = (
        max(
            text.count("\n") + math.ceil(1.25 * _line(text) * size / wide) if text else 1
            for text, wide in zip(row, room, strict=True)
        )
        for row in [block["head"], *block["rows"][part["first"] : part["last"]]]
    )
    return sum(1.5 * size * n + 2 * DOWN for n in lines)


def _parts(block: dict[str, Any], paper: dict[str, Any], room: float) -> int:
    """Say in how many parts a long narrow table goes down the page beside each other."""
    rows = block["rows"]
    if not _free(block) or len(rows) < 10:
        return 1
    wide = sum(_widths(block, rows, paper))
    fit = math.floor((room + BETWEEN) / (wide + BETWEEN))
    return min(max(1, fit), math.ceil(len(rows) / 5))


def _parted(
    block: dict[str, Any], paper: dict[str, Any], room: float, parts: int
) -> Iterator[dict[str, Any]]:
    rows = block["rows"]
    each = math.ceil(len(rows) / parts)
    size = paper["table"] * POINT
    for k in range(parts):
        first, last = min(k * each, len(rows)), min((k + 1) * each, len(rows))
        told = measures(block["head"], rows[first:last], block["widths"], room, size)
        yield {"first": first, "last": last, **told}


def measures(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    shares: Sequence[float],
    room: float,
    size: float,
) -> dict[str, list[float] | list[float | None] | None]:
    """Give the widths of a table's columns and the heights of its rows [mm].

    Each column gets what it needs, and those that have a share divide what is left of the room.
    None where the table is too wide, so that the template narrows the widest; no height where a
    text is broken.
    """
    natural = _natural_widths(head, rows, size)
    left = room - sum(w for w, share in zip(natural, shares, strict=True) if not share)
    if left < 0 or (any(shares) and left <= 0):
        return {"widths": None, "heights": None}
    whole = sum(shares)
    wide = [
        w if not share else left * share / whole for w, share in zip(natural, shares, strict=True)
    ]
    return {"widths": wide, "heights": [_height(row, wide, size) for row in rows]}


def _widths(block: dict[str, Any], rows: list[list[str]], paper: dict[str, Any]) -> list[float]:
    return _natural_widths(block["head"], rows, paper["table"] * POINT)


def _natural_widths(head: Sequence[str], rows: Sequence[Sequence[str]], size: float) -> list[float]:
    """Give how wide each column is when nothing in it is broken [mm]."""
    found = []
    for k, name in enumerate(head):
        wide = max((_line(row[k]) for row in rows), default=0.0) * size
        found.append(max(wide, _line(name, True) * HEAD * size) + 2 * ACROSS + SLACK)
    return found


def _line(text: str, bold: bool = False) -> float:
    if "\n" in text:
        return max(set_width(line, bold) for line in text.split("\n"))
    return set_width(text, bold)


def _height(row: Sequence[str], widths: list[float], size: float) -> float | None:
    """Give the height of a row that is surely one line high [mm]."""
    for text, wide in zip(row, widths, strict=True):
        if not in_a_line(text, wide - 2 * ACROSS, size):
            return None
    return (cap_height() * size if any(row) else 0.0) + 2 * DOWN


def in_a_line(text: str, room: float, size: float, bold: bool = False) -> bool:
    """Say whether a text surely takes one line of the usual height."""
    return "\n" not in text and has_letters(text) and set_width(text, bold) * size <= room
