"""Job sections of the planting room: what is wished for, pinned, kept open, and what shades it.

Which plants there are is that room's affair: a name that it does not know is told there, with the
nearest that it knows.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, Strict

from hillwright.job.fields import (
    FOOT,
    INCH,
    Conflict,
    Flag,
    MapPlace,
    angles,
    as_text,
    lengths,
    shares,
)
from hillwright.job.table import Section
from hillwright.units import UnitError

_CELL = re.compile(r"\s*[Rr]?\s*0*(\d{1,4})\s*[-/.]\s*0*(\d{1,4})\s*")
_DAY = re.compile(
    r"\s*(?:(\d{1,2})\.?\s+([A-Za-z]{3,9})|([A-Za-z]{3,9})\.?\s+(\d{1,2})|(\d{2})-(\d{2}))\s*"
)
_ZONE = re.compile(r"\s*(\d{1,2})\s*([abAB]?)\s*")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def _cell(value: Any) -> Any:
    if isinstance(value, tuple):
        return value
    found = _CELL.fullmatch(value) if isinstance(value, str) else None
    if not found or not int(found[1]) or not int(found[2]):
        raise UnitError(
            f"{value!r} is not a cell", 'write its row and its number in the row, as "R3-12"'
        )
    return int(found[1]), int(found[2])


def _day(value: Any) -> Any:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    right = 'write day and month, as "15 Apr"'
    found = _DAY.fullmatch(value) if isinstance(value, str) else None
    if not found:
        raise UnitError(f"{value!r} is not a day of the year", right)
    day, name = (found[1], found[2]) if found[1] else (found[4], found[3])
    if found[5]:
        month, count = int(found[5]) - 1, int(found[6])
    else:
        word = name.lower()[:3]
        month, count = (_MONTHS.index(word) if word in _MONTHS else -1), int(day)
    if not 0 <= month < 12 or not 1 <= count <= _LENGTHS[month]:
        raise UnitError(f"{value!r} is not a day of the year", right)
    return sum(_LENGTHS[:month]) + count


def _zone(value: Any) -> Any:
    found = _ZONE.fullmatch(value) if isinstance(value, str) else None
    if value == "":
        return value
    if not found or not 1 <= int(found[1]) <= 13:
        right = 'write the zone of the USDA map, "1" to "13", with "a" or "b" behind it: "9b"'
        raise UnitError(f"{value!r} is not a hardiness zone", right)
    return f"{int(found[1])}{found[2].lower()}"


CellName = Annotated[
    tuple[int, int], BeforeValidator(_cell, json_schema_input_type=as_text(form="cell"))
]
YearDay = Annotated[int, BeforeValidator(_day, json_schema_input_type=as_text(form="day"))]
Zone = Annotated[str, BeforeValidator(_zone)]
Weight = Annotated[float, Strict(), Field(ge=0, le=1000, allow_inf_nan=False)]
Count = Annotated[int, Strict(), Field(ge=0, le=100_000)]
Bearing = Annotated[float, angles(0, 360)]
Horizon = tuple[Bearing, Annotated[float, angles(-30, 80)]]


class PlantingText(Section):
    """[planting]: where it grows, what may be chosen, how people walk to it."""

    palette: str = ""  # a list of plants (CSV) that adds to the program's, or overrides it
    plants: tuple[str, ...] = ()  # choose from these only
    avoid: tuple[str, ...] = ()  # plants or kinds that are not wanted
    hardiness: Zone = ""  # USDA zone
    last_frost: YearDay | None = None  # of spring
    first_frost: YearDay | None = None  # of autumn
    # ground under the cells that roots can use; None = soil.depth
    rooting: Annotated[float, lengths(0, 10 * FOOT)] | None = None
    entry: tuple[MapPlace, ...] = ()  # where one comes in; none = anywhere along the last row
    # from the edge of the cell that one stands in to the middle of what is tended
    reach: Annotated[float, lengths(6 * INCH, 6 * FOOT)] = 30 * INCH
    # the highest step between two cells that are walked
    max_step: Annotated[float, lengths(INCH, 3 * FOOT)] = 13 * INCH
    # stretches of one thirst in a row, at most
    zones_per_row: Annotated[int, Strict(), Field(ge=1, le=100)] = 2
    bloom: Flag = True  # something in bloom in every month that can have it
    harvest: Flag = True  # something to pick in every month that can have it
    walk: tuple[CellName, ...] = ()  # cells that are walked, by hand
    open: tuple[CellName, ...] = ()  # cells that stay open
    horizon: tuple[Horizon, ...] = ()  # far horizon: compass bearing and how high it stands
    seed: Annotated[int, Strict(), Field(ge=0, le=2**31 - 1)] = 1

    def conflicts(self) -> Iterator[Conflict]:
        """Find frost dates without the other, cells told twice, and horizons at one bearing."""
        if (self.last_frost is None) != (self.first_frost is None):
            there, other = (
                ("last_frost", "first_frost") if self.first_frost is None
                else ("first_frost", "last_frost")
            )  # fmt: skip
            yield Conflict((there,), f"there is no {other}", "give both, or neither", (other,))
        elif self.last_frost is not None and self.last_frost == self.first_frost:
            what = "is the day of the last frost of spring too"
            yield Conflict(("first_frost",), what, "look them up again", ("last_frost",))
        for key in ("walk", "open"):
            cells = getattr(self, key)
            for i, cell in enumerate(cells):
                if cell in cells[:i]:
                    yield Conflict((key, i), "is there twice", "leave one out")
        for i, cell in enumerate(self.open):
            if cell in self.walk:
                what = "the same cell is in walk"
                yield Conflict(("open", i), what, "walk there or keep it open", ("walk",))
        for (i, a), (_, b) in itertools.combinations(enumerate(self.horizon[::-1]), 2):
            if abs(a[0] - b[0]) < 1e-9:
                at = len(self.horizon) - 1 - i
                yield Conflict(("horizon", at), "two heights at one bearing", "keep one of them")
        for i, name in enumerate(self.avoid):
            if name in self.plants:
                what = f'"{name}" is in planting.plants, and is not wanted'
                yield Conflict(("avoid", i), what, "take it out of one of the two", ("plants",))


class WishText(Section):
    """[[wish]]: how much of what."""

    plant: str  # a plant, a kind ("tree", "vegetable", ...) or a use ("pollinator", ...)
    count: Count | None = None  # plants
    share: Annotated[float, shares(0, 1)] | None = None  # of the planted cells
    at_most: Count | None = None  # plants, whatever else
    must: Flag = False  # before every wish that is none
    near: Literal["", "entry", "edge", "top", "foot"] = ""
    weight: Weight = 1.0  # against the other wishes

    def conflicts(self) -> Iterator[Conflict]:
        """Find a wish that asks for nothing, for two things, or for more than it allows."""
        if self.count is not None and self.share is not None:
            yield Conflict(("share",), "there is also a count", "keep one of the two", ("count",))
        if self.count is None and self.share is None and self.at_most is None and not self.near:
            right = 'add count = 6, share = "20 %", at_most = 4 or near = "entry"'
            yield Conflict(("plant",), "nothing is wished of it", right)
        if self.at_most is not None and self.count is not None and self.count > self.at_most:
            what = f"is less than the {self.count} that are wished for"
            yield Conflict(("at_most",), what, "make the count no more than it", ("count",))
        if self.must and self.count is None and self.share is None:
            right = "add a count or a share"
            yield Conflict(("must",), "there is nothing that must be", right, ("count", "share"))


class PinText(Section):
    """[[pin]]: a plant set by hand; the cell is the upper left one of what it takes."""

    cell: CellName
    plant: str


class ShadeText(Section):
    """[[shade]]: a wall, fence, hedge or tree that stands in the sun."""

    name: str
    line: tuple[MapPlace, ...] = ()  # a wall, fence or hedge
    centre: MapPlace | None = None  # a tree
    height: Annotated[float, lengths(INCH, 300 * FOOT)]
    spread: Annotated[float, lengths(INCH, 200 * FOOT)] | None = None  # of a tree's crown
    clear: Annotated[float, lengths(0, 100 * FOOT)] = 0.0  # from the ground to the crown
    lets_through: Annotated[float, shares(0, 1)] = 0.0  # of the light

    def conflicts(self) -> Iterator[Conflict]:
        """Find a thing that is neither a line nor a tree, or both."""
        both = "give either a line, or centre and spread"
        if self.line and self.centre is not None:
            yield Conflict(("centre",), "there is also a line", both, ("line",))
        elif not self.line and self.centre is None:
            yield Conflict((), "no place is given", both, ("line", "centre"))
        elif self.centre is not None and self.spread is None:
            yield Conflict(
                ("centre",), "has no spread", 'add spread = "12 ft" or the like', ("spread",)
            )
        if self.line and len(self.line) < 2:
            yield Conflict(("line",), "has 1: a line runs between at least 2 places", "add another")
        if self.line and self.spread is not None:
            yield Conflict(("spread",), "is only for a tree", "leave it out", ("line",))
        if self.clear >= self.height:
            yield Conflict(
                ("clear",),
                "the crown would begin over its top",
                "give less than height",
                ("height",),
            )


class Weights(Section):
    """[weights]: how much each thing counts against the others; one planted cell is worth 1."""

    planted: Weight = 1.0  # for each planted cell
    walking: Weight = 0.5  # against each walking cell
    sun: Weight = 0.2  # for a cell in the middle of its plant's sun range
    wish: Weight = 4.0  # against each plant or cell that a wish falls short by, or goes over
    must: Weight = 50.0  # the same, of a wish that must be
    near: Weight = 0.5  # for a cell just where a wish wants it
    edge: Weight = 0.3  # for an evergreen with binding roots on the edge
    bloom: Weight = 6.0  # against each month without bloom
    harvest: Weight = 3.0  # against each month without harvest
    zone: Weight = 0.5  # against each change of thirst along a row
    mixed: Weight = 0.3  # against each cell of one plant that takes most of its kind's share


def wishes_agree(
    planting: PlantingText, wishes: tuple[WishText, ...], pins: tuple[PinText, ...]
) -> Iterator[Conflict]:
    """Find wishes and pins that contradict one another or the rest."""
    for i, wish in enumerate(wishes):
        if wish.plant in planting.avoid and (wish.count or wish.share):
            what = f'"{wish.plant}" is wished for, and is in planting.avoid'
            yield Conflict(
                ("wish", i, "plant"), what, "take it out of one of the two", ("planting",)
            )
        for j, other in enumerate(wishes[:i]):
            same = wish.plant == other.plant and wish.near == other.near
            if same and not (wish.count is None and wish.share is None):
                what = f"wish {j + 1} asks for the same"
                yield Conflict(("wish", i, "plant"), what, "put both in one")
    given = sum(w.share or 0.0 for w in wishes if w.must)
    if given > 1 + 1e-9:
        at = max(i for i, w in enumerate(wishes) if w.must and w.share)
        what = f"the shares that must be add up to {100 * given:.0f} %"
        yield Conflict(("wish", at, "share"), what, "make them 100 % or less")
    for i, pin in enumerate(pins):
        for key in ("walk", "open"):
            if pin.cell in getattr(planting, key):
                what = f"the same cell is in planting.{key}"
                yield Conflict(
                    ("pin", i, "cell"), what, "take it out of one of the two", ("planting",)
                )
        if pin.cell in [p.cell for p in pins[:i]]:
            yield Conflict(("pin", i, "cell"), "is pinned twice", "leave one out")
        if pin.plant in planting.avoid:
            what = f'"{pin.plant}" is pinned, and is in planting.avoid'
            yield Conflict(
                ("pin", i, "plant"), what, "take it out of one of the two", ("planting",)
            )
