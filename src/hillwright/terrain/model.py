"""What the terrain room gives: the ground as a smooth surface, and what to smooth first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from hillwright.arrays import Array, Index, Mask
from hillwright.method import Working


class Ground(Protocol):
    """Anything with a height and a gradient at each plan position."""

    def at(self, x: Array, y: Array) -> tuple[Array, Array, Array]:
        """Give height z [m], dz/dx and dz/dy [-] at plan positions [m], all of one shape."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """Points ready to be made into ground; every check on what was measured has passed."""

    xyz: Array  # (n, 3) [m]
    where: tuple[str, ...]  # (n,) where each point was written down; of a grid one for all
    breaklines: tuple[tuple[int, ...], ...]
    sigma: Array  # (n,) standard error of each height [m]
    outline: Array  # (k, 2), counter-clockwise [m]
    hull: Array  # (h, 2) what the survey covers [m]


@dataclass(frozen=True, slots=True, eq=False)
class Tin:
    """Triangulated ground that honours every breakline."""

    xyz: Array  # (n, 3); the first points are the survey's own [m]
    triangles: Index  # (m, 3) counter-clockwise


@dataclass(frozen=True, slots=True)
class Trial:
    """One way to make the surface, and its cross-validated error."""

    name: str
    rmse: float  # heights left out and predicted [m]


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A place to smooth before cells are laid."""

    number: int
    x: float
    y: float
    depth: float  # deepest to fill, or highest to trim, off the ground round it [m]
    area: float  # plan area [m2]
    trim: float  # to take off [m3]
    fill: float  # to put in [m3]
    ring: Array  # (k, 2) its edge, for drawing [m]


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """The ground of a site."""

    tin: Tin
    ground: Ground  # as surveyed (a HeightField)
    graded: Ground  # as grading will leave it: what cells lie on (a HeightField)
    supported: Mask  # (ny, nx) nodes of the fields that the survey covers; False = extrapolated
    outline: Array  # (k, 2) [m]
    method: str  # which trial was chosen
    trials: tuple[Trial, ...]  # the one that is used first
    rmse: float  # its cross-validated error [m]
    smoothing: float  # width that grading evens out [m]
    slope_mean: float  # over the outline [rad]
    slope_steepest: float  # steepest cell-sized place inside the outline [rad]
    steepest_at: Array  # (2,) [m]
    aspect: float  # compass bearing that the hill faces, not a number where level [rad]
    roughness: float  # RMS off the plane of one cell [m]
    bend: float  # sharpest inside the outline, along a row or down the slope; convex + [1/m]
    bend_along_row: bool  # else down the slope
    bend_at: Array  # (2,) [m]
    plan_area: float  # of the outline [m2]
    slope_area: float  # true area of the outline on the ground [m2]
    covered: float  # share of the outline that the survey covers [-]
    spots: tuple[Spot, ...]
    trim: float  # all spots [m3]
    fill: float  # [m3]
    fall_line: Array  # (k, 3) the steepest section, top to bottom [m]
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
