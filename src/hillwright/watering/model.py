"""What the watering room is given and gives. n cells, v valves, p kinds of planting, 12 months.

A month's mean day stands for the month. Volumes of a day are what must leave the emitters unless
they are called net.
"""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array, Index, Mask
from hillwright.method import Working


@dataclass(frozen=True, slots=True, eq=False)
class Climate:
    """Reference evapotranspiration and rain of a place."""

    name: str  # where the figures come from, in words
    reference: Array  # (12,) on a mean day of a typical year [m]
    rain: Array  # (12,) of the whole month in a typical year [m]
    dry_reference: Array  # (12,) exceeded in one year of ten [m]
    dry_rain: Array  # (12,) not reached in one year of ten [m]
    latitude: float  # [rad]
    clearness: Array  # (12,) of the sky: sunlight over that above the air [-]
    sun_share: Array  # (12,) by how much reference ET follows sunlight: 1 = in proportion [-]
    year: Index  # (k,) of real days; one smooth year where only a table is known
    day: Index  # (k,) of the year
    daily: Array  # (k,) reference evapotranspiration [m]
    daily_rain: Array  # (k,) [m]
    real: bool  # the days are weather that was, or a typical year put together from it
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Planted:
    """What grows in the cells, as this room needs it."""

    kinds: tuple[str, ...]  # (p,)
    kind: Index  # (n,) which of them; -1 where nothing is to be watered
    zone: Index  # (n,) hydrozone, counted from 0; -1 where nothing is to be watered
    zones: tuple[str, ...]  # (z,)
    factor: Array  # (p, 12) share of reference ET on a mean day [-]
    canopy: Array  # (n,) grown, on the map [m2]
    young_canopy: Array  # (n,) as planted, on the map [m2]
    roots: Array  # (p,) how deep they go where soil lets them [m]
    depletion: Array  # (p,) share of the available water that may be used [-]
    edible: Mask  # (p,) special landscape area of the ordinance
    ball: Array  # (p,) root ball of one plant as it comes [m3]
    ball_deep: Array  # (p,) its height [m]
    grown: Array  # (p,) from planting until it has its full canopy [s]
    life: tuple[str, ...]  # (p,) "annual", "perennial", "shrub", "vine" or "tree"
    plants: Array  # (n,) that stand in the cell; a share where one takes several
    stages: Array  # (p, 4) days of an annual's initial, development, middle and late stage
    stage_factor: Array  # (p, 3) its coefficient at first, in the middle and at the end [-]
    note: str


@dataclass(frozen=True, slots=True, eq=False)
class Soil:
    """What the cells are filled with, as a store of water."""

    texture: str
    available: Array  # (n,) volume of water in a volume of mix [-]
    depth: Array  # (n,) of the mix, and of ground below it that roots use [m]
    top_slope: Array  # (n,) of its top, which decides when water runs off it [rad]


@dataclass(frozen=True, slots=True, eq=False)
class Valves:
    """Which valve waters which cell, and how fast."""

    names: tuple[str, ...]  # (v,)
    valve: Index  # (n,) counted from 0; -1 where nothing is to be watered
    flow: Array  # (n,) of all emitters of the cell together [m3/s]
    emitters: Array  # (n,)


@dataclass(frozen=True, slots=True)
class Rules:
    """When water may run, and how."""

    efficiency: float  # share of the water that reaches the roots [-]
    windows: tuple[tuple[float, float], ...]  # from, to, on the clock; past midnight to < from [s]
    weekdays: tuple[int, ...]  # 0 = Monday, that watering is allowed on
    longest_interval: int  # [days]
    surface_slope: float | None  # of the soil inside a cell; None = as it is filled [rad]
    rain_method: str
    rain_share: float  # of a day's rain that enters the soil [-]
    establishment: float  # [s]


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """What the cells want."""

    area: Array  # (n,) of the cell on the map [m2]
    slope: Array  # (n,) of the cell from level [rad]
    aspect: Array  # (n,) compass bearing that it faces [rad]
    slope_factor: Array  # (n, 12) reference ET on the cell's own slope over that on level ground
    coefficient: Array  # (n, 12) factor of the planting times slope factor; 0 where none [-]
    net: Array  # (n, 12) that the plants use on a mean day, less effective rain [m3]
    daily: Array  # (n, 12) to give on a mean day of a typical year [m3]
    dry_daily: Array  # (n, 12) to give on a mean day of a dry year [m3]
    wet: Array  # (n, 12) effective rain of a mean day of a typical year, over the plants [m]
    dry_wet: Array  # (n, 12) the same of a dry year [m]
    peak: Array  # (n,) to give on a day of the hottest month of a dry year, without rain [m3]
    peak_month: int  # 0 = January
    growth: Array  # (g,) net demand of the years after planting, over that of grown plants [-]


@dataclass(frozen=True, slots=True, eq=False)
class Store:
    """The soil of each cell as a store, as depths over the plants' own area."""

    total: Array  # (n,) TAW [m]
    depletion: Array  # (n,) p at 5 mm a day [-]
    catch: Array  # (n,) area that rain falls into, over the plants' [-]
    rate: Array  # (n,) flow over the plants' area [m/s]


@dataclass(frozen=True, slots=True, eq=False)
class Program:
    """What is set at a controller: v valves, 12 months."""

    interval: Index  # (v, 12) days between waterings; 0 = none
    starts: Index  # (v, 12) waterings on such a day
    minutes: Index  # (v, 12) of each watering, all its cycles together
    cycles: Index  # (v, 12) that a watering is split into
    soak: Index  # (v, 12) minutes between two cycles
    weekdays: tuple[tuple[tuple[int, ...], ...], ...]  # (v)(12) 0 = Monday; () = every interval
    opens: tuple[tuple[tuple[tuple[float, ...], ...], ...], ...]  # (v)(12)(start)(cycle) clock [s]
    arrives: tuple[tuple[tuple[float, ...], ...], ...]  # (v)(12)(start) a watering's end, clock [s]
    percent: Index  # (v, 12) of the busiest month's water of a day
    busiest: Array  # (12,) from first to last on the fullest day, rests that nobody uses too [s]
    over: Array  # (12,) that does not fit into the windows on that day [s]
    volume: Array  # (v, 12) in the month [m3]


@dataclass(frozen=True, slots=True)
class Establishment:
    """How new plants are watered."""

    valve: str
    weeks: str
    interval: int  # [days]
    minutes: int  # of all cycles together
    cycles: int
    soak: int  # minutes between two cycles
    note: str  # go on to the next step when


@dataclass(frozen=True, slots=True, eq=False)
class SeasonUnder:
    """What one program does through the years: n cells, 12 months; volumes in a mean year."""

    name: str
    years: float
    given: Array  # (12,) through the valves [m3]
    deep: Array  # (12,) lost below the roots [m3]
    missed: float  # given and never in the soil: what the efficiency takes [m3]
    rain: Array  # (12,) that entered the soil [m3]
    used: Array  # (12,) by the plants [m3]
    stress_days: Array  # (n,) in a mean year
    stressed: int  # cells with any
    driest: float  # most of the readily available water that any cell lost [-]
    cost: float  # of a mean year, 0 = not known
    closure: float  # what the balance of the worst cell misses [m]


@dataclass(frozen=True, slots=True, eq=False)
class Wants:
    """What the cells want, before anybody knows which valve waters them."""

    climate: Climate
    planted: Planted
    soil: Soil
    demand: Demand
    valves: Valves  # one to each hydrozone: what is reckoned with where no pipes are laid


@dataclass(frozen=True, slots=True, eq=False)
class Watering:
    """How much water, and when."""

    climate: Climate
    planted: Planted
    soil: Soil
    rules: Rules
    valves: Valves
    demand: Demand
    store: Store
    program: Program
    dry_program: Program
    same_program: Program  # the busiest month's minutes all year, to compare with
    establishment: tuple[Establishment, ...]
    first_share: Array  # (v, 12) what the first year wants of the minutes [-]
    first_minutes: Index  # (v, 12) to set in it, after the weeks of the establishment
    season: tuple[SeasonUnder, ...]  # two, simulated: under the programs, the same all year
    strain: Array  # (n, 12) used on the hottest day in its longest wait, over what may be used [-]
    tuned: bool  # no cell is stressed under the program in the days that it was tuned on
    window: float  # that water may run in a day [s]
    worksheet_zone: tuple[str, ...]  # (h,) rows of the budget: hydrozones, edible ones apart
    worksheet_factor: Array  # (h,)
    worksheet_area: Array  # (h,) [m2]
    worksheet_special: Mask  # (h,)
    worksheet_etaf: Array  # (h,)
    worksheet_use: Array  # (h,) in a year [m3]
    regular_etaf: float
    site_etaf: float
    allowed_etaf: float
    allowance: float  # in a year [m3]
    estimated: float  # in a year [m3]
    complies: bool
    price: float  # of 1 m3, 0 = not known
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
