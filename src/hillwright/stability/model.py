"""What the stability room gives: the hill, its slip circles, what holds the cells, the verdict.

The three states of the hill are in the order of :data:`STATES`, those of the cells in the order of
:data:`FILLINGS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from hillwright.arrays import Array, Index, Mask
from hillwright.method import Working

Verdict = Literal["clear", "with measures", "stop"]

STATES = ("as found", "soaked", "soaked, with earthquake")
FILLINGS = ("empty", "filled, dry", "filled, soaked", "filled, soaked, with earthquake")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why somebody else must be asked before anything is built or ordered."""

    condition: str
    verdict: Verdict
    who: str
    source: str


class CheckRow(NamedTuple):
    """One thing that is asked of the ground, a bar, a clip or a wall, and what it has."""

    what: str
    demand: float
    capacity: float
    unit: str  # SI tag
    factor: float  # capacity over demand; inf where nothing is asked
    required: float
    governing: bool  # nearest to what is required
    source: str  # of the required factor
    note: str

    @property
    def passed(self) -> bool:
        """It has what is required."""
        return bool(self.factor >= self.required * (1 - 1e-9))


@dataclass(frozen=True, slots=True, eq=False)
class SlopeMap:
    """The layer of soil at p places over the outline, sliding parallel to the ground."""

    xy: Array  # (p, 2) the steepest place, then an even net [m]
    step: float  # of the net [m]
    slope: Array  # (p,) steepest, from horizontal [rad]
    loaded: Mask  # (p,) cells lie there
    bare: Array  # (3, p) factor by STATES without cells [-]
    filled: Array  # (3, p) factor by STATES with filled cells where they lie [-]
    wetted: Array  # (p,) factor with cells, wet to the whole depth but with no flow of water [-]
    rooted: Array  # (p,) soaked, with cells and grown roots: a bonus, never a check [-]
    p10: Array  # (p,) factor, soaked, with cells, that a tenth of all such soils stay below [-]
    p50: Array  # (p,) [-]
    p90: Array  # (p,) [-]
    chance: Array  # (p,) of a factor below 1, sampled: soaked, with cells [-]
    critical_depth: Array  # (p,) of soaked bare soil that just stands [m]
    critical_water: Array  # (p,) upright height of water at which it slides, with cells [m]
    yields_at: Array  # (p,) horizontal coefficient of shaking at which it slides, soaked [-]
    weakest: int  # place with the least factor, soaked, with cells


@dataclass(frozen=True, slots=True, eq=False)
class SlipCircle:
    """The circle with the least factor on one section, in one state."""

    name: str  # of the section: "S" is the one on the sheets
    beside: float  # of section S, to the right looking uphill [m]
    state: str
    loaded: bool  # filled cells stand on it
    line: Array  # (k, 3) the section on the ground, top to bottom [m]
    methods: tuple[str, ...]
    factors: Array  # (j,) least by each method; not a number where none balances [-]
    factor: float  # the lower of them [-]
    centre: Array  # (2,) level distance from the start of the line, and height [m]
    radius: float  # [m]
    arc: Array  # (m, 2) from foot to head, likewise [m]
    depth: float  # most ground over it [m]
    skin: float  # factor of the face's skin, where it has no cohesion [-]
    at_edge: bool  # stopped by the end of the ground that is known
    surcharge: float  # of the cells on the level ground [Pa]
    head: float  # of the water in them over the ground [m]
    water_weight: float  # that a head presses with, flowing down the slope [N/m3]
    tried: int  # circles worked out


@dataclass(frozen=True, slots=True, eq=False)
class Anchoring:
    """What the rows hang from, and what it must hold. n cells, m clipped pairs, a bars."""

    slope: Array  # (n,) steepest of each base [rad]
    weight: Array  # (4, n) of cell and soil by FILLINGS [N]
    pull: Array  # (4, n) net pull of each cell down the slope by FILLINGS [N]
    pair: Array  # (m,) most through each clipped pair, over all states but people; pulls with
    # earthquake count three quarters, as their required factors do [N]
    hangs: Mask  # (n,) from bars of its own
    held: Array  # (n,) most on the bars of each cell, with the people that the job asks for [N]
    count: Index  # (n,) bars at each cell
    place: Array  # (a, 3) of each bar [m]
    place_cell: Index  # (a,) cell at whose upper edge it stands, counted from 0
    staked_rows: Index  # rows besides row 1 whose cells hang from stakes of their own
    bar: int  # number, as in No. 4; 0 where there is nothing to hold
    length: float  # driven into the ground [m]
    spacing: float  # least, along a row [m]
    adequate: bool  # such bars hold, tested or by the rules; see `test_load`
    test_load: float  # that a wet pull test must show first; 0 where the rules or a test suffice
    by_rule: float  # what one such bar may hold by the rules alone [N]
    person: float  # pull of one person on the cells, less the friction under the feet [N]


@dataclass(frozen=True, slots=True, eq=False)
class Stability:
    """Whether the hill stands, and what holds the cells on it."""

    soil: str  # what the soil is called; "" when nobody has said what it is
    soil_source: str
    soil_notes: tuple[str, ...]
    depth: float  # of the soil that could slide [m]
    depth_known: bool
    map: SlopeMap
    circles: tuple[SlipCircle, ...]  # the least factor first
    first_order: float  # chance of a factor below 1 at the weakest place, first-order [-]
    anchoring: Anchoring
    slope_checks: tuple[CheckRow, ...]
    grid_checks: tuple[CheckRow, ...]
    site: tuple[Reason, ...]  # what was seen there, or not looked for
    hill: tuple[Reason, ...]  # the slope's own: factors, thresholds
    grid: tuple[Reason, ...]  # of the cells, clips and bars
    measures: tuple[str, ...]  # what must be done for the grid to hold
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
    soaked: float = 1.0  # share of that depth that water fills when soaked [-]
    root_kind: str = ""  # of the plants whose grown roots reach so deep

    @property
    def hill_verdict(self) -> Verdict:
        """Of the hill and the site."""
        return worst((*self.site, *self.hill))

    @property
    def grid_verdict(self) -> Verdict:
        """Of what the cells hang from, on this hill and site."""
        if any(r.verdict == "stop" for r in (*self.site, *self.hill, *self.grid)):
            return "stop"
        return "with measures" if self.measures else worst(self.grid)


def worst(reasons: tuple[Reason, ...]) -> Verdict:
    """Give the gravest verdict of some reasons; none are clear."""
    order: tuple[Verdict, ...] = ("stop", "with measures")
    return next((v for v in order if any(r.verdict == v for r in reasons)), "clear")
