"""The soil of a job: what its name stands for, with what was measured put in its place."""

from __future__ import annotations

from hillwright.errors import OutOfRange
from hillwright.job.ground import SoilText
from hillwright.stability.soils import (
    find_soil,
    measured_soil,
    soil_by_texture,
    soil_by_uscs,
)
from hillwright.stability.soiltable import Soil

# the weakest ground of the tables that is no clay: what a soil that nobody named is drawn with
UNKNOWN = "loose fine sand"


def soil_of(text: SoilText) -> tuple[Soil, bool]:
    """Give the soil of a job, and whether anybody has said what it is.

    Raises
    ------
    OutOfRange
        A name that no table has, or measurements that no soil has.
    """
    named = [
        ("name", find_soil, text.name),
        ("uscs", soil_by_uscs, text.uscs),
        ("texture", soil_by_texture, text.texture),
    ]
    base: Soil | None = None
    for key, find, name in named:
        if name.strip():
            try:
                base = find(name)
            except OutOfRange as error:
                found = error.problems[0]
                raise OutOfRange(f"soil.{key}", found.what, found.right) from error
    measured = (
        text.unit_weight,
        text.friction,
        text.cohesion,
        text.saturated_weight,
        text.undrained_strength,
    )
    if all(value is None for value in measured):
        return (base, True) if base else (find_soil(UNKNOWN), False)
    return measured_soil(*measured, base=base), True
