"""Job sections of the runoff room: the rain that is looked at, and the drains that may be built.

Which covers and linings there are is that room's affair: a name that it does not know is told
there, with the nearest that it knows.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator

from hillwright.job.fields import (
    INCH,
    Conflict,
    MapPlace,
    areas,
    erosivities,
    lengths,
    periods,
    shares,
    slopes,
    times,
)
from hillwright.job.table import Section
from hillwright.units import UnitError, quantity

_HOUR, _DAY = 3600.0, 86400.0


def _as_depth(row: Any) -> Any:
    """Turn an intensity into the depth that falls in the row's duration."""
    try:
        intensity = quantity(row[2], "[length] / [time]")
        fallen = intensity * quantity(row[1], "[time]")
    except (UnitError, TypeError, LookupError):
        return row  # a depth, or something that the row's own readers tell about
    return [*row[:2], f"{fallen} m", *row[3:]]


Period = Annotated[float, periods(1, 1000)]  # [years], a pure number
Duration = Annotated[float, times(60, 60 * _DAY)]
Depth = Annotated[float, lengths(0.01 * INCH, 70 * INCH)]
TypedRain = Annotated[tuple[Period, Duration, Depth], BeforeValidator(_as_depth)]


class Rain(Section):
    """[rain]: how much falls how fast, what it falls on, and what runs in from above."""

    table: str = ""  # a precipitation-frequency table (CSV)
    depths: tuple[TypedRain, ...] = ()  # return period [years], duration [s], depth [m]
    # how a day's rain is spread; None = nested where an hour or less is given, else II
    storm: Literal["I", "IA", "II", "III", "nested"] | None = None
    return_period: Period = 10.0  # of the storm that rows and drains are held against [years]
    event: str = ""  # a storm as it fell (CSV)
    map: str = ""  # heights of the ground above (GeoTIFF), where the survey ends below the divide
    # that drains onto the cells; None = worked out on the surface
    water_from_above: Annotated[float, areas(0, 1e5)] | None = None
    soil_group: Literal["A", "B", "C", "D"] | None = None  # hydrologic; None = from the soil
    cover_now: str = ""  # row of the table of curve numbers
    ground_cover: Annotated[float, shares(0, 1)] = 0.0  # of the ground as it is, plants and litter
    # R of a mean year; None = soil loss in proportion only
    erosivity: Annotated[float, erosivities(0, 50_000)] | None = None

    def conflicts(self) -> Iterator[Conflict]:
        """Find rain that is given twice, falls with duration, or does not fit its storm."""
        if self.table.strip() and self.depths:
            yield Conflict(
                ("depths",), "there is also rain.table", "keep one of the two", ("table",)
            )
        if self.map.strip() and self.water_from_above is not None:
            what = "there is also rain.water_from_above, which comes first"
            yield Conflict(("map",), what, "keep one of the two", ("water_from_above",))
        for (i, a), (j, b) in itertools.permutations(enumerate(self.depths), 2):
            yield from _against(i, a, j, b)
        durations = [duration for _, duration, _ in self.depths]
        if self.storm == "nested" and durations and min(durations) > _HOUR:
            what = "nests short bursts into long ones, and no rain of an hour or less is given"
            yield Conflict(("storm",), what, 'add shorter ones, or write storm = "II"', ("depths",))
        if self.storm not in (None, "nested") and durations and max(durations) < _DAY:
            what = "is the shape of 24 hours, and no rain of so long is given"
            yield Conflict(("storm",), what, 'add one, or write storm = "nested"', ("depths",))


def _against(
    i: int, a: tuple[float, float, float], j: int, b: tuple[float, float, float]
) -> Iterator[Conflict]:
    """Find what row j cannot be beside row i."""
    at = ("depths", j)
    if a[:2] == b[:2]:
        if i < j:
            what = f"the same return period and duration as number {i + 1}"
            yield Conflict(at, what, "keep one of the two")
    elif a[0] == b[0] and b[1] > a[1] and b[2] < a[2]:
        what = f"less rain in a longer time than number {i + 1}"
        yield Conflict(at, what, "a longer time never brings less: look it up again")
    elif a[1] == b[1] and b[0] > a[0] and b[2] < a[2]:
        what = f"less rain in a rarer storm than number {i + 1}"
        yield Conflict(at, what, "a rarer storm never brings less: look it up again")


class Drains(Section):
    """[drains]: the ditch above row 1 and the outlet at the toe."""

    crest: Literal["when needed", "always", "never"] = "when needed"
    slope: Annotated[float, slopes(0.1, 14)] = math.atan(0.02)  # of the ditch along its run
    lining: str = ""  # "" = the plainest that stands the water
    outlet: MapPlace | None = None  # where the water may be let out
