"""Look-up tables of this room: rows by name, each with its source in the file."""

from __future__ import annotations

from functools import cache
from typing import Any

from hillwright.data import table
from hillwright.watering.given import one_of

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@cache
def rows(file: str, name: str) -> tuple[dict[str, Any], ...]:
    """Give the rows of one table as column name -> cell."""
    found = table(file)[name]
    return tuple(dict(zip(found["columns"], r, strict=True)) for r in found["rows"])


def row(file: str, name: str, column: str, word: str) -> dict[str, Any]:
    """Give the first row whose column holds a word, or tell the nearest that there is."""
    by_name = {str(r[column]): r for r in reversed(rows(file, name))}
    found: dict[str, Any] = by_name[one_of(column, word, by_name)]
    return found
