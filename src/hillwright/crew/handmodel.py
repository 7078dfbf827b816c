"""What hands can do here: lifts of rows, fill lines, ways to haul, heat."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array
from hillwright.crew.haulways import Way
from hillwright.method import Working


@dataclass(frozen=True, slots=True)
class FillMark:
    """How far a bucket of one mix may be filled."""

    mix: str
    full: float  # a level bucket with its soil [kg]
    brigade: float  # share of the bucket when it is handed on at the brigade's pace [-]
    brigade_mass: float  # bucket and soil [kg]
    carried: float  # share when one person carries it up [-]
    carried_mass: float  # [kg]
    level_buckets: int  # that all of the mix fills, level
    carried_buckets: int  # that it fills to the line of who carries it; 0 where none may be
    index: float  # lifting index of a level bucket, picked up and tipped; inf where none is


@dataclass(frozen=True, slots=True)
class RowLift:
    """Rows that are dragged up together."""

    number: int
    rows: tuple[str, ...]  # names as the set-out has them
    cells: int
    mass: float  # [kg]
    pull: float  # [N]
    people: int  # who it takes


@dataclass(frozen=True, slots=True)
class HotDay:
    """The heat that the job names."""

    index: float  # heat index [degC]
    band: str  # the weather service's word, "" below its first
    water: float  # to drink in an hour, each [m3]
    work: float  # of an hour, heavy work [s]
    capacity: float  # share of the work that is left [-]
    duties: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Carry:
    """Lifts, fill lines and haul of one job."""

    people: int  # at the haul and on the drag at once
    pile: Array  # (3,) where the soil lies [m]
    pile_note: str
    distance: float  # mean way to a cell, along the ground [m]
    farthest: float  # [m]
    rise: float  # mean [m]
    slope: float  # of the mean way [rad]
    marks: tuple[FillMark, ...]
    carried_pace: float  # how often one who carries buckets lifts one [1/s]
    ways: tuple[Way, ...]
    best: int  # which way takes the least of people's time; -1 where none can be had
    lifts: tuple[RowLift, ...]
    singles: tuple[str, ...]  # rows that are set cell by cell on the hill
    friction: float  # of empty cells on the ground, as planned with [-]
    each_pull: float  # that one of a mixed crew sustains [N]
    practice_pull: float  # of each of seven who drag a dozen rows of a dozen such cells here [N]
    staging: tuple[float, float]  # place where rows are clipped together: along, across [m]
    climb: float  # power of carrying the marked bucket straight up at an easy pace [W]
    limit: float  # mean power of a day [W]
    climb_class: str  # how heavy that climb is
    broken: tuple[str, ...]  # conditions of the lifting equation that this hill does not meet
    heat: HotDay | None
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
