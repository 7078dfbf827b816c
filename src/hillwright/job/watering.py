"""Job sections of the watering room: the climate, and when and how fast water may run.

Which places, plants and textures there are is that room's affair: a name that it does not know is
told there, with the nearest that it knows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, Strict

from hillwright.job.fields import (
    FOOT,
    INCH,
    Conflict,
    as_text,
    lengths,
    pouring,
    shares,
    slopes,
    times,
)
from hillwright.job.table import Section
from hillwright.units import UnitError

_CLOCK = re.compile(r"\s*([01]?\d|2[0-4]):([0-5]\d)\s*")
_WEEK = 7 * 86400.0


def _clock(value: Any) -> Any:
    if isinstance(value, float):
        return value
    found = _CLOCK.fullmatch(value) if isinstance(value, str) else None
    seconds = int(found[1]) * 3600 + int(found[2]) * 60 if found else -1
    if not 0 <= seconds <= 86400:
        raise UnitError(f"{value!r} is not a time of day", 'write hours and minutes, as "04:30"')
    return float(seconds)


Clock = Annotated[float, BeforeValidator(_clock, json_schema_input_type=as_text(format="time"))]
MonthDepth = Annotated[float, lengths(0, 60 * INCH)]
Weekday = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class ClimateText(Section):
    """[climate]: how thirsty the air is and how much rain falls, by whatever is known of it."""

    place: str = ""  # of the program's table
    weather: str = ""  # a file of weather
    # of the wind's instrument in that file; None = as the file says
    wind_height: Annotated[float, lengths(0.5, 200)] | None = None
    reference: tuple[MonthDepth, ...] = ()  # reference evapotranspiration of the twelve months
    rain: tuple[MonthDepth, ...] = ()  # of the twelve months

    def conflicts(self) -> Iterator[Conflict]:
        """Find a climate that is told twice, or in other than twelve months."""
        ways = [key for key in ("weather", "reference", "place") if getattr(self, key)]
        for key in ways[1:]:
            what = f"the climate is told by climate.{ways[0]} already"
            yield Conflict((key,), what, "keep the one that is nearest to the site", (ways[0],))
        for key in ("reference", "rain"):
            if (count := len(getattr(self, key))) not in (0, 12):
                what = f"has {count} values"
                yield Conflict((key,), what, "give twelve, January to December")
        if self.wind_height is not None and not self.weather:
            what = "belongs to a file of weather, and none is named"
            yield Conflict(("wind_height",), what, "add weather, or leave it out", ("weather",))


class WateringText(Section):
    """[watering]: the soil's water, the emitters taken for now, and when water may run."""

    texture: str = "sandy loam"  # that the mix behaves like
    # water that the mix holds for plants; None = by the texture
    available: Annotated[float, shares(0.02, 0.5)] | None = None
    # depth of ground under the cells that roots may draw on
    roots_below: Annotated[float, lengths(0, 6 * FOOT)] = 0.0
    # of the soil inside a cell; None = as it is filled
    surface_slope: Annotated[float, slopes(0, 45)] | None = None
    efficiency: Annotated[float, shares(0.3, 1)] = 0.81  # of the water, that reaches the roots
    emitters: Annotated[int, Strict(), Field(ge=1, le=50)] = 2  # in a cell
    emitter_flow: Annotated[float, pouring(0.2, 40)] = 1.0 / 3.6e6  # of each
    windows: tuple[tuple[Clock, Clock], ...] = ((14400.0, 32400.0),)
    weekdays: tuple[Weekday, ...] = ()  # that watering is allowed on; () = all
    longest_interval: Annotated[int, Strict(), Field(ge=1, le=30)] = 7  # [days]
    rain_method: Literal["scs", "fao46", "fao rule", "share"] = "scs"
    rain_share: Annotated[float, shares(0, 1)] = 0.8  # of a day's rain that enters the soil
    establishment: Annotated[float, times(0, 104 * _WEEK)] = 12 * _WEEK
    landscape: Literal["residential", "non-residential"] = "residential"
    # of 1000 gallons, or of a cubic metre; 0 = not known
    price: Annotated[float, Strict(), Field(ge=0, le=1000, allow_inf_nan=False)] = 0.0

    def conflicts(self) -> Iterator[Conflict]:
        """Find windows that are none or overlap, and weekdays that are there twice."""
        if not self.windows:
            yield Conflict(("windows",), "is empty", 'write [["04:00", "09:00"]]')
        spans: list[tuple[float, float, int]] = []
        for i, (start, end) in enumerate(self.windows):
            if start == end:
                yield Conflict(("windows", i), "ends as it begins", "give it a length")
            parts = [(start, end)] if end > start else [(start, 86400.0), (0.0, end)]
            for a, b in parts:
                if any(a < d and c < b for c, d, _ in spans):
                    yield Conflict(("windows", i), "overlaps another", "make one of the two")
                spans.append((a, b, i))
        for i, day in enumerate(self.weekdays):
            if day in self.weekdays[:i]:
                yield Conflict(("weekdays", i), f'"{day}" is there twice', "leave one out")
