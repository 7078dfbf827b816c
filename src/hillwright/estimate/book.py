"""Which rows of the price book a line of the takeoff can be bought by."""

from __future__ import annotations

from collections.abc import Sequence

from hillwright.errors import Problem, SurveyError, nearest
from hillwright.estimate.model import TakeoffLine
from hillwright.job.prices import Price, PriceBook, plain
from hillwright.wording import in_units

# units that a line of each tag is sold by, the usual one first
UNITS = {
    "each": ("each",),
    "day": ("day",),
    "load": ("load",),
    "m": ("ft", "m", "yd", "in"),
    "m2": ("ft2", "m2", "yd2"),
    "m3": ("yd3", "m3", "ft3", "gal", "L"),
    "s": ("h",),
}


class Matched:
    """Rows of a price book by line, checked: a unit that does not fit is an error."""

    def __init__(self, lines: Sequence[TakeoffLine], book: PriceBook) -> None:
        self.book = book
        by_name: dict[tuple[bool, str], list[Price]] = {}
        for row in book.rows:
            by_name.setdefault((row.kind == "labour", plain(row.item)), []).append(row)
        self.rows: list[tuple[Price, ...]] = []
        self.used: set[int] = set()
        problems: list[Problem] = []
        for line in lines:
            found: list[Price] = []
            for name in names(line.item):
                found += by_name.get((line.kind == "labour", name), [])
            rows = tuple(dict.fromkeys(found))
            self.used.update(r.line for r in rows)
            problems += [p for r in rows if (p := _misfit(line, r, book.file))]
            self.rows.append(rows)
        if problems:
            raise SurveyError.all(dict.fromkeys(problems))

    def labour(self, role: str) -> tuple[Price, ...]:
        """Give the rows of a class of people, whether or not the takeoff has hours of it."""
        return tuple(
            r for r in self.book.rows if r.kind == "labour" and plain(r.item) == plain(role)
        )

    def unused(self, lines: Sequence[TakeoffLine], also: Sequence[str]) -> list[str]:
        """Say which rows nothing of the plan asks for and look like a slip of the pen."""
        known = [n for line in lines for n in names(line.item)]
        # what is not priced yet under its own name may have been misspelt; the rest was not
        lacking = [n for line, rows in zip(lines, self.rows, strict=False) if not rows
                   for n in names(line.item)]  # fmt: skip
        said = []
        for row in self.book.rows:
            if row.line in self.used or plain(row.item) in (*known, *map(plain, also)):
                continue
            near = nearest(plain(row.item), lacking, 1)
            if near and _alike(near[0], plain(row.item)):
                said.append(
                    f'"{row.item}" ({self.book.file} line {row.line}) is nothing of this plan; '
                    f'was "{near[0]}" meant?'
                )
        return said


def _alike(a: str, b: str) -> bool:
    from difflib import SequenceMatcher

    return SequenceMatcher(None, a, b).ratio() > 0.85


def names(item: str) -> tuple[str, ...]:
    """Give the names that an item goes by: as the plan counts, and in either system of units."""
    return tuple(dict.fromkeys(plain(n) for n in
                               (item, in_units(item, "us"), in_units(item, "metric"))))  # fmt: skip


def tags(line: TakeoffLine) -> tuple[str, ...]:
    """Give the kinds of unit that a line can be sold by."""
    found = [line.unit]
    if line.mass > 0:
        found.append("kg")
    if line.pieces and line.unit == "each":
        found.append("m")  # bars are cut from stock
    return tuple(found)


def _misfit(line: TakeoffLine, row: Price, file: str) -> Problem | None:
    if row.tag in tags(line):
        return None
    where = f"{file} line {row.line}"
    fits = [u for t in tags(line) for u in (*UNITS.get(t, ()), *(("ton", "lb", "kg", "t") if
            t == "kg" else ()))]  # fmt: skip
    how = {"each": "counted", "day": "hired by the day", "load": "counted in loads",
           "m": "sold by length", "m2": "sold by area", "m3": "sold by volume",
           "s": "paid by the hour"}  # fmt: skip
    what = f"{row.item}: is {how[line.unit]}, not by {row.unit!r}"
    return Problem(where, what, f"write {' or '.join(dict.fromkeys(fits))}")


def in_line_units(line: TakeoffLine, row: Price) -> float:
    """Give what a pack holds in the unit of the line; tons become a volume by their weight."""
    if row.tag == "kg" and line.unit == "m3":
        return row.holds * line.count / line.mass
    return row.holds
