"""What the planting room gives: what grows in which cell, the sun there, and what was not met."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array, Index, Mask
from hillwright.method import Working
from hillwright.planting.palette import Plant

OPEN, WALKING, PLANTED = 0, 1, 2
USE_WORDS = ("open", "walking", "planted")


@dataclass(frozen=True, slots=True)
class Wish:
    """How much of what: a plant, a kind or a use."""

    plant: str
    count: int | None = None  # plants
    share: float | None = None  # of the planted cells
    at_most: int | None = None  # plants
    must: bool = False
    near: str = ""  # "entry", "edge", "top", "foot" or ""
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Weights:
    """How much each thing counts against the others, in planted cells."""

    planted: float = 1.0
    walking: float = 0.5
    sun: float = 0.2
    wish: float = 4.0
    must: float = 50.0
    near: float = 0.5
    edge: float = 0.3
    bloom: float = 6.0
    harvest: float = 3.0
    zone: float = 0.5
    mixed: float = 0.3


@dataclass(frozen=True, slots=True)
class Asked:
    """What the person asks of the planting."""

    wishes: tuple[Wish, ...] = ()
    weights: Weights = Weights()
    plants: tuple[str, ...] = ()  # choose from these only
    avoid: tuple[str, ...] = ()
    pins: tuple[tuple[int, int, str], ...] = ()  # row, number, plant
    walk: tuple[tuple[int, int], ...] = ()
    open: tuple[tuple[int, int], ...] = ()
    bare: tuple[tuple[int, int], ...] = ()  # left without soil: neither planted nor walked
    part: tuple[tuple[int, int, float], ...] = ()  # filled by just this share of their depth
    reach: float = 0.762  # [m]
    max_step: float = 0.3302  # [m]
    zones_per_row: int = 2
    bloom: bool = True
    harvest: bool = True
    hardiness: str = ""
    last_frost: int | None = None  # day of the year
    first_frost: int | None = None
    rooting: float = 1.0  # ground under the cells that roots can use [m]
    horizon: tuple[tuple[float, float], ...] = ()  # bearing and height [rad]
    north_known: bool = True
    altitude: float = 0.0  # [m]
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Unmet:
    """A wish, a limit or a plant that could not be had, and why."""

    what: str
    why: str
    must: bool = False
    plant: str = ""  # id of the plant, or the kind or use, that it is about


@dataclass(frozen=True, slots=True)
class Proof:
    """How good the planting is, and what no other could beat."""

    worth: float  # of this planting, in planted cells
    path_bound: float  # no planting on this path, with these trees, is worth more
    bound: float  # no planting on any path is worth more
    optimised: bool  # by the solver; else the quick plan

    @property
    def path_gap(self) -> float:
        """Share by which another planting on this path could be better, at most [-]."""
        return _gap(self.path_bound, self.worth)

    @property
    def gap(self) -> float:
        """Share by which another path and planting could be better, at most [-]."""
        return _gap(self.bound, self.worth)


def _gap(bound: float, worth: float) -> float:
    return max(0.0, bound - worth) / max(abs(worth), 1e-9)


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """One planting: a plant and the cells that it takes."""

    plant: int  # index into the plants of the planting
    cells: Index  # the upper left one first
    plants: int  # how many stand in them
    centre: Array  # (3,) [m]


@dataclass(frozen=True, slots=True, eq=False)
class Planting:
    """What grows in each of the n cells of a layout."""

    plants: tuple[Plant, ...]  # (p,) that were chosen from
    use: Index  # (n,) 0 open, 1 walking, 2 planted
    plant: Index  # (n,) index into plants, -1 = none
    groups: tuple[Group, ...]  # by row and number of their first cell
    count: Index  # (p,) plants of each
    mix: Index  # (n,) index into mixes
    mixes: tuple[str, ...]
    hydrozone: Index  # (n,) index into hydrozones, -1 = none: nothing is watered there
    hydrozones: tuple[str, ...]  # classes of thirst, the least first
    sun: Array  # (12, n) direct light in a mean clear day, with the planned trees grown up [s]
    energy: Array  # (12, n) under a clear sky, on the cell [J/m2]
    level: Array  # (12,) the same on open level ground [J/m2]
    season: Array  # (n,) direct light in a mean day of the growing months [s]
    growing: tuple[int, ...]  # those months, 1 to 12
    bloom: Mask  # (12,) something flowers
    harvest: Mask  # (12,) something is picked
    bloom_months: tuple[tuple[int, ...], ...]  # (p,) at this site
    harvest_months: tuple[tuple[int, ...], ...]  # (p,)
    windows: tuple[tuple[int, int], ...]  # (p,) first and last day of the year to plant
    entry: tuple[int, ...]  # walking cells that one comes in by
    unmet: tuple[Unmet, ...]
    proof: Proof
    key: str  # digest of what it was worked out from
    stale: bool  # a kept planting was of another state of the job, and only started from
    latitude: float  # [rad]
    assumed: tuple[str, ...]  # what nobody told, and what was taken instead
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]

    @property
    def planted(self) -> int:
        """How many cells are planted."""
        return int((self.use == PLANTED).sum())

    def walked_rows(self, row: Index) -> tuple[int, ...]:
        """Give the rows that have walking cells, from the (n,) row of each cell."""
        return tuple(sorted({int(r) for r in row[self.use == WALKING]}))

    @property
    def walking(self) -> int:
        """How many cells are walked."""
        return int((self.use == WALKING).sum())
