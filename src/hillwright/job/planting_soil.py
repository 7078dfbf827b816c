"""Job sections of the fill room: how cells are filled, and the mixes that are blended.

Which components and mixes there are is that room's affair: a name that it does not know is told
there, with the nearest that it knows.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, Strict

from hillwright.job.fields import (
    FOOT,
    INCH,
    POUND,
    Conflict,
    Coordinate,
    Place,
    lengths,
    masses,
    shares,
    unit_weights,
    volumes,
)
from hillwright.job.table import Section

_GALLON = 231 * INCH**3  # [m3]
_YARD3 = 27 * FOOT**3  # [m3]

Part = tuple[str, Annotated[float, shares(0, 1)]]  # component, share of the loose volume
PartFull = tuple[Coordinate, Coordinate, Annotated[float, shares(0, 1)]]  # place, share of depth
RowNumber = Annotated[int, Strict(), Field(ge=1, le=10_000)]

_WHOLE = 1e-4  # parts may miss 100 % by so much: thirds are written with two decimals


class FillText(Section):
    """[fill]: how deep and how level the cells are filled, and how soil is delivered."""

    mix: str = ""  # of cells that no [[mix]] names; "" = the first [[mix]], else the table's first
    top: Literal["covering", "level", "along the slope"] = "covering"
    # covering: what the soil keeps at the uphill wall
    least_depth: Annotated[float, lengths(0, 4 * FOOT)] = 3 * INCH
    # lip of the downhill wall to mulch; None = an inch, an eighth of a wall below 8 inches
    freeboard: Annotated[float, lengths(0, 2 * FOOT)] | None = None
    # None = two inches, a quarter of a wall below 8 inches
    mulch: Annotated[float, lengths(0, FOOT)] | None = None
    mulch_kind: str = "wood chips"
    # of soil at the downhill wall; None = wall less freeboard and mulch
    soil_depth: Annotated[float, lengths(0.5 * INCH, 4 * FOOT)] | None = None
    empty: tuple[Place, ...] = ()  # the cell at this place stays empty
    part_full: tuple[PartFull, ...] = ()  # the cell at this place is filled so far
    waste: Annotated[float, shares(0, 0.5)] = 0.05  # of what is carried
    supply: Literal["bulk", "bags"] = "bulk"
    bag: Annotated[float, volumes(0.1 * FOOT**3, 3 * _YARD3)] = 2 * FOOT**3
    truck: Annotated[float, volumes(0.1 * _YARD3, 60 * _YARD3)] = 10 * _YARD3
    payload: Annotated[float, masses(100 * POUND, 100_000 * POUND)] = 20_000 * POUND

    def conflicts(self) -> Iterator[Conflict]:
        """Find a place that is empty and part full at once."""
        for i, (x, y, _) in enumerate(self.part_full):
            if (x, y) in self.empty:
                what = f"the same place is in empty (number {self.empty.index((x, y)) + 1})"
                yield Conflict(("part_full", i), what, "fill it or leave it empty", ("empty",))

    def free(self, wall: float) -> float:
        """Give the freeboard in a cell with walls so high [m]."""
        return min(INCH, wall / 8) if self.freeboard is None else self.freeboard

    def mulched(self, wall: float) -> float:
        """Give the thickness of the mulch in a cell with walls so high [m]."""
        return min(2 * INCH, wall / 4) if self.mulch is None else self.mulch

    def against_cell(self, wall: float) -> Iterator[Conflict]:
        """Find more soil, mulch and freeboard than a wall so high can hold."""
        free, mulch, beside = self.free(wall), self.mulched(wall), ("cell", "depth")
        if self.soil_depth is not None:
            if self.soil_depth + mulch > wall * (1 + 1e-9):
                what = "soil and mulch are deeper than the cell (cell.depth)"
                yield Conflict(("fill", "soil_depth"), what, "give less of either", beside)
        elif free + mulch >= wall:
            what = "with mulch and freeboard no room is left for soil in the cell (cell.depth)"
            key = "mulch" if mulch >= free else "freeboard"
            yield Conflict(("fill", key), what, "give less of either", beside)


class MixText(Section):
    """[[mix]]: a mix blended from components by loose volume."""

    name: str
    parts: tuple[Part, ...]
    mixing_loss: Annotated[float, shares(0, 0.4)] = 0.05  # of the parts' volume
    # share of the loose volume; None = from the parts
    settlement: Annotated[float, shares(0, 0.6)] | None = None
    # as it is carried, loose; None = from the parts
    weight: Annotated[float, unit_weights(0.5e3, 25e3)] | None = None
    # settled, with all pores full
    soaked_weight: Annotated[float, unit_weights(4e3, 25e3)] | None = None
    rows: tuple[RowNumber, ...] = ()  # rows that take it; row 1 is the top row
    cells: tuple[Place, ...] = ()  # the cell at this place takes it

    def conflicts(self) -> Iterator[Conflict]:
        """Find parts that do not make a whole, or the same component twice."""
        if not self.name.strip():
            yield Conflict(("name",), "is empty", 'give it one, as in "herb mix"')
        if not self.parts:
            yield Conflict(("parts",), "names no component", 'write [["topsoil", "60 %"], ...]')
            return
        names = [" ".join(n.lower().split()) for n, _ in self.parts]
        for i, name in enumerate(names):
            if name in names[:i]:
                yield Conflict(("parts", i), f"{name} is there twice", "write it once")
        total = sum(share for _, share in self.parts)
        if abs(total - 1) > _WHOLE:
            what = f"the parts sum to {100 * total:.4g} %, not to 100 %"
            yield Conflict(("parts",), what, "make them sum to 100 %")


def mixes_agree(mixes: tuple[MixText, ...]) -> Iterator[Conflict]:
    """Find mixes that are called the same, or are for the same row or cell."""
    for i, m in enumerate(mixes):
        for other in mixes[:i]:
            if " ".join(m.name.lower().split()) == " ".join(other.name.lower().split()):
                what = f'"{m.name}" is there twice'
                yield Conflict(("mix", i, "name"), what, "give each mix its own name", ("mix",))
            for row in sorted(set(m.rows) & set(other.rows)):
                what = f'row {row} takes "{other.name}" already'
                yield Conflict(("mix", i, "rows"), what, "give a row one mix", ("mix",))
            if set(m.cells) & set(other.cells):
                what = f'one of these cells takes "{other.name}" already'
                yield Conflict(("mix", i, "cells"), what, "give a cell one mix", ("mix",))
