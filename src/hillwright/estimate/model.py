"""What the estimate room gives."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.method import Working


@dataclass(frozen=True, slots=True)
class TakeoffLine:
    """One thing to order."""

    item: str
    count: int | float  # a whole number of things, or an amount in SI
    unit: str  # "each", or the tag of an amount: "m3"
    each: str  # what one is, in words
    cells: tuple[tuple[int, int], ...]  # (row, number) of the cells that it came from
    note: str


@dataclass(frozen=True, slots=True)
class Takeoff:
    """Everything to order, counted."""

    lines: tuple[TakeoffLine, ...]
    workings: tuple[Working, ...]
