"""What the ground of a hill is to water: its group, how it drinks, how easily it is washed away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from hillwright.errors import OutOfRange, did_you_mean
from hillwright.job.ground import SoilText
from hillwright.runoff.erodibility import SI_K, texture_erodibility
from hillwright.runoff.rowsoil import SoilWater
from hillwright.runoff.soilwater import green_ampt_soil
from hillwright.runoff.tables import rows, words

Range = tuple[float, float, float]
FILL = "sandy loam"  # stands for a garden mix; common practice, no source
UNKNOWN = "D"  # group of a soil that nobody looked at: the one that sheds most


@dataclass(frozen=True, slots=True)
class HillSoil:
    """The ground under the cells, as rain meets it."""

    group: str  # hydrologic, A to D
    texture: str  # USDA
    how: str  # where both came from, in words
    known: bool  # False: nobody said what soil it is
    porosity: float  # effective [-]
    conductivity: float  # [m/s]
    suction: float  # [m]
    moisture: float  # when the storm begins: a day or two after rain, as is field capacity [-]
    erodibility: Range  # K [as SI of t h/(MJ mm)]

    @property
    def water(self) -> SoilWater:
        """How it takes in water."""
        return SoilWater(
            self.porosity, self.conductivity, self.suction, self.moisture, self.moisture
        )


def hill_soil(soil: SoilText, group: str | None) -> HillSoil:
    """Give the ground as the job names it, else the one that sheds most.

    Raises
    ------
    OutOfRange
        A texture, class or name that no table has.
    """
    texture, how = _texture(soil)
    known = bool(texture)
    if not known:
        taken = group or UNKNOWN
        texture = _find("group", "group", taken)["texture"]
        how = "from the soil group" if group else "no soil is named: the group that sheds most"
    row = _find("texture", "texture", texture)
    if group and known:
        how = f"{how}; group as given"
    drinks, k = green_ampt_soil(row["infiltration"]), texture_erodibility(row["erodibility"])
    ends = sorted((k.us_low, k.us, k.us_high))
    moisture = min(row["field_capacity"], drinks.effective_porosity)
    return HillSoil(
        group or row["group"],
        texture,
        how,
        known or group is not None,
        drinks.effective_porosity,
        drinks.conductivity,
        drinks.suction,
        moisture,
        (ends[0] * SI_K, k.us * SI_K, ends[2] * SI_K),
    )


def fill_water() -> SoilWater:
    """Give how the fill of the cells takes in water: a garden mix, taken as sandy loam, moist."""
    soil = green_ampt_soil(FILL)
    moist = _find("texture", "texture", FILL)["field_capacity"]
    return SoilWater(soil.effective_porosity, soil.conductivity, soil.suction, moist, moist)


def _texture(soil: SoilText) -> tuple[str, str]:
    """Give the texture that the job's soil stands for, and why; "" where it names none."""
    if soil.texture.strip():
        return _known("texture", "texture", soil.texture.lower(), "soil.texture"), "as named"
    if soil.uscs.strip():
        row = _find("uscs", "uscs", _known("uscs", "uscs", soil.uscs.upper(), "soil.uscs"))
        return row["texture"], f"nearest to {row['uscs']}"
    if name := " ".join(soil.name.lower().split()):
        for row in rows("soil_groups", "words"):
            if row["words"] in name:
                return row["texture"], f'nearest to "{name}"'
        right = "name it by its texture or its USCS class"
        raise OutOfRange("soil.name", f"{soil.name!r} is no soil that is known", right)
    return "", ""


def _known(name: str, column: str, word: str, where: str) -> str:
    word, known = " ".join(word.split()), words("soil_groups", name, column)
    if word not in known:
        right = did_you_mean(word, known, f"known are {', '.join(known)}")
        raise OutOfRange(where, f"{word!r} is not known", right)
    return word


def _find(name: str, column: str, word: str) -> dict[str, Any]:
    return next(r for r in rows("soil_groups", name) if r[column] == word)
