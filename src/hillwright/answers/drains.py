"""What question 4 says of each drain."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.answers.waterfigures import flow, length, small
from hillwright.runoff.drainmodel import Drain
from hillwright.units import System
from hillwright.wording import in_units


def drain_lines(drain: Drain, system: System) -> list[str]:
    """Say how much water a drain takes, where it runs, its section, lining and end."""
    d = drain.ditch
    section = [small(v, system) for v in (d.bottom_width, d.depth, d.freeboard)]
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
        f"{drain.name.capitalize()}: {flow(drain.flow, system)} ({drain.of}). "
        f"{length(drain.length, system)} along the contour to the {drain.end}, {fall}; "
        f"{section[0]} wide at the bottom, sides 2:1, {section[1]} of water and {section[2]} of "
        f"freeboard; {d.lining}, {units.show(d.velocity, 'm/s', system)}"
        f"{' (' + ', '.join(stands) + ')' if stands else ''}."
    )
    ends = (
        f"  At its end {units.show(drain.stones, 'm3', system)} of stone, half of it over "
        f"{small(float(drain.apron.median), system)}."
    )
    if drain.lead is not None:
        how = "a ditch"
        if drain.lead.kind == "pipe":
            how = f"a pipe of {small(drain.lead.diameter, system)}"
        ends = (
            f"  From its end {length(drain.lead.length, system)} of {how} to the outlet, "
            f"falling {drain.lead.gradient:.0%}, {units.show(drain.lead.velocity, 'm/s', system)}."
            + ends[1:]
        )
    return [line, ends, *(f"  {in_units(c, system)}" for c in drain.cautions[1:])]
