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
from hillwright.stability.given import WATER
from hillwright.stability.load import HillLoad
from hillwright.stability.lookup import si
from hillwright.stability.model import CheckRow
from hillwright.stability.sliding import cell_pull
from hillwright.stability.thresholds import Required, required_factor
from hillwright.stability.wall import LowWall, low_wall


class Toe(NamedTuple):
    """The bottom row by itself, as if its clips had let go."""

    checks: tuple[CheckRow, ...]
    wall: LowWall | None  # None where it cannot be a wall at all
    slope: float  # of its steepest base [rad]

    @property
    def slides(self) -> bool:
        """It would not hold itself without bars."""
        return not all(row.passed for row in self.checks[:2])

    @property
    def sinks(self) -> bool:
        """It tips, or the ground under it carries too little."""
        return not all(row.passed for row in self.checks[2:])


def fill_friction() -> float:
    """Give the friction angle of loose soil in the cells [rad]."""
    return float(si(table("building")["fill"], "friction"))


def toe(cell: CellShape, hill: HillLoad, slope: float, friction: float) -> Toe:
    """Weigh the bottom row against the soil behind it, and soaked against its own pull.

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
        Sliding (the dry block against soaked soil, and the soaked block with water under it),
        overturning and bearing. The soil behind lies as steep as the ground.
    """
    wanted = required_factor("wall")
    soaked = _soaked(cell, hill, slope, friction, wanted)
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
        return Toe((row, soaked), None, slope)
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
        soaked,
        _factor("bottom row by itself: overturning", float(wall.overturning), *sources),
    ]
    return Toe((*rows, *_bearing(cell, hill, slope, wall)), wall, slope)


def _soaked(
    cell: CellShape, hill: HillLoad, slope: float, friction: float, wanted: Required
) -> CheckRow:
    """Hold a soaked cell of the bottom row by the friction under it alone, water under it too."""
    depth = hill.cells.at_wall
    found = cell_pull(
        slope,
        cell.width,
        cell.run,
        depth,
        hill.mix_soaked,
        friction,
        cell.mass,
        water_height=depth,
    )
    return check_row(
        "bottom row by itself, soaked: sliding",
        float(found.driving) / cell.width,
        float(found.resisting) / cell.width,
        "N/m",
        wanted.factor,
        wanted.source,
        "water stands in the cells and under them",
    )


def _factor(what: str, factor: float, required: float, source: str, note: str = "") -> CheckRow:
    return CheckRow(what, np.nan, np.nan, "-", factor, required, False, source, note)


def _bearing(cell: CellShape, hill: HillLoad, slope: float, wall: LowWall) -> tuple[CheckRow, ...]:
    """Hold the soaked row's pressure against what soaked ground carries, at its weakest."""
    need, soil = required_factor("bearing"), hill.soil
    what = "bottom row by itself: bearing of the ground"
    try:
        heavier = hill.mix_soaked / hill.mix_dry  # the block of the wall is the dry one
        press = base_pressure(heavier * float(wall.normal), cell.run, float(wall.eccentricity))
        lean = float(np.arctan2(wall.shear, wall.normal))
        carries = bearing_pressure(
            soil.friction.low,
            soil.cohesion.low,
            max(soil.saturated.low - WATER, 1.0),
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
        "soaked ground",
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
