"""What roots will hold one day: shown as a bonus, never counted to pass a check.

Roots add nothing on the day of planting, nothing below their depth, and old tree roots lose their
strength after felling. Growth here is a straight line to full strength: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, within
from hillwright.stability.lookup import si
from hillwright.stability.ranges import Range


@dataclass(frozen=True, slots=True)
class Roots:
    """What one kind of plants may come to."""

    kind: str
    full: Range  # cohesion when fully grown [Pa]
    full_years: float
    depth: float  # that the roots reach when fully grown [m]
    source: str
    status: str

    def at(self, years: float, slip_depth: float) -> Range:
        """Give the cohesion that they add to a plane at a depth [m] some years after planting."""
        low, best, high = (
            float(root_cohesion(full, years, self.full_years, slip_depth, self.depth))
            for full in (self.full.low, self.full.best, self.full.high)
        )
        return Range(low, best, high)


def roots_of(kind: str) -> Roots:
    """Give what the roots of a kind of plants may come to.

    Raises
    ------
    OutOfRange
        A kind that the table does not have; says the nearest ones.
    """
    tables = table("roots")
    plants: dict[str, dict[str, Any]] = {row["kind"]: row for row in tables["plant"]}
    if kind not in plants:
        right = did_you_mean(kind, plants, f"known are {', '.join(plants)}")
        raise OutOfRange("roots", f"{kind!r} is not a kind of plants of the table", right)
    plant = plants[kind]
    row = next(r for r in tables["cohesion"] if r["what"] == plant["like"])
    low, high = si(row, "range")
    # the likeliest is taken a quarter of the way up: reviews over-predict by up to 2 (roots.toml)
    return Roots(
        kind=kind,
        full=Range(low, low + (high - low) / 4, high),
        full_years=si(plant, "full"),
        depth=si(plant, "depth"),
        source=row["source"],
        status=tables["sources"][row["from"]]["status"],
    )


def plant_kinds() -> tuple[str, ...]:
    """Give the kinds of plants that :func:`roots_of` knows."""
    return tuple(row["kind"] for row in table("roots")["plant"])


@method(
    title="Cohesion of roots as plants grow",
    equation="cr = full min(age / years to full, 1) above the root depth, 0 below it",
    source="common practice, no source",
)
def root_cohesion(
    full: ArrayLike,
    age: ArrayLike,
    full_years: ArrayLike,
    slip_depth: ArrayLike,
    root_depth: ArrayLike,
) -> Array:
    """Give what roots add across a slip plane some years after planting.

    Parameters
    ----------
    full : (...) array
        Cohesion of the fully grown roots. [Pa]
    age, full_years : (...) array
        Time since planting, and until fully grown, in one unit. [any]
    slip_depth : (...) array
        Upright depth of the slip plane. [m]
    root_depth : (...) array
        Depth of fully grown roots; young ones reach the same share of it as of their strength. [m]

    Returns
    -------
    (...) array
        Cohesion of the roots; 0 on the day of planting and below them. [Pa]

    Raises
    ------
    OutOfRange
        A value below 0, or a time to full growth of 0.

    Notes
    -----
    A bonus to show, never to pass a check: drought, fire, disease or a spade takes it away.
    """
    share = np.minimum(at_least_zero("age", age) / above_zero("full_years", full_years), 1.0)
    reached = at_least_zero("root_depth", root_depth) * share
    grown = at_least_zero("full", full) * share
    return np.asarray(np.where(above_zero("slip_depth", slip_depth) <= reached, grown, 0.0))


@method(
    title="Cohesion of roots from their tensile strength",
    equation="cr = k f sum(T_i A_i / A)",
    source="Wu, McKinnell and Swanston, 1979 (from memory)",
)
def wu_root_cohesion(
    tensile_strength: ArrayLike,
    area_ratio: ArrayLike,
    orientation_factor: float = 1.2,
    bundle_factor: float = 0.5,
) -> Array:
    """Give the cohesion of roots that cross a slip plane and break.

    Parameters
    ----------
    tensile_strength : (k,) array
        Of the roots of each size. [Pa]
    area_ratio : (k,) array
        Their cross section over the area of the plane, 0 to 1. [-]
    orientation_factor : float, optional
        k of the model; 1.2 is usual. [-]
    bundle_factor : float, optional
        f: roots do not break together; 1 is the model as printed, 0.4 to 0.7 is nearer. [-]

    Returns
    -------
    float
        Cohesion of the roots. [Pa]

    Raises
    ------
    OutOfRange
        Lists of different lengths, a strength below 0 or a share outside 0 to 1.

    Notes
    -----
    The model as printed over-predicts by up to 2. A bonus to show, never to pass a check.
    """
    strong = np.atleast_1d(at_least_zero("tensile_strength", tensile_strength))
    share = np.atleast_1d(within("area_ratio", area_ratio, 0, 1))
    if strong.shape != share.shape:
        what = f"{share.size} values for {strong.size} of tensile_strength"
        raise OutOfRange("area_ratio", what, "give one for each size of root")
    if share.sum() > 1:
        raise OutOfRange("area_ratio", "roots fill more than the plane", "give shares of the plane")
    f = within("bundle_factor", bundle_factor, 0, 1)
    return np.asarray(above_zero("orientation_factor", orientation_factor) * f * (strong @ share))
