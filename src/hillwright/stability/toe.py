"""The bottom row as a low wall, and the downhill wall of a cell: what they must stand."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.job.ground import Holding
from hillwright.layout.model import CellShape
from hillwright.stability.anchors import check_row
from hillwright.stability.bearing import base_pressure, bearing_pressure
from hillwright.stability.cellwall import CellWall, cell_wall
from hillwright.stability.load import HillLoad
from hillwright.stability.lookup import si
from hillwright.stability.model import CheckRow
from hillwright.stability.thresholds import required_factor
from hillwright.stability.wall import LowWall, low_wall


class Toe(NamedTuple):
    """The bottom row by itself, as if its clips had let go."""

    checks: tuple[CheckRow, ...]
    wall: LowWall | None  # None where it cannot be a wall at all

    @property
    def slides(self) -> bool:
        """It would not hold itself without bars."""
        return not self.checks[0].passed


def fill_friction() -> float:
    """Give the friction angle of loose soil in the cells [rad]."""
    return float(si(table("building")["fill"], "friction"))


def toe(cell: CellShape, hill: HillLoad, slope: float, friction: float) -> Toe:
    """Weigh the bottom row, dry, against the soaked soil behind it.

    Parameters
    ----------
    cell, hill
        The box, and what is in it and under it.
    slope : float
        Of the steepest base of that row [rad].
    friction : float
        Of a filled cell on the ground [rad].

    Returns
    -------
    Toe
        Sliding, overturning and bearing. The soil behind lies as steep as the ground.
    """
    wanted = required_factor("wall")
    try:
        wall = low_wall(
            hill.cells.at_wall,
            cell.run,
            hill.mix_dry,
            hill.mix_soaked,
            fill_friction(),
            friction,
            backfill=slope,
            tilt=slope,
        )
    except OutOfRange as error:
        found = error.problems[0]
        note = f"{found.where} {found.what}"
        row = _factor("bottom row by itself: sliding", 0.0, wanted.factor, wanted.source, note)
        return Toe((row,), None)
    sources = (wanted.factor, wanted.source)
    rows = [
        check_row(
            "bottom row by itself: sliding",
            float(wall.shear),
            float(wall.sliding * wall.shear),
            "N/m",
            *sources,
            "the passive side is not counted",
        ),
        _factor("bottom row by itself: overturning", float(wall.overturning), *sources),
    ]
    return Toe((*rows, *_bearing(cell, hill, slope, wall)), wall)


def _factor(what: str, factor: float, required: float, source: str, note: str = "") -> CheckRow:
    return CheckRow(what, np.nan, np.nan, "-", factor, required, False, source, note)


def _bearing(cell: CellShape, hill: HillLoad, slope: float, wall: LowWall) -> tuple[CheckRow, ...]:
    """Hold the pressure under the bottom row against what the soaked ground carries."""
    need, soil = required_factor("bearing"), hill.soil
    what = "bottom row by itself: bearing of the ground"
    try:
        press = base_pressure(float(wall.normal), cell.run, float(wall.eccentricity))
        lean = float(np.arctan2(wall.shear, wall.normal))
        carries = bearing_pressure(
            soil.friction.low,
            soil.cohesion.low,
            soil.moist.low,
            max(cell.run - 2 * abs(float(wall.eccentricity)), 1e-3),
            slope=slope,
            lean=lean,
        )
    except OutOfRange as error:
        found = error.problems[0]
        note = f"{found.where} {found.what}"
        return (_factor(what, 0.0, need.factor, need.source, note),)
    row = check_row(
        what,
        float(press.uniform),
        float(carries),
        "Pa",
        need.factor,
        need.source,
        "ground as found",
    )
    return (row,)


def downhill_wall(cell: CellShape, hill: HillLoad, slope: float) -> CellWall:
    """Give what presses on a downhill wall, soaked; the stress is that of a wall 1 m thick."""
    return cell_wall(
        cell.width,
        cell.run,
        hill.cells.at_wall,
        slope,
        hill.mix_soaked,
        fill_friction(),
        1.0,
        water_height=hill.cells.at_wall,
    )


def wall_check(cell: CellShape, hill: HillLoad, slope: float, holding: Holding) -> CheckRow | None:
    """Check the downhill wall against its own strength; None where nobody has given it."""
    if holding.wall_thickness is None or holding.wall_strength is None:
        return None
    found = downhill_wall(cell, hill, slope)
    row = table("building")["wall"]
    return check_row(
        "downhill wall of a soaked cell: bending",
        float(found.stress) / holding.wall_thickness**2,
        holding.wall_strength,
        "Pa",
        float(row["factor"]),
        row["source"],
        "soil at rest, water to the rim, no help from its foot: the most that can press",
    )
