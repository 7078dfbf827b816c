"""Job section of the hands: how soil and rows get up the hill, and how hot it is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, Strict

from hillwright.job.fields import (
    FOOT,
    INCH,
    POUND,
    Conflict,
    Place,
    masses,
    shares,
    slopes,
    temperatures,
    times,
    volumes,
)
from hillwright.job.table import Section

_GALLON = 231 * INCH**3  # [m3]
_HOUR = 3600.0

WayName = Literal[
    "bucket brigade",
    "carried buckets",
    "wheelbarrow",
    "rope hoist",
    "conveyor",
    "blower truck",
]


class CarryText(Section):
    """[carry]: who and what brings soil and rows up."""

    # who can haul or drag at once; None = the crew's people, else 6
    people: Annotated[int, Strict(), Field(ge=1, le=60)] | None = None
    pile: Place | None = None  # where the soil is tipped; None = at the foot of the cells
    ways: tuple[WayName, ...] = ("bucket brigade", "carried buckets", "wheelbarrow", "rope hoist")
    bucket: Annotated[float, volumes(0.5 * _GALLON, 20 * _GALLON)] = 5 * _GALLON
    bucket_mass: Annotated[float, masses(0.1 * POUND, 15 * POUND)] = 2 * POUND
    hours: Annotated[float, times(0.5 * _HOUR, 12 * _HOUR)] = 6 * _HOUR  # hauling in a day
    barrow: Annotated[float, volumes(0.5 * FOOT**3, 15 * FOOT**3)] = 3 * FOOT**3
    # slope of a ramp or switchback that is there; None = none
    ramp: Annotated[float, slopes(0.5, 20)] | None = None
    # of empty cells on the ground, by a spring scale; None = the table's upper value
    drag_friction: Annotated[float, Strict(), Field(gt=0, le=2)] | None = None
    # timed on this hill: from one bucket of the brigade to the next
    brigade_cycle: Annotated[float, times(1, 600)] | None = None
    # timed on this hill: one person's round with a bucket, rest included
    round_trip: Annotated[float, times(10, 2 * _HOUR)] | None = None
    temperature: Annotated[float, temperatures(0, 60)] | None = None  # hottest hour, in shade
    humidity: Annotated[float, shares(0, 1)] | None = None  # in that hour

    def conflicts(self) -> Iterator[Conflict]:
        """Find no way at all, one that is there twice, and humidity without temperature."""
        if not self.ways:
            yield Conflict(("ways",), "names no way", 'name at least one, as ["bucket brigade"]')
        if self.humidity is not None and self.temperature is None:
            what = "there is no temperature with it"
            yield Conflict(("humidity",), what, "add carry.temperature", ("temperature",))
        if self.temperature is not None and self.humidity is None:
            what = "there is no humidity with it"
            yield Conflict(("temperature",), what, "add carry.humidity", ("humidity",))
