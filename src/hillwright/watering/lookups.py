"""Published tables of climate, soil and plants that are asked for by name."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import tables
from hillwright.watering.air import FAO56
from hillwright.watering.given import INCH
from hillwright.watering.landscape import FactorRange
from hillwright.watering.yearclimate import place_named


class PlaceYear(NamedTuple):
    """Reference evapotranspiration of a place."""

    monthly: Array
    annual: float


class SoilSchedule(NamedTuple):
    """What a soil is scheduled by."""

    available: float
    intake: float
    depletion: float


class Basal(NamedTuple):
    """Basal crop coefficients."""

    initial: float
    middle: float
    end: float


class WaterRange(NamedTuple):
    """Available water of a group of textures."""

    least: float
    most: float


@method(
    title="Reference evapotranspiration of a place or zone",
    equation="table look-up: twelve monthly means, and their sum",
    source="CIMIS 1999 (rev. 2012), Reference Evapotranspiration Zones; California Code of "
    "Regulations, Title 23, Chapter 2.7, appendix A (places from memory); City of Vacaville, "
    "Table 14.27.030.A",
)
def place_reference(place: str) -> PlaceYear:
    """Look up the monthly reference evapotranspiration of a place.

    Parameters
    ----------
    place : str
        A city of the table, "zone 9", or the zone's name. [text]

    Returns
    -------
    monthly : (12,) array
        Totals of the months, January first. [m]
    annual : float
        Their sum. [m]

    Raises
    ------
    OutOfRange
        No such place in the table.
    """
    found = place_named(place).reference
    return PlaceYear(found, float(found.sum()))


@method(
    title="Soil water, intake and allowed depletion by texture",
    equation="table look-up",
    source="Irrigation Association 2005, Landscape Irrigation Scheduling and Water Management "
    "(from memory; intake rates as quoted in public programs)",
)
def scheduling_soil(texture: str) -> SoilSchedule:
    """Look up what landscape scheduling takes of a soil.

    Parameters
    ----------
    texture : str
        As in "clay loam". [text]

    Returns
    -------
    available : float
        Water between field capacity and wilting, in a volume of soil. [-]
    intake : float
        Basic intake rate. [m/s]
    depletion : float
        Management allowed depletion. [-]

    Raises
    ------
    OutOfRange
        No such texture in the table.
    """
    row = tables.row("soil_water", "scheduling", "texture", texture)
    return SoilSchedule(
        row["available_water_in_in"], row["intake_in_hour"] * INCH / 3600, row["mad_pct"] / 100
    )


@method(
    title="Available water by group of textures",
    equation="table look-up: least and most, inches of water in a foot of soil",
    source="University of California, drought management web guide, Soil characteristics",
)
def available_by_group(group: str) -> WaterRange:
    """Look up the range of available water of a group of textures.

    Parameters
    ----------
    group : str
        As the table calls it, "sandy loams, fine sandy loams". [text]

    Returns
    -------
    least, most : float
        Volume of water in a volume of soil. [-]

    Raises
    ------
    OutOfRange
        No such group in the table.
    """
    row = tables.row("soil_water", "awc", "texture_group", group)
    return WaterRange(row["awc_min"] / 12, row["awc_max"] / 12)


@method(
    title="Basal crop coefficients of a crop",
    equation="table look-up: Kcb ini, Kcb mid, Kcb end",
    source=FAO56 + ", table 17",
)
def basal_coefficients(crop: str) -> Basal:
    """Look up the basal crop coefficients of a crop.

    Parameters
    ----------
    crop : str
        As the table calls it. [text]

    Returns
    -------
    initial, middle, end : float
        Kcb of the three stages. [-]

    Raises
    ------
    OutOfRange
        No such crop in the table.

    Notes
    -----
    With the evaporation of the wet soil beside them: the dual method.
    """
    row = tables.row("crops", "basal", "crop", crop)
    return Basal(row["kcb_ini"], row["kcb_mid"], row["kcb_end"])


@method(
    title="Lengths of the stages of a crop",
    equation="table look-up: initial, development, middle, late; the first row of the crop, or the "
    "one of a planting",
    source=FAO56 + ", table 11",
)
def crop_stages(crop: str, planting: str = "") -> Array:
    """Look up how long the four stages of a crop last.

    Parameters
    ----------
    crop : str
        As the table calls it. [text]
    planting : str
        When and where, as the table writes it, "Apr-May, California"; "" takes the first. [text]

    Returns
    -------
    (4,) array
        Days. [-]

    Raises
    ------
    OutOfRange
        No such crop or planting in the table.
    """
    first = tables.row("crops", "stages", "crop", crop)
    listed = [r for r in tables.rows("crops", "stages") if r["crop"] == first["crop"]]
    if planting:
        named = {r["planting_and_region"].lower(): r for r in listed}
        if planting.lower() not in named:
            right = f"write one of {'; '.join(r['planting_and_region'] for r in listed)}"
            raise OutOfRange("planting", f'"{planting}" is not in the table', right)
        first = named[planting.lower()]
    return np.array([first[s] for s in ("ini", "dev", "mid", "late")], float)


@method(
    title="Landscape coefficient of a species that was measured",
    equation="table look-up: share of ET0 that kept acceptable looks, least and most",
    source="Pittenger and Shaw 2004, Co-Hort 6.1, as in the WateReuse Salinity Management Guide, "
    "table 2",
)
def species_coefficient(species: str) -> FactorRange:
    """Look up the measured landscape coefficient of a species.

    Parameters
    ----------
    species : str
        As the table writes it, "Cistus x purpureus". [text]

    Returns
    -------
    least, most, middle : float
        Shares of ET0. [-]

    Raises
    ------
    OutOfRange
        No such species in the table.
    """
    row = tables.row("plant_factors", "species", "species", species)
    low, high = row["kl_min"], row["kl_max"]
    return FactorRange(low, high, (low + high) / 2)
