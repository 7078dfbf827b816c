"""How the calculation book is spread over its pages: measured as the blocks of other papers are."""

from __future__ import annotations

from typing import Any

from hillwright.sheets.fonts import cap_height, set_width
from hillwright.sheets.spread import POINT, in_a_line, measures

INSET = 7.0  # what stands under the title of an entry, from the left [mm]
BETWEEN_TITLE = 2.5  # between number, title and figure [mm]
BETWEEN_GIVEN = 6.0  # between inputs side by side [mm]
BETWEEN_COLUMNS = 7.0  # of the index [mm]
PAGE_NUMBER = 8.0 + 1.5  # its column, with what is between [mm]
APART = 2.0  # between an input and its value, at least [mm]
MATHS = 1.08  # lettering of equations, of the page's


def spread_book(sheet: dict[str, Any]) -> dict[str, Any]:
    """Give the book with what the template need not look for: which lines are surely single."""
    paper = sheet["paper"]
    room = paper["width"] - 2 * paper["margin"]
    parts = [
        {**part, "entries": [_entry(e, paper, room) for e in part["entries"]]}
        for part in sheet["parts"]
    ]
    column = (room - BETWEEN_COLUMNS) / 2 - PAGE_NUMBER - APART
    small = paper["small"] * POINT
    figures = [[name, n, in_a_line(name + n, column, small)] for name, n in sheet["figures"]]
    return {**sheet, "parts": parts, "figures": figures}


def _entry(entry: dict[str, Any], paper: dict[str, Any], room: float) -> dict[str, Any]:
    text, small, table = (paper[key] * POINT for key in ("text", "small", "table"))
    inside = room - INSET
    number = set_width(entry["number"], True) * text
    figure = set_width(entry["figure"]) * small
    title = room - number - figure - 2 * BETWEEN_TITLE
    column = (inside - (entry["across"] - 1) * BETWEEN_GIVEN) / entry["across"]
    others = entry["others"]
    return {
        **entry,
        "title_room": title if in_a_line(entry["title"], title, text, bold=True) else 0.0,
        "title_height": cap_height() * text,
        "maths": [[kind, line, _short(line, inside, text)] for kind, line in entry["maths"]],
        "given_height": cap_height() * table,
        "given": [
            [name, value, _fits(name, value, column, table)] for name, value in entry["given"]
        ],
        "others": {
            **others,
            "first": 0,
            "last": len(others["rows"]),
            **measures(others["head"], others["rows"], [0.0] * len(others["head"]), inside, small),
        },
    }


def _short(line: str, room: float, size: float) -> bool:
    """Say whether an equation is surely narrower than the room: no sign is wider than an em."""
    spaces = line.count(" ")
    return (len(line) - spaces + 0.3 * spaces) * size * MATHS <= room


def _fits(name: str, value: str, room: float, size: float) -> bool:
    return in_a_line(name + value, room - APART, size)
