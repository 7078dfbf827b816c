"""How the figures of the storm on the rows came about."""

from __future__ import annotations

import numpy as np

from hillwright.method import Number, Working
from hillwright.runoff.model import Runoff

_BALANCE = (
    "each step and cell: rain + spill from above = taken in + standing + spilled; taken in by "
    "Green-Ampt"
)
_BALANCED = "Green and Ampt 1911; Chow, Maidment and Mays 1988; exact balance of volumes"


def row_workings(found: Runoff) -> list[Working]:
    """Tell the storm on the rows, what they hold, when they spill, and the recorded storm."""
    storm = found.storm
    assert storm is not None
    rain = Number("rain on the cells", storm.rain, "m3.small")
    run_on = Number("water from above", storm.run_on, "m3.small")
    fill = Number("kept by the fill", storm.fill, "m3.small")
    ground = Number("gone into the ground", storm.ground, "m3.small")
    standing = Number("standing at the end", storm.standing, "m3.small")
    without = Number("gone into the ground", storm.bare_ground, "m3.small")
    parts = (rain, run_on, fill, ground, standing)

    def made(
        name: str, title: str, given: tuple[Number, ...], value: float, unit: str, note: str = ""
    ) -> Working:
        figure = f"runoff.rows.{name}"
        return Working(figure, title, _BALANCE, given, Number(name, value, unit), _BALANCED, note)

    closes = f"Water made or lost: {storm.balance:.0e} of what came."
    return [
        made(
            "volume", "Leaves the cells in the storm", parts, storm.rows.volume, "m3.small", closes
        ),
        made(
            "bare",
            "Leaves the same ground without the rows",
            (rain, run_on, without),
            storm.bare.volume,
            "m3.small",
            "The same balance on the same ground, without fill and walls.",
        ),
        *_first(found),
        *_event(found),
        made("peak", "Peak off the cells", (rain, run_on), storm.rows.peak, "m3/s"),
        made("peak_bare", "Peak without the rows", (rain, run_on), storm.bare.peak, "m3/s"),
        Working(
            "runoff.rows.hold",
            "Water that stands on the soil of all cells before they spill",
            "V = integral of (lowest lip - soil) over each cell, where above 0",
            (
                Number("cells", len(storm.hold), "-"),
                Number("mean depth of soil", found.soil_depth, "m.small"),
            ),
            Number("hold", float(storm.hold.sum()), "m3.small"),
            "exact geometry",
            "Soil along a steep slope leaves room for a wedge behind the lower wall only.",
        ),
    ]


def _first(found: Runoff) -> list[Working]:
    """Say which row spills first and when, and from which storm on any does."""
    storm, of = found.storm, found.threshold
    if storm is None or storm.first_row == 0:
        return []
    made = [
        Working(
            "runoff.rows.first",
            "When a row first spills in the storm",
            "first step in which a cell gets more than it drinks and holds",
            (
                Number("row", storm.first_row, "-"),
                Number("rain", found.rain.depth, "m.small"),
                Number("hold", float(storm.hold.sum()), "m3.small"),
            ),
            Number("time", storm.first_time, "s"),
            _BALANCED,
        )
    ]
    if np.isfinite(of.first):
        made.append(
            Working(
                "runoff.rows.from_storm",
                "Commonest storm known that the rows do not hold",
                "least return period whose storm makes a cell spill",
                (Number("storms looked at", len(of.years), "-"), Number("row", of.row, "-")),
                Number("return period", of.first, "years"),
                _BALANCED,
            )
        )
    return made


def _event(found: Runoff) -> list[Working]:
    """Tell the storm of the event file as the design storm is told."""
    event = found.event
    if event is None:
        return []
    given = (
        Number("rain on the cells", event.rain, "m3.small"),
        Number("water from above", event.run_on, "m3.small"),
    )
    title = "in the storm of the event file"
    return [
        Working(
            f"runoff.event.{name}", f"{what} {title}", _BALANCE, given,
            Number(name, value, unit), _BALANCED,
        )
        for name, what, value, unit in (
            ("volume", "Leaves the cells", event.rows.volume, "m3.small"),
            ("bare", "Leaves without the rows", event.bare.volume, "m3.small"),
            ("peak", "Peak off the cells", event.rows.peak, "m3/s"),
            ("peak_bare", "Peak without the rows", event.bare.peak, "m3/s"),
        )
    ]  # fmt: skip
