"""What the fill room gives: soil and mulch of every cell, by row and by mix, and what to order."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array, Index
from hillwright.method import Working


@dataclass(frozen=True, slots=True)
class Mix:
    """One planting mix; loose as it is carried, settled as it lies in the cell."""

    name: str
    parts: tuple[tuple[str, float], ...]  # component and share of the loose volume
    mixing_loss: float  # share of the parts' volume lost in blending [-]
    settlement: float  # share of the loose volume [-]
    loose_dry: float  # [kg/m3]
    loose_moist: float  # as it is carried [kg/m3]
    settled_dry: float  # [kg/m3]
    settled_moist: float  # as it went in [kg/m3]
    saturated: float  # settled, with its pores full [kg/m3]
    porosity: float  # settled [-]
    source: str
    status: str
    weighed: bool = False  # on the site, rather than worked out from its parts


@dataclass(frozen=True, slots=True)
class PartTotal:
    """One component over all mixes, to order or to dig."""

    name: str
    mixes: tuple[str, ...]  # that it goes into
    loose: float  # to order, loose [m3]
    bank: float  # to dig on the site, in the ground; 0 for what is bought [m3]
    mass: float  # as delivered [kg]
    bags: int  # whole bags, where it comes in bags; 0 for what is dug
    trucks: int  # whole loads, where it comes loose; 0 for what is dug
    full_by: str  # "volume" or "weight": what fills the truck first


@dataclass(frozen=True, slots=True)
class MixTotal:
    """One mix over all cells that take it."""

    mix: Mix
    cells: int
    settled: float  # [m3]
    loose: float  # to carry up [m3]
    ordered: float  # with waste, blended [m3]
    carried: float  # mass that goes up the hill, as it is carried [kg]
    parts: tuple[tuple[str, float], ...]  # component and loose volume to put in [m3]


@dataclass(frozen=True, slots=True, eq=False)
class Fill:
    """Soil of the n cells of a layout, in its order."""

    mixes: tuple[Mix, ...]
    mix: Index  # (n,) which of them
    fullness: Array  # (n,) share of the depth that is filled [-]
    share: Array  # (n,) of the whole cell that is laid; below 1 for a trimmed one [-]
    lip: Array  # (n,) soil at the downhill wall, square to the base [m]
    uphill: Array  # (n,) soil at the uphill wall; 0 where it runs out before [m]
    levelled: Array  # (n,) how far the top is raked level: 0 along the slope, 1 level [-]
    top_slope: Array  # (n,) of the soil's top, from horizontal [rad]
    covered: Array  # (n,) share of the base under soil [-]
    boxed: Array  # (n,) soil over a flat base [m3]
    dips: Array  # (n,) soil more, in dips of the graded ground under the base [m3]
    humps: Array  # (n,) soil less, where the graded ground stands into the cell [m3]
    settled: Array  # (n,) boxed + dips - humps [m3]
    loose: Array  # (n,) to put in [m3]
    mulch: Array  # (n,) [m3]
    dry: Array  # (n,) mass of soil and mulch, without the box, dried out [kg]
    moist: Array  # (n,) as they went in [kg]
    saturated: Array  # (n,) with all pores full: what the hill carries [kg]
    area: Array  # (n,) of the base on the slope, as laid [m2]
    row: Index  # (r,) the rows
    row_settled: Array  # (r,) [m3]
    row_loose: Array  # (r,) [m3]
    row_mulch: Array  # (r,) [m3]
    row_saturated: Array  # (r,) [kg]
    totals: tuple[MixTotal, ...]  # of the mixes that some cell takes
    parts: tuple[PartTotal, ...]
    mulch_kind: str
    mulch_ordered: float  # loose, with waste [m3]
    mulch_mass: float  # of what is ordered, as delivered [kg]
    mulch_bags: int
    waste: float  # [-]
    supply: str  # "bulk" or "bags"
    bag: float  # [m3]
    truck: float  # [m3]
    payload: float  # [kg]
    brim: float  # boxes to the brim: what is easily ordered by mistake [m3]
    unsmoothed: float  # more soil if the ground is left as surveyed [m3]
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]

    @property
    def total_settled(self) -> float:
        """All soil in place [m3]."""
        return float(self.settled.sum())

    @property
    def total_loose(self) -> float:
        """All soil to carry up [m3]."""
        return float(self.loose.sum())

    @property
    def total_ordered(self) -> float:
        """All soil to order, blended [m3]."""
        return sum(t.ordered for t in self.totals)
