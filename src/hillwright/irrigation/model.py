"""What the irrigation room takes and gives."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array, Index
from hillwright.irrigation.network import Network, Solution
from hillwright.irrigation.parts import EmitterType, Tubing
from hillwright.irrigation.supply import Loss
from hillwright.method import Working


@dataclass(frozen=True, slots=True, eq=False)
class Needs:
    """Water that p planted cells need on the peak day, at the root zone."""

    cell: Index  # (p,) which cells of the layout
    demand: Array  # (p,) of the peak day, losses included [m3]
    zone: tuple[str, ...]  # (p,) hydrozone of each: plants of one are watered alike
    said: str  # where the numbers come from, in words
    ground: Array | None = None  # (p,) that a plant's emitters may lie on; None: its cell [m2]
    texture: str = ""  # USDA, of the soil in the cells; "" not known
    top: Array | None = None  # (p,) slope of the soil's top in the cell [rad]


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the person wants of the network."""

    compensating: bool = True
    longest_run: float = 7200.0  # of a valve on the peak day [s]
    longest_tube: float = 15 * 0.3048  # of small tubing [m]
    target: float = 0.90  # emission uniformity [-]
    fastest: float = 5 * 0.3048  # velocity [m/s]
    texture: str = "medium"  # of the soil in the cells
    wetted: float = 0.5  # share of a cell's area that must be wetted
    beside: bool = True  # the header may climb outside of the rows
    gentle: bool = False  # keep the rule for slopes, though more water is given
    plugged: float = 0.01  # share of emitters that give nothing, for the statistical uniformity
    viscosity: float = 1.0032e-6  # of the water [m2/s]
    pass_height: float = 0.1016  # of the holes over the cell's base [m]
    emitters: tuple[EmitterType, ...] = ()  # the person's own, in place of the generic ones
    tubing: tuple[Tubing, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Punches:
    """Every connector of a valve's laterals, in the order in which a lateral is walked."""

    lateral: Index  # (e,) row that carries the lateral
    side: tuple[str, ...]  # (e,) "left" or "right" of the header, looking uphill
    distance: Array  # (e,) along the tube from the header [m]
    cell: Index  # (e,) cell of the layout that the stake stands in
    kind: Index  # (e,) which of the valve's emitter types
    tube: Array  # (e,) of small tubing to the stake [m]
    node: Index  # (e,) of the network where its emitter is


@dataclass(frozen=True, slots=True, eq=False)
class Valve:
    """One valve and all behind it."""

    number: int
    zone: str  # hydrozone
    rows: tuple[int, int]  # first and last row with plants
    plants: Index  # (p,) cells of the layout
    types: tuple[EmitterType, ...]
    tubes: tuple[Tubing, ...]  # the tubing that sizes are numbers of
    punches: Punches
    network: Network
    at: Array  # (n, 3) where the nodes lie [m]
    walked: Array  # (n,) length of each link as tubing, without what barbs add [m]
    size: Index  # (n,) tubing of the link that leads to each node
    part: tuple[str, ...]  # (n,) "tap", "header", "lateral" or "small"
    row: Index  # (n,) row of the lateral that each node belongs to, 0 for the header
    carriers: tuple[int, ...]  # rows with a lateral, from the top down
    run: float  # on the peak day [s]
    flow: float  # at nominal emitters [m3/s]
    demand: float  # of its plants on the peak day [m3]
    regulator: float  # preset head [m]
    source: tuple[float, float]  # pressure head at the valve's outlet, low and high supply [m]
    low: Solution
    high: Solution
    uniformity: float  # design EU at low supply [-]
    low_quarter: float  # DUlq of what plants get, at low supply [-]
    statistical: float  # Us with making and plugging, at low supply [-]
    at_high: tuple[float, float, float]  # the same three at high supply [-]
    beside: float  # least pressure of the emitters by Hazen-Williams, C 150 [m]
    drained: float  # that runs out at the lowest emitter without check valves [m3]
    cost: float  # of the routes, laid with the narrowest tubing, without the connectors
    bound: float  # that no way of hanging plants on laterals goes below
    pipe_cost: float  # of header and laterals as sized
    pipe_bound: float  # of the split-pipe program on the same routes
    trouble: tuple[tuple[str, str, str], ...]  # what is not right, and the remedy


@dataclass(frozen=True, slots=True)
class Gentler:
    """Emitters that would keep the rule for the slope."""

    emitters: int
    run: float  # on the peak day [s]
    more: float  # water than is given now, as a share


@dataclass(frozen=True, slots=True)
class Landing:
    """How fast a valve's water lands, against the rule for the slope and the soil's intake."""

    valve: int
    slope: float  # steepest ground under its cells, rise over run [-]
    rate: float  # highest of its plants' grounds, each taken whole [m/s]
    cell: int  # where that is
    flow: float  # of that plant [m3/s]
    ground: float  # that its emitters may lie on [m2]
    limit: float  # by the rule; infinite where there is none [m/s]
    over: bool  # the rate is over it
    emitter: float  # largest flow of one [m3/s]
    emitter_limit: float  # by the rule [m3/s]
    rule: str  # where and what
    places: str  # where alone
    gentler: Gentler | None  # what would keep the rule, where it is not kept
    texture: str  # of the soil in the cells, "" not known
    spot: float  # fastest on the ground that emitters wet [m/s]
    intake: float  # of the soil [m/s]
    stands: float  # depth of water that may stand on it [m]
    longest: float  # run before water runs off; infinite where it never does [s]
    soak: float  # before the next [s]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is not as planned."""

    kind: str  # "leaks", "clogs" or "regulator"
    row: int  # of the lateral, 0 for the regulator
    size: float  # flow lost [m3/s]; share of its flow that a lateral gives; head behind the valve
    explains: float  # of the sum of squares


@dataclass(frozen=True, slots=True)
class Odd:
    """A cell that gets far from what the rest would have it get."""

    row: int
    cell: int
    share: float  # of what the fitted network gives it


@dataclass(frozen=True, slots=True, eq=False)
class AsBuilt:
    """A valve as measured."""

    valve: int
    catches: int
    gauges: int
    low_quarter: float  # DUlq of the catches; NaN with fewer than four
    statistical: float  # Us of the catches
    misfit: tuple[float, float]  # root mean square in standard errors, as planned and as fitted
    faults: tuple[Fault, ...]
    odd: tuple[Odd, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """So many of one thing to order."""

    item: str
    count: float  # whole where the unit is "each"
    unit: str  # "each" or "m"
    note: str


@dataclass(frozen=True, slots=True, eq=False)
class Irrigation:
    """The drip network of the hillside."""

    valves: tuple[Valve, ...]
    tap: Array  # (3,) where the supply is [m]
    assembly: str  # backflow assembly
    losses: tuple[Loss, ...]  # between the service and the tubing, at the largest valve's flow
    available: tuple[float, float]  # pressure head left behind them, low and high supply [m]
    at_hand: float  # flow that a valve may take [m3/s]
    at_hand_why: str
    said: str  # where the plants' needs come from
    parts: tuple[Part, ...]
    landings: tuple[Landing, ...]  # of each valve
    measured: tuple[AsBuilt, ...]  # what readings say of the valves that were measured
    assumed: tuple[str, ...]  # of the supply, what nobody measured
    refused: tuple[tuple[str, str, str], ...]  # why there is no network, and what would do
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]

    @property
    def trouble(self) -> tuple[tuple[str, str, str], ...]:
        """Everything that keeps the network from working, with its remedy."""
        return (*self.refused, *(t for v in self.valves for t in v.trouble))
