"""Job sections of the irrigation room: the supply, the network wanted, and parts of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from hillwright.job.fields import (
    FOOT,
    INCH,
    RANGE,
    Conflict,
    Flag,
    MapPlace,
    flows,
    lengths,
    pressures,
    shares,
    times,
    volumes,
)
from hillwright.job.table import Section

_PSI, _GPM = 6894.757293168, 3.785411784e-3 / 60
_GPH = _GPM / 60

Pressure = Annotated[float, pressures(1.0 * _PSI, 200.0 * _PSI)]
Share = Annotated[float, Field(ge=0, le=1)]


class SupplyText(Section):
    """[supply]: the water at hand: pressure, flow, where the tap is and what stands before it."""

    # static, on a bad day and on a good one
    pressure: Annotated[tuple[Pressure, ...], RANGE] = (50.0 * _PSI, 65.0 * _PSI)
    flow: Annotated[float, flows(0.1 * _GPM, 500 * _GPM)] | None = None  # with the tap wide open
    # or by the bucket: its volume, and the time it took
    bucket: Annotated[float, volumes(0.1 * 3.785411784e-3, 500 * 3.785411784e-3)] | None = None
    bucket_time: Annotated[float, times(1, 7200)] | None = None
    meter: Literal["5/8", "3/4", "1", "1-1/2", "2"] | None = None  # nominal size [in]
    # pipe from the meter to the tap
    service_length: Annotated[float, lengths(0, 2000 * FOOT)] = 0.0
    service_bore: Annotated[float, lengths(0.2 * INCH, 6 * INCH)] = 0.75 * INCH
    place: MapPlace | None = None  # of the tap; None = beside the cells at the side named
    side: Literal["foot", "top"] = "foot"  # of the hill that the tap is at
    # how far it lies below the lowest cell (foot), or above the highest (top)
    apart: Annotated[float, lengths(0, 300 * FOOT)] = 0.0
    backflow: (
        Literal[
            "reduced pressure assembly",
            "double check",
            "pressure vacuum breaker",
            "atmospheric vacuum breaker",
        ]
        | None
    ) = None

    def conflicts(self) -> Iterator[Conflict]:
        """Find half a bucket test."""
        if (self.bucket is None) != (self.bucket_time is None):
            there, missing = (
                ("bucket", "bucket_time") if self.bucket_time is None else ("bucket_time", "bucket")
            )
            right = f"add {missing}, or leave both out"
            yield Conflict((there,), f"there is no {missing}", right, (missing,))


class DripText(Section):
    """[irrigation]: what is wanted of the drip network."""

    emitters: Literal["compensating", "turbulent"] = "compensating"
    # of a valve on the peak day
    longest_run: Annotated[float, times(300, 86400)] = 7200.0
    longest_tube: Annotated[float, lengths(0.5 * FOOT, 60 * FOOT)] = 15 * FOOT  # small tubing
    uniformity: Annotated[float, shares(0.5, 0.98)] = 0.90  # emission uniformity wanted
    texture: Literal["coarse", "medium", "fine"] = "medium"  # of the soil in the cells
    wetted: Annotated[float, shares(0.1, 1)] = 0.5  # share of a cell that must be wetted
    beside: Flag = True  # the header may climb outside of the rows, along their ends
    # keep the printed rules for slopes (application rate, flow of an emitter), at more water
    gentle: Flag = False
    plugged: Annotated[float, shares(0, 0.5)] = 0.01  # share of emitters that give nothing
    # depth of water on the peak day over each cell, losses included; None = from its plants
    peak_depth: Annotated[float, lengths(0.02 * INCH, 2 * INCH)] | None = None
    readings: str = ""  # catches and pressures measured afterwards (CSV)


class EmitterText(Section):
    """[[emitter]]: an emitter of one's own; those given stand in place of the generic ones."""

    name: str
    flow: Annotated[float, flows(0.05 * _GPH, 60 * _GPH)]
    pressure: Pressure  # at which it gives that flow: the onset of a compensating one
    compensating: Flag = True
    exponent: Share | None = None  # None = the class's
    lowest: Pressure | None = None  # working pressure; None = that of the flow
    highest: Pressure
    variation: Share = 0.05  # of manufacture
    price: Annotated[float, Field(ge=0, le=1000)] = 0.45

    def conflicts(self) -> Iterator[Conflict]:
        """Find a working range that is upside down, or an exponent that no law has."""
        low = self.pressure if self.lowest is None else self.lowest
        if low >= self.highest:
            what = "is no higher than where the emitter begins to work"
            yield Conflict(("highest",), what, "give the maker's range", ("lowest", "pressure"))
        if not self.compensating and self.exponent is not None and self.exponent < 0.3:
            what = "is that of a compensating emitter"
            yield Conflict(
                ("exponent",), what, "write compensating = true, or 0.4 to 1", ("compensating",)
            )


class TubingText(Section):
    """[[tubing]]: tubing of one's own; if any is given, it stands in place of the generic one."""

    name: str
    use: Literal["line", "small"]  # laterals and headers, or from a connector to a stake
    bore: Annotated[float, lengths(0.05 * INCH, 6 * INCH)]  # inside: measure it
    highest: Pressure = 60.0 * _PSI  # that it stands
    price: Annotated[float, Field(ge=0, le=1000)]  # of a metre
