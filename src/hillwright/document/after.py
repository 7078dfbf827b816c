"""The years after, and what was really built."""

from __future__ import annotations

from typing import Literal

from hillwright.after.model import Built, Upkeep
from hillwright.document.base import Part, axes, read, si, text
from hillwright.units import System
from hillwright.wording import in_units


class ChorePart(Part):
    """Something to do in some months of every year."""

    key: str = text("Its name among the chores.")
    what: str = text("What is done.")
    months: list[int] = axes("-", "month", "1 to 12.")
    much: str = text("How much of it, in the person's units.")
    where: str = text("Rows, valves, plants.")
    why: str = text("What it is good for.")
    source: str = text("Who says so.")
    first_year: bool = text("Only in the first year.")
    storms: bool = text("After every storm of those months too.")
    caution: str = text("What to beware of.")


class UpkeepPart(Part):
    """The years after."""

    chores: list[ChorePart] = text("In groups: water, holding, drains, soil, pipes, plants.")
    rainy: list[int] = axes("-", "month", "Rainy months, 1 to 12.")
    frost: list[int] = axes("-", "month", "Months with a risk of frost.")
    storm_m: float = si("m", "Rain of a day once in 2 years; 0 where it is not known.")


class CountPart(Part):
    """Planned beside built, of one kind."""

    kind: str = text("cell, bar, soil, hours or emitter.")
    name: str = text("In words.")
    unit: str = text("SI unit of the three, or each.")
    planned: float = text("All that is planned, in `unit`.")
    recorded: float = text("Planned of what the record tells of, in `unit`.")
    built: float = text("As recorded, in `unit`.")


class DifferencePart(Part):
    """Something that was built otherwise, and what follows."""

    question: int = si("-", "Of the ten.")
    gravity: Literal["note", "with measures", "stop"] = text("What it weighs.")
    what: str = text("What differs, in the person's units.")
    right: str = text("What to do.")


class BuiltPart(Part):
    """What was really built."""

    record: str = text("File of the record; empty where there is none.")
    counts: list[CountPart] = text("Planned beside built.")
    differences: list[DifferencePart] = text("The gravest first.")


def upkeep_part(upkeep: Upkeep, system: System) -> UpkeepPart:
    """Give the years after."""
    chores = [read(ChorePart, c, much=in_units(c.much, system)) for c in upkeep.chores]
    return read(UpkeepPart, upkeep, chores=chores)


def built_part(built: Built, system: System) -> BuiltPart:
    """Give what was built."""
    return BuiltPart(
        record=built.file,
        counts=[read(CountPart, c) for c in built.counts],
        differences=[
            read(
                DifferencePart,
                d,
                what=in_units(d.what, system),
                right=in_units(d.right, system),
            )
            for d in built.differences
        ],
    )
