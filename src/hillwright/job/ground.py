"""Job sections of the stability room: the soil, the site checklist, and what holds the cells.

Which names of soils there are is that room's affair: a name that it does not know is told there,
with the nearest that it knows. What was measured overrides what a name stands for.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, Strict

from hillwright.job.fields import (
    FOOT,
    INCH,
    RANGE,
    YEAR,
    Conflict,
    angles,
    forces,
    lengths,
    lifetimes,
    pressures,
    shares,
    unit_weights,
)
from hillwright.job.table import Section

_LBF = 4.4482216152605  # [N]

# one value; lowest and highest; or lowest, likeliest and highest
Weights = Annotated[tuple[Annotated[float, unit_weights(4e3, 30e3)], ...], RANGE]
Strengths = Annotated[tuple[Annotated[float, pressures(0, 500e3)], ...], RANGE]
Frictions = Annotated[tuple[Annotated[float, angles(0, 50)], ...], RANGE]

Answer = Literal["yes", "no", "unknown"]
Bar = Literal["#3", "#4", "#5", "#6", "#7", "#8"]
_NAMING = ("name", "uscs", "texture")


class SoilText(Section):
    """[soil]: the ground under the cells, by one name or as measured; lowest value first."""

    name: str = ""  # in words, as "loose silty sand"
    uscs: str = ""  # class, as "SM"
    texture: str = ""  # USDA texture, as "sandy loam"
    unit_weight: Weights | None = None  # moist, as found
    saturated_weight: Weights | None = None  # with its pores full of water
    cohesion: Strengths | None = None  # effective, tested on wetted soil
    friction: Frictions | None = None  # effective angle
    undrained_strength: Strengths | None = None  # of clay before it drains
    # soil over firm ground that could slide, measured upright
    depth: Annotated[float, lengths(2 * INCH, 100 * FOOT)] = 1.0
    soaked: Annotated[float, shares(0, 1)] = 1.0  # part of that depth that water fills when soaked
    # depth of standing water below the ground as found; None = none met
    groundwater: Annotated[float, lengths(0, 300 * FOOT)] | None = None
    earthquake: Annotated[float, Strict(), Field(ge=0, le=0.9, allow_inf_nan=False)] = (
        0.0  # horizontal coefficient
    )

    def conflicts(self) -> Iterator[Conflict]:
        """Find a soil that is named twice, measured by half, or heavier moist than soaked."""
        named = [key for key in _NAMING if getattr(self, key).strip()]
        for key in named[1:]:
            what = f"the soil is named by {named[0]} already"
            yield Conflict((key,), what, "keep the one that you know best", (named[0],))
        yield from self._half_measured(named)
        moist, full = self.unit_weight, self.saturated_weight
        if moist and full and full[-1] < moist[0]:
            what = "is less than unit_weight: soil full of water weighs more, not less"
            yield Conflict(("saturated_weight",), what, "look up both again", ("unit_weight",))

    def _half_measured(self, named: list[str]) -> Iterator[Conflict]:
        measured = [
            key
            for key in ("unit_weight", "friction", "saturated_weight", "cohesion")
            if getattr(self, key) is not None
        ]
        missing = [key for key in ("unit_weight", "friction") if key not in measured]
        if measured and missing and not named:
            what = f"there is no {' and no '.join(missing)} with it, and no soil is named"
            right = "measure that too, or name the soil that it is to be taken from"
            yield Conflict((measured[0],), what, right, (*_NAMING, *missing))


class Checklist(Section):
    """[checklist]: what is seen on the site; unknown is taken as yes, the cautious answer."""

    past_movement: Answer = "unknown"
    cracks: Answer = "unknown"
    leaning_trees: Answer = "unknown"
    springs: Answer = "unknown"
    old_fill: Answer = "unknown"
    soft_or_organic: Answer = "unknown"
    expansive_soil: Answer = "unknown"
    landslide_zone: Answer = "unknown"
    structures_above: Answer = "unknown"
    structures_below: Answer = "unknown"
    septic_field: Answer = "unknown"
    buried_utilities: Answer = "unknown"
    surcharge: Answer = "unknown"
    people_below: Answer = "unknown"


class Holding(Section):
    """[holding]: what the filled cells weigh, and what clips, bars and people there are."""

    # of the fill, settled; saturated; None = from the mixes of the cells
    mix_dry: Annotated[float, unit_weights(2e3, 25e3)] | None = None
    mix_soaked: Annotated[float, unit_weights(4e3, 25e3)] | None = None
    # of a cell on the ground; None = from the soil
    base_friction: Annotated[float, angles(0, 50)] | None = None
    # at which one clip gives way
    clip_strength: Annotated[float, forces(1 * _LBF, 20_000 * _LBF)] = 200 * _LBF
    # of the downhill wall of a cell, and the bending stress at which it breaks; None = not known
    wall_thickness: Annotated[float, lengths(0.02 * INCH, 6 * INCH)] | None = None
    wall_strength: Annotated[float, pressures(10e3, 500e6)] | None = None
    bars: tuple[Bar, ...] = ("#4", "#5", "#6")
    grade: Literal["40", "60"] = "60"  # yield strength of the bars in ksi
    steel: Literal["galvanised", "plain"] = "galvanised"
    # what can be driven here
    longest_bar: Annotated[float, lengths(6 * INCH, 20 * FOOT)] = 48 * INCH
    # at which a bar began to move in soaked ground, the least of several; None = by rule
    tested_pull: Annotated[float, forces(1 * _LBF, 100_000 * _LBF)] | None = None
    tested_bar: Bar | None = None
    tested_depth: Annotated[float, lengths(6 * INCH, 20 * FOOT)] | None = None
    life: Annotated[float, lifetimes(1, 100)] = 50 * YEAR
    people: Annotated[int, Strict(), Field(ge=1, le=20)] = 2  # on one row at once
    # on one filled row at once for whom clips and bars are chosen; 0 = nobody
    walkers: Annotated[int, Strict(), Field(ge=0, le=20)] = 0

    def conflicts(self) -> Iterator[Conflict]:
        """Find a mix that gets lighter when wet, no bar, and half of a pull test."""
        if self.mix_soaked and self.mix_dry and self.mix_soaked < self.mix_dry:
            what = "is less than mix_dry: soil full of water weighs more, not less"
            yield Conflict(("mix_soaked",), what, "weigh a full pail of both", ("mix_dry",))
        if not self.bars:
            yield Conflict(("bars",), "names no bar", 'write a list, as in ["#4", "#5"]')
        wall = ("wall_thickness", "wall_strength")
        if (self.wall_thickness is None) != (self.wall_strength is None):
            there_is = wall[self.wall_thickness is None]
            missing_one = wall[self.wall_thickness is not None]
            what = f"there is no {missing_one}"
            yield Conflict((there_is,), what, "the wall is checked with both", (missing_one,))
        test = ("tested_pull", "tested_bar", "tested_depth")
        there = [key for key in test if getattr(self, key) is not None]
        missing = [key for key in test if key not in there]
        if there and missing:
            what = f"there is no {' and no '.join(missing)}"
            right = "a test holds for bars as thick and as deep as the tested one: give all three"
            yield Conflict((there[0],), what, right, tuple(missing))
        elif self.tested_bar and self.bars and self.tested_bar > max(self.bars):
            what = "every bar in bars is thinner than the tested one"
            yield Conflict(("tested_bar",), what, "test a bar that will be used", ("bars",))
        if self.tested_depth is not None and self.tested_depth > self.longest_bar:
            what = "is deeper than longest_bar"
            yield Conflict(("tested_depth",), what, "a test holds only as deep", ("longest_bar",))
