"""A page of the workbook before it is written: words, numbers given, and formulas with values.

A formula carries the value that it has with the numbers as given, so that a program that shows
without reckoning shows it too; a test reckons every one again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

Style = str  # "head", "total", "note", "" plain


@dataclass(frozen=True, slots=True)
class Given:
    """A number to change."""

    value: float | None  # None: nobody knows it yet
    decimals: int = 2
    percent: bool = False
    integer: bool = False  # only whole numbers from 0 make sense
    about: str = ""  # shown while the cell is chosen


@dataclass(frozen=True, slots=True)
class Formula:
    """A number that follows from others."""

    text: str  # without the sign of equality
    value: float | str
    decimals: int = 2
    percent: bool = False
    total: bool = False


Entry = str | int | Given | Formula | None


@dataclass(slots=True, eq=False)
class Page:
    """One page, written from the top down."""

    name: str
    title: str
    widths: tuple[float, ...]  # of the columns, in letters
    rows: list[tuple[Style, tuple[Entry, ...]]] = field(default_factory=list)
    freeze: int = 0  # rows that stay in view

    @property
    def next(self) -> int:
        """Number of the row that is written next, as formulas count."""
        return len(self.rows) + 1

    def add(self, *entries: Entry, style: Style = "") -> int:
        """Write a row; gives its number."""
        self.rows.append((style, entries))
        return len(self.rows)

    def notes(self, lines: Iterable[str]) -> None:
        """Write lines of words."""
        for line in lines:
            self.add(line, style="note")

    def block(self, heading: str, head: tuple[str, ...]) -> int:
        """Begin a table: a gap, its heading and the heads of its columns; gives its first row."""
        self.add()
        self.add(heading, style="title")
        self.add(*head, style="head")
        return self.next

    def at(self, column: str, row: int) -> str:
        """Refer to a cell from any page."""
        return f"'{self.name}'!${column}${row}"

    def span(self, column: str, first: int, last: int) -> str:
        """Refer to a stretch of a column from any page."""
        return f"'{self.name}'!${column}${first}:${column}${last}"


def whole_up(text: str) -> str:
    """Round a formula up to a whole number, but not for the machine's rounding."""
    return f"ROUNDUP(ROUND({text},9),0)"
