"""From the end of a drain to where its water may be let out."""

from __future__ import annotations

import math

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.runoff.channels import full_pipe
from hillwright.runoff.ditch import size_ditch
from hillwright.runoff.drainmodel import Lead
from hillwright.runoff.partfull import part_full
from hillwright.runoff.tables import INCH
from hillwright.terrain.model import Surface

SIDE = 2.0  # run of a ditch's sides for one of rise; common practice, no source
DIAMETERS = (4, 6, 8, 10, 12, 15, 18)  # of pipes that can be had [in]
PIPE_ROUGHNESS = 0.020  # corrugated plastic, single wall; common practice, no source
SPARE = 1.5  # a pipe carries so many times its flow: leaves and mud; our choice
STEEPEST = 0.25  # that a ditch runs; beyond, a pipe or steps
_SLOW = 0.005  # no ditch is sized for less fall
_AT_ONCE = 0.5  # the outlet is at the end of the drain itself [m]
_NO_LINE = np.empty((0, 2))


def lead_to(
    name: str, start: Array, surface: Surface, flow: float, outlet: Array | None, *, must: bool
) -> tuple[Lead | None, Array, list[str]]:
    """Lead the water from a ditch to the outlet: in a ditch, or a pipe where it is steep.

    Parameters
    ----------
    name : str
        Of the drain, for messages.
    start, outlet : (2,) array
        End of the ditch, and where the water may be let out, if the job names it [m].
    surface : Surface
        The ground between.
    flow : float
        Design flow [m3/s].
    must : bool
        Nothing else can take its water: an outlet above it is refused, not told.

    Returns
    -------
    lead : Lead or None
    line : (2, 2) or (0, 2) array
        Its line [m].
    said : list of str
        What somebody must look at.

    Raises
    ------
    OutOfRange
        The outlet lies above a drain that must reach it.
    """
    if outlet is None:
        return None, _NO_LINE, []
    run = float(np.hypot(*(outlet - start)))
    if run < _AT_ONCE:
        return None, _NO_LINE, []
    line = np.stack((start, outlet))
    z = np.asarray(surface.ground.at(line[:, 0], line[:, 1])[0])
    if not np.isfinite(z).all():
        what = f"The outlet lies off the survey: the way from the {name} to it is not measured."
        return None, _NO_LINE, [what]
    fall = float(z[0] - z[1])
    if fall <= 0:
        what = f"the place lies {-fall:.2f} m above the end of the {name}"
        if must:
            raise OutOfRange("drains.outlet", what, "water runs down: name a lower place")
        right = "the water of the toe needs a lower place of its own"
        return None, _NO_LINE, [f"drains.outlet: {what}: {right}."]
    gradient, length = fall / run, math.hypot(run, fall)
    if gradient <= STEEPEST:
        try:
            velocity = size_ditch(flow, max(gradient, _SLOW), SIDE).velocity
            return Lead(length, gradient, "ditch", 0.0, velocity), line, []
        except OutOfRange:
            pass  # no lining stands it: a pipe does
    slope = min(gradient, 2.0)
    pipes = full_pipe(np.array(DIAMETERS) * INCH, PIPE_ROUGHNESS, slope)
    enough = np.flatnonzero(pipes.flow >= SPARE * flow)
    if not enough.size:
        what = f"The way from the {name} to the outlet needs a pipe larger than any tabled."
        return None, line, [what]
    diameter = DIAMETERS[int(enough[0])] * INCH
    velocity = part_full(flow, diameter, PIPE_ROUGHNESS, slope).velocity
    return Lead(length, gradient, "pipe", diameter, velocity), line, []
