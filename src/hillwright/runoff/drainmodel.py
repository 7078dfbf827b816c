"""What the drains of a hill are."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array
from hillwright.method import Working
from hillwright.runoff.apron import Apron
from hillwright.runoff.ditch import Ditch


@dataclass(frozen=True, slots=True)
class Lead:
    """From the end of a ditch to where the water may be let out."""

    length: float  # on the ground [m]
    gradient: float  # fall over run
    kind: str  # "ditch" or "pipe"
    diameter: float  # of the pipe, inside; 0 for a ditch [m]
    velocity: float  # [m/s]


@dataclass(frozen=True, slots=True, eq=False)
class Drain:
    """A ditch from its high to its low end, and the stones where it lets the water out."""

    key: str  # "crest" or "toe"
    name: str  # in words
    why: str
    line: Array  # (k, 2) high end to low end [m]
    end: str  # which end it falls to, as "left"
    flow: float  # design flow [m3/s]
    of: str  # what that flow is, in words
    gradient: float  # least fall over run
    steepest: float  # greatest, where the ground falls faster
    ditch: Ditch  # depth at the least fall, velocity and shear at the greatest
    length: float  # in plan [m]
    drop: float  # of its bed [m]
    deepest: float  # cut below the ground [m]
    lining_area: float  # bottom and sides up to the brim [m2]
    dug: float  # [m3]
    lead: Lead | None
    lead_line: Array  # (j, 2) low end to the outlet; empty without one [m]
    rise: float  # of the outlet, for the apron [m]
    apron: Apron
    apron_area: float  # [m2]
    stones: float  # [m3]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Drainage:
    """The drains of a hill."""

    drains: tuple[Drain, ...]
    outlet: Array | None  # (2,) where the job lets the water out [m]
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
