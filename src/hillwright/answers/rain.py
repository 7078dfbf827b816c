"""Question 4: where the rain goes, before and after."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.answers.drains import drain_lines
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.answers.waterfigures import depth, flow, mass, volume
from hillwright.rooms import Rooms
from hillwright.runoff.model import HillState, Runoff
from hillwright.runoff.remarks import COMPARISON, storm_words
from hillwright.runoff.rowstorm import RowStorm
from hillwright.runoff.soilloss import doubtful_reduction, in_words
from hillwright.units import System
from hillwright.wording import in_units

_CAUTION = (
    "Local code and licensed practice decide what may be drained where. Water from drains goes "
    "onto stone or into an energy dissipator, never across a neighbour's line, against a building "
    "or onto the open slope."
)

NOTHING = 1e-4  # of a storm: less cannot be told from nothing


def rain(rooms: Rooms) -> Answer:
    """Say what rain takes off the hill today and with the rows, and where it goes."""
    found, drainage, system = rooms.runoff, rooms.drainage, rooms.job.units
    storm = in_units(storm_words(found.rain), system)
    storm = storm if found.rain.given else f"invented {storm}"
    bare, built = found.states[0], found.states[1]
    lines = [
        *(() if found.rain.given else (COMPARISON,)),
        f"Off the whole hill in {_a(storm)}, by curve number for the cover alone, without what the "
        "rows hold (dry to wet weather before it in brackets):",
        *(f"  {_state(s, system)}" for s in found.states),
        *_soil(found, system),
        *_on_rows(found, storm, system),
        *_above(found, system),
        *(line for drain in drainage.drains for line in drain_lines(drain, system)),
        *_where(found, system),
        *_limits(found, system),
    ]
    short = _short(found, bare, built, storm, system)
    verdict: Verdict = "with measures"
    settled = found.rain.given and found.above.whole and not found.above.drained
    if settled and not drainage.warnings and not found.warnings and found.storm is not None:
        verdict = "clear"
    return Answer(4, QUESTIONS[3], short, verdict, tuple(lines), _figures(rooms), _caution(rooms))


def _short(found: Runoff, bare: HillState, built: HillState, storm: str, system: System) -> str:
    if found.storm is None:
        runs = depth(bare.runoff[1], system)
        return f"In {_a(storm)} {runs} of rain runs off the hill; no cell is laid."
    less = 1 - found.storm.rows.volume / found.storm.bare.volume if found.storm.bare.volume else 0.0
    off = (
        f"In {_a(storm)} the ground under the cells sheds "
        f"{volume(found.storm.bare.volume, system)} without the rows and "
        f"{volume(found.storm.rows.volume, system)} with them just built ({_less(less)})."
    )
    grown = found.states[-1]
    kept = 1 - grown.loss[1] / bare.loss[1] if bare.loss[1] > 0 else 0.0
    if found.weighed:
        way = "falls" if built.loss[1] < bare.loss[1] else "rises at first,"
        soil = (
            f" Soil loss of the hill {way} from {mass(bare.loss[1], system)} to "
            f"{mass(built.loss[1], system)} a year when built and is "
            f"{mass(grown.loss[1], system)} grown in."
        )
    else:
        soil = f" Grown in, {kept:.0%} of today's soil loss stops."
    return off + soil


def _a(storm: str) -> str:
    return f"an {storm}" if storm[0] in "aeio8" else f"a {storm}"


def _less(share: float) -> str:
    return f"{share:.0%} less" if share >= 0 else f"{-share:.0%} more"


def _state(s: HillState, system: System) -> str:
    low, best, high = (depth(v, system) for v in s.runoff)
    peak = f"peak {flow(s.peak, system)} by TR-55, " if math.isfinite(s.peak) else "peak "
    return (
        f"{s.name} ({s.words}): CN {s.curve_number[1]:.0f}, runoff {best} ({low} to {high}), "
        f"{volume(s.volume, system)}; {peak}{flow(s.rational, system)} by the rational method."
    )


def _soil(found: Runoff, system: System) -> list[str]:
    bare = found.states[0].loss[1]
    lines = []
    if found.weighed:
        lines.append("Soil that a mean year takes off the hill (sheets and rills):")
        for s in found.states:
            low, best, high = (mass(v, system) for v in s.loss)
            lines.append(f"  {s.name}: {best} ({low} to {high}), {in_words(s.loss[1])}")
    else:
        lines.append(
            "Soil loss against today's, as R of the place is not given (rain.erosivity weighs it):"
        )
        for s in found.states:
            low, best, high = (f"{v / bare:.0%}" if bare > 0 else "none" for v in s.loss)
            lines.append(f"  {s.name}: {best} ({low} to {high})")
    grown = found.states[-1]
    if grown.rows and grown.loss[1] > 0 and grown.loss_beside > 0.3 * grown.loss[1]:
        share = grown.loss_beside / grown.loss[1]
        lines.append(
            f"Of what is left when grown in, {share:.0%} comes off the ground beside the cells, "
            "which is taken to stay as it is: mulch or plant it too."
        )
    if found.storm is not None:
        lines.append(
            "What the rows earn is the shorter slope, a cell's run instead of the whole hill, and "
            "what they hold; no curve number and no P is lowered for them."
        )
    said = doubtful_reduction(bare, grown.loss[1], rows_and_cover=grown.rows)
    return [*lines, said] if said else lines


def _on_rows(found: Runoff, storm: str, system: System) -> list[str]:
    s = found.storm
    if s is None:
        return []
    hold = float(s.hold.sum())
    lines = [
        f"The storm marched down the rows, just built: of {volume(s.rain + s.run_on, system)} on "
        f"the cells {volume(s.rows.volume, system)} leaves; the fill keeps "
        f"{volume(s.fill, system)}, {volume(s.ground, system)} goes into the ground. Peak "
        f"{flow(s.rows.peak, system)}, without the rows {flow(s.bare.peak, system)}"
        f"{_no_lower(s)}.",
        f"The cells hold {volume(hold, system)} of water on their soil, "
        f"{depth(hold / found.cells, system)} over their area: little stands behind the walls, "
        "fill and ground must take the rest.",
        _first(found, s, system),
    ]
    if found.event is not None:
        e = found.event
        fell = f"The storm of the event file: {volume(e.rain + e.run_on, system)} on the cells,"
        if e.rows.volume <= NOTHING * (e.rain + e.run_on):
            return [
                *lines,
                f"{fell} as good as nothing leaves; {volume(e.bare.volume, system)} without the "
                f"rows, at a peak of {flow(e.bare.peak, system)}.",
            ]
        lines.append(
            f"{fell} {volume(e.rows.volume, system)} leaves, {volume(e.bare.volume, system)} "
            f"without the rows; peaks {flow(e.rows.peak, system)} and "
            f"{flow(e.bare.peak, system)}"
            + (f"; row {e.first_row} spills first." if e.first_row else "; no row spills.")
        )
    return lines


def _no_lower(s: RowStorm) -> str:
    """Say where the rows hold water back and do not lower the peak."""
    if not s.bare.peak or s.rows.peak < 0.95 * s.bare.peak:
        return ""
    return ": they hold water back, and do not lower the peak, as they are full when it comes"


def _first(found: Runoff, s: RowStorm, system: System) -> str:
    if s.first_row == 0:
        return f"No row spills in the {found.rain.period:g}-year storm."
    said = (
        f"Row {s.first_row} spills first, {units.show(s.first_time, 's', system)} after the storm "
        "began."
    )
    of = found.threshold
    if len(of.years) > 1 and math.isfinite(of.first):
        least = "already in" if of.first == of.years[0] else "first in"
        said += (
            f" Of the storms known, rows spill {least} the {of.first:g}-year one (row {of.row})."
        )
    return said


def _above(found: Runoff, system: System) -> list[str]:
    above = found.above
    area = units.show(above.area, "m2", system)
    from_ = {"given": "as given", "surface": "on the survey", "map": "on the height map"}[above.how]
    at_least = "" if above.whole else "at least "
    if above.area <= 0:
        return ["No water from above reaches row 1, as far as the survey goes."]
    said = (
        f"Water from above: {at_least}{area} drains onto row 1 ({from_}), {at_least}"
        f"{volume(above.volume, system)} in the storm, peak {flow(above.peak, system)}."
    )
    if above.drained:
        return [f"{said} A crest drain takes it before it reaches row 1."]
    if above.needed:
        return [f"{said} It needs a crest drain, and none is wanted: it runs onto row 1."]
    need = "" if above.whole else " by what was surveyed"
    return [f"{said} No crest drain is needed{need}: the rows take it."]


def _where(found: Runoff, system: System) -> list[str]:
    if found.storm is None or found.leaves.sum() <= 0:
        return []
    toe, left, right = found.leaves.sum(axis=1)
    whole = toe + left + right
    return [
        f"What spills off the grid leaves at the toe ({toe / whole:.0%}), over the left side "
        f"({left / whole:.0%}) and the right ({right / whole:.0%}), looking uphill; the plan sheet "
        "shows where."
    ]


def _limits(found: Runoff, system: System) -> list[str]:
    return [
        "Taken where the job is silent:",
        *(f"  {in_units(a, system)}" for a in found.assumed),
        "Where the methods end:",
        *(f"  {in_units(d, system)}" for d in found.doubts),
    ]


def _caution(rooms: Rooms) -> str:
    if any(drain.key == "crest" for drain in rooms.drainage.drains):
        return (
            f"{_CAUTION} A drain that takes water from above a steep slope should be looked over "
            "by a licensed engineer."
        )
    return _CAUTION


def _figures(rooms: Rooms) -> tuple[str, ...]:
    """Name the figures that matter most; the list of all has the rest."""
    made = [w.figure for w in (*rooms.runoff.workings, *rooms.drainage.workings)]
    ends = (".rain", ".area", ".bare", ".built", ".grown", ".volume", ".velocity", ".depth")
    return tuple(f for f in made if f.endswith(ends) and ".rational." not in f)
