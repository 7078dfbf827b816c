"""Water need of landscape plants by their published classes, and of whole plants and cells."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.watering import given as guard
from hillwright.watering import tables

WUCOLS = (
    "Costello, Matheny, Clark and Jones 2000, A Guide to Estimating Irrigation Water Needs of "
    "Landscape Plantings in California (WUCOLS III) (from memory; the moderate class was seen)"
)
_LEVELS = ("very low", "low", "moderate", "high")


class PlantNeed(NamedTuple):
    """What a plant uses in a day, and what must be given for it."""

    net: Array
    gross: Array


class FactorRange(NamedTuple):
    """The plant factors of a class of water use."""

    least: float
    most: float
    middle: float


@method(
    title="Plant factor of a kind of landscape plant",
    equation="table look-up: share of ET0 that keeps established plants in good looks",
    source="ANSI/ASABE S623 (2015), as presented by the University of California (from memory); "
    "fruit and vegetable rows are the university's",
)
def plant_factor(kind: str) -> float:
    """Look up the plant factor of a kind of plant.

    Parameters
    ----------
    kind : str
        As the table calls it, "desert adapted plants". [text]

    Returns
    -------
    float
        Share of ET0. [-]

    Raises
    ------
    OutOfRange
        No such kind in the table.

    Notes
    -----
    Established plants only: not the first one to three seasons.
    """
    return float(tables.row("plant_factors", "s623", "kind", kind)["plant_factor"])


@method(
    title="Plant factors of a class of water use",
    equation="table look-up: least and most share of ET0",
    source="California Code of Regulations, Title 23, Chapter 2.7, section 491 (from memory); "
    + WUCOLS,
)
def water_use_class(level: str) -> FactorRange:
    """Look up the plant factors that belong to a class of water use.

    Parameters
    ----------
    level : str
        "very low", "low", "moderate" or "high". [text]

    Returns
    -------
    least, most, middle : float
        Shares of ET0. [-]

    Raises
    ------
    OutOfRange
        No such class.
    """
    found = tables.row("plant_factors", "classes", "level", level)
    low, high = float(found["pf_min"]), float(found["pf_max"])
    return FactorRange(low, high, (low + high) / 2)


@method(
    title="Landscape coefficient",
    equation="KL = ks kd kmc",
    source=WUCOLS,
)
def landscape_coefficient(
    species: ArrayLike, density: ArrayLike = 1.0, microclimate: ArrayLike = 1.0
) -> Array:
    """Give the share of ET0 that a planting needs.

    Parameters
    ----------
    species : (...) array
        ks: below 0.1 to 0.9. [-]
    density : (...) array
        kd: 0.5 sparse to 1.3 dense and layered. [-]
    microclimate : (...) array
        kmc: 0.5 shaded or sheltered to 1.4 beside hot walls. [-]

    Returns
    -------
    (...) array
        KL. [-]

    Raises
    ------
    OutOfRange
        A factor outside its class.

    Notes
    -----
    Where radiation is already reckoned on the plant's own slope, kmc must not raise it for the
    aspect once more.
    """
    ks = given.within("species", species, 0.0, 1.0, "give 0 to 0.9")
    kd = given.within("density", density, 0.5, 1.3, "give 0.5 (sparse) to 1.3 (dense)")
    kmc = given.within(
        "microclimate", microclimate, 0.5, 1.4, "give 0.5 (shade) to 1.4 (hot walls)"
    )
    return np.asarray(ks * kd * kmc)


@method(
    title="Water that a plant needs in a time",
    equation="need = ET0 K",
    source=WUCOLS,
)
def water_need(reference: ArrayLike, factor: ArrayLike) -> Array:
    """Give the depth of water that plants need.

    Parameters
    ----------
    reference : (...) array
        ET0 of the time. [m]
    factor : (...) array
        Plant factor, landscape or crop coefficient. [-]

    Returns
    -------
    (...) array
        Depth over their canopy. [m]

    Raises
    ------
    OutOfRange
        A negative depth, or no factor.
    """
    return np.asarray(
        given.at_least_zero("reference", reference) * given.within("factor", factor, 0, 2.0)
    )


@method(
    title="Water for one plant or cell in a day",
    equation="V = ET0 K A, given V/e",
    source="definition; ANSI/ASABE S623 (2015) for landscape plants (from memory)",
    symbols={"V": "water", "ET0": "reference", "K": "factor", "A": "area", "e": "efficiency"},
)
def plant_volume(
    reference: ArrayLike, factor: ArrayLike, area: ArrayLike, efficiency: ArrayLike = 1.0
) -> PlantNeed:
    """Give the water that a plant uses in a day, and what must leave the emitter for it.

    Parameters
    ----------
    reference : (...) array
        ET0 of the day. [m]
    factor : (...) array
        Plant factor or crop coefficient. [-]
    area : (...) array
        Canopy, on the map. [m2]
    efficiency : (...) array
        Share of the water that reaches the roots. [-]

    Returns
    -------
    net, gross : (...) array
        Volumes of one day. [m3]

    Raises
    ------
    OutOfRange
        A negative depth or area, no factor, or an efficiency that is none.
    """
    part = given.above_zero("efficiency", given.share("efficiency", efficiency))
    net = water_need(reference, factor) * given.at_least_zero("area", area)
    return PlantNeed(np.asarray(net), np.asarray(net / part))


@method(
    title="Canopy of a growing plant",
    equation="d = d0 + (dm - d0) min(t/tm, 1); area pi d^2/4",
    source="common practice, no source: width grows about evenly until it is grown",
)
def canopy_area(age: ArrayLike, planted: ArrayLike, mature: ArrayLike, years: ArrayLike) -> Array:
    """Give the canopy of a plant some time after planting, on the map.

    Parameters
    ----------
    age : (...) array
        Since planting. [s]
    planted, mature : (...) array
        Widths when planted and when grown. [m]
    years : (...) array
        How long it takes to grow. [s]

    Returns
    -------
    (...) array
        Canopy. [m2]

    Raises
    ------
    OutOfRange
        Negative ages or widths, or a plant that shrinks.
    """
    d0, dm = given.at_least_zero("planted", planted), given.at_least_zero("mature", mature)
    guard.not_below("planted", d0, "mature", dm)
    part = given.at_least_zero("age", age) / given.above_zero("years", years)
    return np.asarray(np.pi / 4 * (d0 + (dm - d0) * np.minimum(part, 1)) ** 2)
