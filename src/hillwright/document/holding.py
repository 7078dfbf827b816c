"""What holds: the hill, its slip circles, the bars; and where the rain goes."""

from __future__ import annotations

from hillwright.document.base import Matrix, Part, Vector, axes, read, si, text
from hillwright.document.front import Verdict
from hillwright.runoff.drainmodel import Drain, Drainage
from hillwright.runoff.model import Runoff
from hillwright.stability.model import Stability


class ReasonPart(Part):
    """Why somebody else must be asked."""

    condition: str = text("What is so.")
    verdict: Verdict = text("What it comes to.")
    who: str = text("Whom to ask.")
    source: str = text("Who says so.")


class CheckPart(Part):
    """One thing that is asked, and what it has."""

    what: str = text("What is checked.")
    demand: float | None = text("What is asked, in `unit`.")
    capacity: float | None = text("What it has, in `unit`.")
    unit: str = text("SI unit of both.")
    factor: float | None = si("-", "Capacity over demand; null where nothing is asked.")
    required: float = si("-", "Factor that there must be.")
    passed: bool = text("It has what is required.")
    source: str = text("Of the required factor.")
    note: str = text("What to know beside it.")


class CirclePart(Part):
    """The slip circle with the least factor on one section, in one state."""

    name: str = text("Name of the section.")
    state: str = text("State of the hill.")
    loaded: bool = text("Filled cells stand on it.")
    factor: float | None = si("-", "Least factor of safety.")
    radius_m: float | None = si("m", "Its radius.")
    depth_m: float | None = si("m", "Most ground over it.")
    line_m: Matrix = axes("m", "point xyz", "The section, top to bottom.")
    arc_m: Matrix = axes("m", "point dz", "Level distance along the section, and height.")


class HoldingPart(Part):
    """Whether the hill stands, and what holds the cells; each bar stands in the table of bars."""

    hill: Verdict = text("Of the hill and the site.")
    grid: Verdict = text("Of what the cells hang from.")
    soil: str = text("What the soil is called.")
    depth_m: float = si("m", "Of the soil that could slide.")
    reasons: list[ReasonPart] = text("Why somebody must be asked.")
    measures: list[str] = text("What must be done for the grid to hold.")
    checks: list[CheckPart] = text("Every check of slope and grid.")
    circles: list[CirclePart] = text("Slip circles, the least factor first.")
    bar: int = si("-", "Number of the bar, in eighths of an inch; 0 where none is needed.")
    bar_length_m: float = si("m", "Driven into the ground.")
    bar_spacing_m: float = si("m", "Least spacing along a row.")
    test_load_n: float = si("N", "That a wet pull test must show first; 0 where none must.")
    staked_rows: list[int] = axes("-", "row", "Rows besides row 1 with bars of their own.")


class StatePart(Part):
    """The hill in one state, in one storm and one year; ranges are low, best, high."""

    key: str = text("bare, built, season or grown.")
    name: str = text("What it is called.")
    words: str = text("What it means.")
    curve_number: Vector = axes("-", "range", "Of the cover.")
    runoff_m: Vector = axes("m", "range", "Depth off the hill, without what rows hold.")
    volume_m3: float | None = si("m3", "The usual depth over the hill.")
    peak_m3_s: float | None = si("m3/s", "Peak of the curve number method; null without a day.")
    rational_m3_s: float | None = si("m3/s", "Peak by the rational method.")
    loss_kg: Vector = axes("kg", "range", "Soil that a mean year takes off the hill.")


class RainPart(Part):
    """Where the rain goes; what leaves at each cell stands in the table of cells."""

    source: str = text("Where the rain comes from.")
    period: float = si("-", "Return period of the design storm in years.")
    depth_m: float = si("m", "Of the storm.")
    duration_s: float = si("s", "Of the storm.")
    states: list[StatePart] = text("Bare, just built, first wet season, grown in.")
    weighed: bool = text("Soil losses are masses; else they are in proportion only.")
    first_row: int = si("-", "Row that spills first in the storm; 0 when none does.")
    spills_from: float | None = si("-", "Least return period in years that spills; null: none.")
    above_m2: float = si("m2", "Ground that drains onto row 1.")
    above_peak_m3_s: float = si("m3/s", "Peak of what comes from above.")


class DrainPart(Part):
    """One drain."""

    key: str = text("crest or toe.")
    name: str = text("In words.")
    why: str = text("Why it is there.")
    line_m: Matrix = axes("m", "point xy", "High end to low end.")
    lead_line_m: Matrix = axes("m", "point xy", "Low end to the outlet; empty without one.")
    flow_m3_s: float = si("m3/s", "Design flow.")
    gradient: float = si("-", "Least fall over run.")
    lining: str = text("What it is lined with.")
    depth_m: float = si("m", "Depth of the water.")
    freeboard_m: float = si("m", "Over the water.")
    bottom_width_m: float = si("m", "Of the ditch.")
    length_m: float = si("m", "In plan.")
    dug_m3: float = si("m3", "To dig.")
    lining_area_m2: float = si("m2", "To line.")
    stones_m3: float = si("m3", "At its end.")
    cautions: list[str] = text("What to beware of.")


def holding_part(stability: Stability) -> HoldingPart:
    """Give what holds."""
    bars = stability.anchoring
    return read(
        HoldingPart,
        bars,
        hill=stability.hill_verdict,
        grid=stability.grid_verdict,
        soil=stability.soil,
        depth_m=stability.depth,
        reasons=[read(ReasonPart, r) for r in (*stability.site, *stability.hill, *stability.grid)],
        measures=stability.measures,
        checks=[
            read(CheckPart, c, passed=c.passed)
            for c in (*stability.slope_checks, *stability.grid_checks)
        ],
        circles=[read(CirclePart, c) for c in stability.circles],
        bar_length_m=bars.length,
        bar_spacing_m=bars.spacing,
    )


def rain_part(runoff: Runoff) -> RainPart:
    """Give where the rain goes."""
    rain, storm = runoff.rain, runoff.storm
    return read(
        RainPart,
        rain,
        states=[read(StatePart, s) for s in runoff.states],
        weighed=runoff.weighed,
        first_row=storm.first_row if storm is not None else 0,
        spills_from=runoff.threshold.first,
        above_m2=runoff.above.area,
        above_peak_m3_s=runoff.above.peak,
    )


def drain_parts(drainage: Drainage) -> list[DrainPart]:
    """Give the drains."""
    return [_drain(d) for d in drainage.drains]


def _drain(drain: Drain) -> DrainPart:
    ditch = drain.ditch
    sizes = {"depth_m": ditch.depth, "freeboard_m": ditch.freeboard}
    return read(DrainPart, drain, lining=ditch.lining, bottom_width_m=ditch.bottom_width, **sizes)
