"""What the runoff room gives: the rain, the hill before and after, the storm on the rows."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array, Index
from hillwright.method import Working
from hillwright.runoff.designrain import DesignRain
from hillwright.runoff.hillsoil import HillSoil
from hillwright.runoff.rowstorm import RowStorm

Range = tuple[float, float, float]  # low, best, high


@dataclass(frozen=True, slots=True)
class HillState:
    """The whole hill inside the outline in one state: what one storm and one year take off it.

    Where the rows are in, the ground beside the cells stays as it is today.
    """

    name: str  # "bare hill", "just built", "first wet season", "grown in"
    key: str  # of its figures: "bare", "built", "season", "grown"
    words: str
    rows: bool  # the rows are in
    curve_number: Range  # of the cover, after dry, usual and wet weather
    runoff: Range  # depth off the whole hill, without what rows hold [m]
    volume: float  # the usual depth over the hill [m3]
    time: float  # of concentration, as it comes out [s]
    sheet: tuple[float, float, float]  # its thin sheet: Manning's n, length [m], fall over run
    peak: float  # TR-55; not a number where no rain of 24 h is known [m3/s]
    coefficient: float  # of the rational method
    intensity: float  # of the rain that goes with it [m/s]
    rational: float  # peak by it [m3/s]
    length: float  # slope length [m]
    ls: Range  # of the ground, or the mean of the cells
    cover: Range  # C
    practice: Range  # P
    loss: Range  # of the hill in a mean year [kg]; in proportion where R is not known
    loss_beside: float  # of that, off the ground that no cell covers


@dataclass(frozen=True, slots=True, eq=False)
class FromAbove:
    """Water that comes in over row 1. t steps as the storm."""

    area: float  # that drains onto row 1 [m2]
    how: str  # "given", "surface" or "map"
    whole: bool  # False: the survey ends before the divide, so the area is a least one
    along: Array  # (p,) what drains over each piece of the top string [m2]; empty when given
    curve_number: float  # of that ground: bare
    volume: float  # [m3]
    flow: Array  # (t,) [m3/s]
    peak: float  # of the flow [m3/s]
    needed: bool  # a crest drain is
    drained: bool  # a crest drain takes it before it reaches row 1


@dataclass(frozen=True, slots=True, eq=False)
class Threshold:
    """From which storm on the rows spill. k return periods."""

    years: Array  # (k,) of which a storm is known [years]
    first: float  # least period that spills [years]; infinite when none does
    row: int  # that spills first in it; 0 when none does


@dataclass(frozen=True, slots=True, eq=False)
class Runoff:
    """Where the rain goes."""

    rain: DesignRain
    soil: HillSoil
    area: float  # of the hill, in plan [m2]
    cells: float  # of that, under the cells [m2]
    slope: float  # of the hill [rad]
    length: float  # of the hill down its slope, in plan [m]
    states: tuple[HillState, ...]  # bare, just built, first wet season, grown in
    weighed: bool  # R is known: losses are masses; else they are in proportion only
    above: FromAbove
    storm: RowStorm | None  # none without a cell
    event: RowStorm | None  # the storm as it fell, where one was given
    event_rain: Array  # (e,) in each step of the event [m]
    threshold: Threshold
    soil_depth: float  # mean of the cells [m]
    leaves: Array  # (3, n) what leaves from each cell at toe, left and right [m3]
    source: Index  # (m,) cell that spills ...
    target: Index  # (m,) ... to this one
    spilt: Array  # (m,) that much in the storm [m3]
    assumed: tuple[str, ...]  # what the job does not say, and what was taken
    doubts: tuple[str, ...]  # where the methods end
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
