"""Question 4: where the rain goes, before and after."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.rooms import Rooms
from hillwright.runoff.drainmodel import Drain
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
        *(line for drain in drainage.drains for line in _drain(drain, system)),
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
        runs = _depth(bare.runoff[1], system)
        return f"In {_a(storm)} {runs} of rain runs off the hill; no cell is laid."
    less = 1 - found.storm.rows.volume / found.storm.bare.volume if found.storm.bare.volume else 0.0
    off = (
        f"In {_a(storm)} the ground under the cells sheds "
        f"{_volume(found.storm.bare.volume, system)} without the rows and "
        f"{_volume(found.storm.rows.volume, system)} with them just built ({_less(less)})."
    )
    grown = found.states[-1]
    kept = 1 - grown.loss[1] / bare.loss[1] if bare.loss[1] > 0 else 0.0
    if found.weighed:
        soil = (
            f" Soil loss of the hill falls from {_mass(bare.loss[1], system)} to "
            f"{_mass(built.loss[1], system)} a year when built and "
            f"{_mass(grown.loss[1], system)} grown in."
        )
    else:
        soil = f" Grown in, {kept:.0%} of today's soil loss stops."
    return off + soil


def _a(storm: str) -> str:
    return f"an {storm}" if storm[0] in "aeio8" else f"a {storm}"


def _less(share: float) -> str:
    return f"{share:.0%} less" if share >= 0 else f"{-share:.0%} more"


def _state(s: HillState, system: System) -> str:
    low, best, high = (_depth(v, system) for v in s.runoff)
    peak = f"peak {_flow(s.peak, system)} by TR-55, " if math.isfinite(s.peak) else "peak "
    return (
        f"{s.name} ({s.words}): CN {s.curve_number[1]:.0f}, runoff {best} ({low} to {high}), "
        f"{_volume(s.volume, system)}; {peak}{_flow(s.rational, system)} by the rational method."
    )


def _soil(found: Runoff, system: System) -> list[str]:
    bare = found.states[0].loss[1]
    lines = []
    if found.weighed:
        lines.append("Soil that a mean year takes off the hill (sheets and rills):")
        for s in found.states:
            low, best, high = (_mass(v, system) for v in s.loss)
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
        f"The storm marched down the rows, just built: of {_volume(s.rain + s.run_on, system)} on "
        f"the cells {_volume(s.rows.volume, system)} leaves; the fill keeps "
        f"{_volume(s.fill, system)}, {_volume(s.ground, system)} goes into the ground. Peak "
        f"{_flow(s.rows.peak, system)}, without the rows {_flow(s.bare.peak, system)}.",
        f"The cells hold {_volume(hold, system)} of water on their soil, "
        f"{_depth(hold / found.cells, system)} over their area: little stands behind the walls, "
        "fill and ground must take the rest.",
        _first(found, s, system),
    ]
    if found.event is not None:
        e = found.event
        lines.append(
            f"The storm of the event file: {_volume(e.rain + e.run_on, system)} on the cells, "
            f"{_volume(e.rows.volume, system)} leaves, {_volume(e.bare.volume, system)} without "
            f"the rows; peaks {_flow(e.rows.peak, system)} and {_flow(e.bare.peak, system)}"
            + (f"; row {e.first_row} spills first." if e.first_row else "; no row spills.")
        )
    return lines


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
        f"{_volume(above.volume, system)} in the storm, peak {_flow(above.peak, system)}."
    )
    if above.drained:
        return [f"{said} A crest drain takes it before it reaches row 1."]
    if above.needed:
        return [f"{said} It needs a crest drain, and none is wanted: it runs onto row 1."]
    need = "" if above.whole else " by what was surveyed"
    return [f"{said} No crest drain is needed{need}: the rows take it."]


def _drain(drain: Drain, system: System) -> list[str]:
    d = drain.ditch
    small = [_small(v, system) for v in (d.bottom_width, d.depth, d.freeboard)]
    stands = []
    if math.isfinite(d.velocity_limit):
        stands.append(f"stands {units.show(d.velocity_limit, 'm/s', system)}")
    if math.isfinite(d.shear_limit):
        shear, limit = (units.show(v, "Pa.small", system) for v in (d.shear, d.shear_limit))
        stands.append(f"shear {shear} of {limit}")
    fall = f"falling {drain.gradient:.1%}"
    if drain.steepest > 1.05 * drain.gradient:
        fall += f", {drain.steepest:.1%} at its steepest"
    line = (
        f"{drain.name.capitalize()}: {_flow(drain.flow, system)} ({drain.of}). "
        f"{_length(drain.length, system)} along the contour to the {drain.end}, {fall}; "
        f"{small[0]} wide at the bottom, sides 2:1, {small[1]} of water and {small[2]} of "
        f"freeboard; {d.lining}, {units.show(d.velocity, 'm/s', system)}"
        f"{' (' + ', '.join(stands) + ')' if stands else ''}."
    )
    ends = (
        f"  At its end {units.show(drain.stones, 'm3', system)} of stone, half of it over "
        f"{_small(float(drain.apron.median), system)}."
    )
    if drain.lead is not None:
        how = "a ditch"
        if drain.lead.kind == "pipe":
            how = f"a pipe of {_small(drain.lead.diameter, system)}"
        ends = (
            f"  From its end {_length(drain.lead.length, system)} of {how} to the outlet, "
            f"falling {drain.lead.gradient:.0%}, {units.show(drain.lead.velocity, 'm/s', system)}."
            + ends[1:]
        )
    return [line, ends, *(f"  {in_units(c, system)}" for c in drain.cautions[1:])]


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


def _depth(value: float, system: System) -> str:
    return units.show(value, "m.small", system)


def _length(value: float, system: System) -> str:
    number, label, _ = units.shown(value, "m", system)
    return f"{number:,.1f} {label}"


def _small(value: float, system: System) -> str:
    number, label, _ = units.shown(value, "m.small", system)
    return f"{number:.{1 if system == 'us' else 0}f} {label}"


def _flow(value: float, system: System) -> str:
    return units.show(value, "m3/s", system)


def _volume(value: float, system: System) -> str:
    tag = "m3.small" if value < 1.0 else "m3"
    return units.show(value, tag, system)


def _mass(value: float, system: System) -> str:
    return units.show(value, "kg.big", system)
