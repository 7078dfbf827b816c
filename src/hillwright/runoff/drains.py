"""The drains stage: the ditch above row 1 where it is needed, and the one at the toe."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange
from hillwright.job.water import Drains
from hillwright.layout.model import Layout
from hillwright.runoff.apron import stone_apron
from hillwright.runoff.channels import full_pipe
from hillwright.runoff.ditch import Ditch, cautions, size_ditch
from hillwright.runoff.drainlines import (
    Bed,
    axes,
    bed_of,
    crest_line,
    length_of,
    on_contour,
    toe_line,
)
from hillwright.runoff.drainmodel import Drain, Drainage, Lead
from hillwright.runoff.drainworkings import workings
from hillwright.runoff.model import Runoff
from hillwright.runoff.partfull import part_full
from hillwright.runoff.tables import INCH
from hillwright.terrain.model import Surface

SIDE = 2.0  # run of a ditch's sides for one of rise; common practice, no source
LEAST_FLOW = 0.5e-3  # that a drain is sized for: no spade digs a smaller one; our choice [m3/s]
DIAMETERS = (4, 6, 8, 10, 12, 15, 18)  # of pipes that can be had [in]
PIPE_ROUGHNESS = 0.020  # corrugated plastic, single wall; common practice, no source
SPARE = 1.5  # a pipe carries so many times its flow: leaves and mud; our choice
STEEPEST = 0.25  # that a ditch runs; beyond, a pipe or steps
SLOW = 0.005
DEEP = 0.6  # that a ditch is dug by hand; our choice [m]
FAST = 2.5  # that stones alone are not trusted with; our choice [m/s]
SHORTEST = 1.0  # that an apron is made; our choice [m]
_NO_LINE = np.empty((0, 2))


@dataclass(frozen=True, slots=True)
class _Asked:
    """What one drain is to do."""

    key: str
    name: str
    why: str
    flow: float
    of: str


def lay_drains(
    surface: Surface, layout: Layout, found: Runoff, asked: Drains, outlet: Array | None
) -> Drainage:
    """Stage: size the drains, say where they run and count what they take.

    Parameters
    ----------
    surface, layout : Surface, Layout
        The ground, and the cells on it.
    found : Runoff
        The water.
    asked : Drains
        Gradient and lining, where the job names them.
    outlet : (2,) array, optional
        Where the water may be let out, in the local frame [m].

    Raises
    ------
    OutOfRange
        A lining that no table has, none that stands the water, or an outlet above the drains.
    """
    if not len(layout.row):
        return Drainage((), outlet, (), ())
    gradient = math.tan(asked.slope)
    drains, warnings = [], []
    for one in _wanted(found):
        drain, said = _lay(one, surface, layout, gradient, asked.lining, outlet)
        drains.append(drain)
        warnings += said
    if outlet is None:
        warnings.append(
            "No place is named where the drains let their water out (drains.outlet): it must be "
            "found before anything is dug, and never be a neighbour's line or the open slope."
        )
    made = tuple(drains)
    return Drainage(made, outlet, workings(made), tuple(warnings))


def _wanted(found: Runoff) -> list[_Asked]:
    """List the drains: the crest one where it is needed, and the toe one always."""
    wanted = []
    if found.above.drained:
        why = "water from above would run onto row 1"
        if not found.above.needed:
            why = "asked for"
        wanted.append(
            _Asked("crest", "crest drain", why, found.above.peak, "peak of the water from above")
        )
    flows = [("the storm marched down the rows", found.storm.rows.peak if found.storm else 0.0)]
    for state in found.states[1:]:
        flows += [(f"TR-55, {state.name}", state.peak), (f"rational, {state.name}", state.rational)]
    of, flow = max((f for f in flows if math.isfinite(f[1])), key=lambda f: f[1])
    if not found.above.drained:
        flow += found.above.peak
        of += ", with the water from above"
    why = "what leaves the rows must be gathered and let out where it does no harm"
    wanted.append(_Asked("toe", "toe drain", why, flow, of))
    return wanted


def _lay(
    one: _Asked,
    surface: Surface,
    layout: Layout,
    gradient: float,
    lining: str,
    outlet: Array | None,
) -> tuple[Drain, list[str]]:
    flow = max(one.flow, LEAST_FLOW)
    plain = _sized(flow, gradient, lining)
    make = crest_line if one.key == "crest" else toe_line
    up = axes(layout)[1] if one.key == "crest" else -axes(layout)[1]
    near = make(layout, plain.top_width / 2)
    line, end, bed = _downhill(near, up, surface, gradient, plain, outlet)
    ditch, doubts = _at_steepest(flow, plain, gradient, bed, lining)
    length = length_of(line)
    lead, lead_line, said = _lead(one, line[-1], surface, flow, outlet)
    rise, kind_velocity = _rise(ditch, flow), ditch.velocity
    if lead is not None and lead.kind == "pipe":
        rise, kind_velocity = lead.diameter, lead.velocity
    apron = stone_apron(flow, rise)
    along = max(float(apron.length), SHORTEST)
    apron = apron._replace(length=np.asarray(along), end_width=np.asarray(3 * rise + along * 2 / 3))
    apron_area = (3 * rise + float(apron.end_width)) / 2 * along
    side = math.hypot(1, SIDE)
    brim = ditch.depth + ditch.freeboard
    open_length = length + (lead.length if lead is not None and lead.kind == "ditch" else 0.0)
    text = (*cautions(ditch, max(gradient, min(bed.steepest, STEEPEST))), *doubts)
    deepest = float(bed.cut.max())
    if deepest > DEEP:
        text += (
            f"Its bed lies up to {deepest:.2f} m deep where the ground rises against its fall: "
            "bend the line down the slope there, or let it fall both ways.",
        )
    if kind_velocity > FAST:
        text += (
            "Water comes out of the pipe fast: an apron of stones spreads it and takes little of "
            "its force. Have a basin or a stilling box designed.",
        )
    drain = Drain(
        key=one.key,
        name=one.name,
        why=one.why,
        line=frozen(line),
        end=end,
        flow=flow,
        of=one.of if flow == one.flow else f"{one.of}, no less than any ditch carries",
        gradient=gradient,
        steepest=bed.steepest,
        ditch=ditch,
        length=length,
        drop=bed.drop,
        deepest=deepest,
        lining_area=(ditch.bottom_width + 2 * side * brim) * open_length,
        dug=bed.dug(ditch.bottom_width, SIDE)
        + (ditch.bottom_width + SIDE * brim) * brim * (open_length - length),
        lead=lead,
        lead_line=frozen(lead_line),
        rise=rise,
        apron=apron,
        apron_area=apron_area,
        stones=apron_area * float(apron.thickness),
        cautions=text,
    )
    return drain, said


def _sized(flow: float, gradient: float, lining: str) -> Ditch:
    try:
        return size_ditch(flow, gradient, SIDE, lining=(lining,) if lining.strip() else ())
    except OutOfRange as error:
        where = {"lining": "drains.lining", "gradient": "drains.slope", "flow": "drains.lining"}
        problem = error.problems[0]
        raise OutOfRange(
            where.get(problem.where, problem.where), problem.what, problem.right
        ) from error


def _rise(ditch: Ditch, flow: float) -> float:
    """Give the diameter of a circle with the area of the water in a ditch [m]."""
    return math.sqrt(4 / math.pi * flow / ditch.velocity)


def _downhill(
    line: Array, away: Array, surface: Surface, gradient: float, ditch: Ditch, outlet: Array | None
) -> tuple[Array, str, Bed]:
    """Turn a line so that it falls to the end nearer the outlet, else the way with less to dig."""
    brim = ditch.depth + ditch.freeboard
    ways = []
    for near, end in ((line, "right"), (line[::-1].copy(), "left")):
        laid = on_contour(near, away, surface.ground, gradient)
        ways.append((laid, end, bed_of(laid, surface.ground, gradient, brim)))
    if outlet is not None:
        return min(ways, key=lambda w: float(np.hypot(*(w[0][-1] - outlet))))
    return min(ways, key=lambda w: w[2].dug(ditch.bottom_width, SIDE))


def _at_steepest(
    flow: float, plain: Ditch, gradient: float, bed: Bed, lining: str
) -> tuple[Ditch, tuple[str, ...]]:
    """Take the lining that stands the steepest piece, and the depth of the flattest."""
    steep = bed.steepest
    if steep <= gradient * 1.01:
        return plain, ()
    said: tuple[str, ...] = ()
    if steep > STEEPEST:
        said = (
            f"A piece of it falls by {steep:.0%}, steeper than any lining is offered for: lead it "
            "closer along the contour, step it with stones, or take a pipe there.",
        )
    hard = _sized(flow, min(steep, STEEPEST), lining)
    flat = size_ditch(flow, gradient, SIDE, (hard.bottom_width,), (hard.lining,))
    return flat._replace(
        velocity=hard.velocity, shear=hard.shear, velocity_limit=hard.velocity_limit,
        shear_limit=hard.shear_limit, froude=hard.froude,
    ), said  # fmt: skip


def _lead(
    one: _Asked, start: Array, surface: Surface, flow: float, outlet: Array | None
) -> tuple[Lead | None, Array, list[str]]:
    """Lead the water from a ditch to the outlet: in a ditch, or a pipe where it is steep."""
    if outlet is None:
        return None, _NO_LINE, []
    run = float(np.hypot(*(outlet - start)))
    line = np.stack((start, outlet))
    if run < 0.5:
        return None, _NO_LINE, []
    z = np.asarray(surface.ground.at(line[:, 0], line[:, 1])[0])
    if not np.isfinite(z).all():
        what = f"The outlet lies off the survey: the way from the {one.name} to it is not measured."
        return None, _NO_LINE, [what]
    fall = float(z[0] - z[1])
    if fall <= 0:
        what = f"the place lies {-fall:.2f} m above the end of the {one.name}"
        if one.key == "crest":
            raise OutOfRange("drains.outlet", what, "water runs down: name a lower place")
        return None, _NO_LINE, [
            f"drains.outlet: {what}: the water of the toe needs a lower place of its own."
        ]  # fmt: skip
    gradient = fall / run
    length = math.hypot(run, fall)
    if gradient <= STEEPEST:
        velocity = size_ditch(flow, max(gradient, SLOW), SIDE).velocity
        return Lead(length, gradient, "ditch", 0.0, velocity), line, []
    pipes = full_pipe(np.array(DIAMETERS) * INCH, PIPE_ROUGHNESS, min(gradient, 2.0))
    enough = np.flatnonzero(pipes.flow >= SPARE * flow)
    if not enough.size:
        what = f"The way from the {one.name} to the outlet needs a pipe larger than any tabled."
        return None, line, [what]
    k = int(enough[0])
    return (
        Lead(
            length,
            gradient,
            "pipe",
            DIAMETERS[k] * INCH,
            part_full(flow, DIAMETERS[k] * INCH, PIPE_ROUGHNESS, min(gradient, 2.0)).velocity,
        ),
        line,
        [],
    )
