"""Drains sized: a crest ditch or toe outlet with the plainest lining that stands the water."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from hillwright import given
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.channels import normal_flow
from hillwright.runoff.tables import FOOT, POUND_PER_FOOT2, rows, words

WIDTHS = (0.3, 0.45, 0.6, 0.9, 1.2)  # a spade, a bucket, a small digger; common practice [m]
LEAST_FREEBOARD = 0.15  # 6 in; common practice [m]

CAUTION = (
    "Where this drain ends, the water must be let out onto stone or into an energy dissipator, "
    "never onto the open slope, against a building or across a neighbour's line. What may be "
    "drained where is for the local code and the building department; a drain that takes water "
    "from above a steep slope should be looked over by a licensed engineer."
)


@dataclass(frozen=True, slots=True)
class Lining:
    """What a ditch may be lined with, and what that stands."""

    name: str
    n_low: float  # for velocity: water runs fastest on it
    n_high: float  # for depth: water stands highest on it
    shear: float  # that it stands [Pa]; infinite for a hard lining
    velocity: float  # that it stands [m/s]; infinite where the source rules by shear alone
    steepest: float  # gradient up to which it is offered


class Ditch(NamedTuple):
    """A ditch and how it runs at its design flow."""

    lining: str
    bottom_width: float
    depth: float
    freeboard: float
    top_width: float
    velocity: float
    shear: float
    velocity_limit: float
    shear_limit: float
    froude: float


@cache
def linings() -> tuple[Lining, ...]:
    """Give the linings from the plainest to the hardest (``data/linings.toml``, ditch)."""
    return tuple(
        Lining(
            r["lining"],
            r["n_low"],
            r["n_high"],
            math.inf if r["shear_lb_ft2"] == "" else r["shear_lb_ft2"] * POUND_PER_FOOT2,
            math.inf if r["velocity_ft_s"] == "" else r["velocity_ft_s"] * FOOT,
            r["steepest"],
        )
        for r in rows("linings", "ditch")
    )


@method(
    title="Ditch with the plainest lining that stands its water",
    equation="d from Manning with the roughest n, V with the smoothest; V <= V_p, g d S <= t_p; "
    "freeboard = max(6 in, d/4)",
    source="FHWA 2005, HEC-15 3rd ed.; FHWA 2024, HEC-22 4th ed., ch. 6; SCS-TP-61; Keown et al. "
    "1977; permissible shears and freeboard from memory and common practice",
    symbols={
        "d": "depth of the water",
        "n": "roughness of the lining",
        "V": "velocity",
        "V_p": "velocity that the lining stands",
        "t_p": "shear that the lining stands",
        "g": "unit weight of water",
        "S": "gradient",
    },
)
def size_ditch(
    flow: float,
    gradient: float,
    side_slope: float = 2.0,
    bottom_width: Sequence[float] = WIDTHS,
    lining: Sequence[str] = (),
) -> Ditch:
    """Size a drain for its design flow.

    Parameters
    ----------
    flow : float
        Design flow. [m3/s]
    gradient : float
        Fall of the ditch over its run. [-]
    side_slope : float
        Run of a side for one of rise. [-]
    bottom_width : (k,) array
        Widths that can be dug; the least that works is taken. [m]
    lining : sequence of str
        Linings that may be used; none named: all of the table. [text]

    Returns
    -------
    lining : str
        The plainest one that stands the water. [text]
    bottom_width : float
        Of the ditch. [m]
    depth : float
        Of the water, on the roughest state of the lining. [m]
    freeboard : float
        Above the water to the brim. [m]
    top_width : float
        At the brim. [m]
    velocity : float
        On the smoothest state of the lining. [m/s]
    shear : float
        On the bed, at the depth above. [Pa]
    velocity_limit : float
        That the lining stands; without limit where the source rules by shear alone. [m/s]
    shear_limit : float
        That the lining stands; without limit for a hard one. [Pa]
    froude : float
        On the smoothest state; from about 0.9 the water is rough, above 1 it shoots. [-]

    Raises
    ------
    OutOfRange
        Flow or gradient of 0 or below, a lining that is not tabled, a gradient over 25 %, or no
        lining that stands the water.

    Notes
    -----
    Gradients up to 25 %, loose stone up to 10 %: beyond, an engineer's stepped channel or pipe.
    The end of every ditch needs an energy dissipator.
    """
    q = float(given.above_zero("flow", flow))
    s = float(guard.gradient(gradient))
    widths = sorted(float(w) for w in given.at_least_zero("bottom_width", bottom_width).flat)
    if not widths:
        raise OutOfRange("bottom_width", "names no width", "give at least one")
    chosen = _chosen(lining)
    fitting = [x for x in chosen if s <= x.steepest + 1e-9]
    if not fitting:
        most = max(x.steepest for x in chosen)
        what = f"{s:.0%} is steeper than the {most:.0%} that these linings are offered for"
        right = "lead the ditch closer along the contour, or ask an engineer for a stepped drain"
        raise OutOfRange("gradient", what, right)
    for one in fitting:
        for width in widths:
            ditch = _try(q, s, side_slope, width, one)
            if ditch.velocity <= ditch.velocity_limit and ditch.shear <= ditch.shear_limit:
                return ditch
    what = f"{q * 1000:.0f} L/s at {s:.1%} is more than any of these linings stands"
    raise OutOfRange("flow", what, "part the flow, lessen the fall, or take a harder lining")


def _chosen(names: Sequence[str]) -> tuple[Lining, ...]:
    listed = (names,) if isinstance(names, str) else tuple(names)
    if not listed:
        return linings()
    known = words("linings", "ditch", "lining")
    wanted = {given.one_of("lining", n, known) for n in listed}
    return tuple(x for x in linings() if x.name in wanted)


def _try(flow: float, gradient: float, side: float, width: float, lining: Lining) -> Ditch:
    high = normal_flow(flow, width, side, lining.n_high, gradient)
    fast = normal_flow(flow, width, side, lining.n_low, gradient)
    depth = float(high.depth)
    freeboard = max(LEAST_FREEBOARD, depth / 4)
    return Ditch(
        lining.name,
        width,
        depth,
        freeboard,
        width + 2 * side * (depth + freeboard),
        float(fast.velocity),
        float(high.shear),
        lining.velocity,
        lining.shear,
        float(fast.froude),
    )


def cautions(ditch: Ditch, gradient: float) -> tuple[str, ...]:
    """Say what must be watched with a ditch: its end always, and how the water runs."""
    said = [CAUTION]
    if ditch.froude > 0.9:
        said.append(
            f"The water runs rough or shoots (Froude number {ditch.froude:.1f}): keep the ditch "
            "straight, give bends more freeboard, and end it in a dissipator that is designed."
        )
    if gradient > 0.10:
        said.append(
            "Above 10 % of fall the roughness of a lining is uncertain: have the ditch checked."
        )
    if gradient < 0.005:
        said.append("Below 0.5 % of fall a ditch silts up: plan to clean it each season.")
    if "grass" in ditch.lining:
        said.append("Grass stands this water only once it has grown: protect it until then.")
    return tuple(said)
