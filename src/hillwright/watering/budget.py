"""Water budget under a model water-efficient landscape ordinance: allowance and estimated use."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import given as guard
from hillwright.watering import tables
from hillwright.watering.given import INCH

ORDINANCE = "California Code of Regulations, Title 23, Division 2, Chapter 2.7"
SQUARE_FOOT = 0.3048**2
GALLON = 231 * INCH**3  # [m3]
# gallons in an inch over a square foot: the ordinance rounds 0.62338 to 0.62
FACTOR = 0.62
_EXACT = INCH * SQUARE_FOOT / GALLON


class Use(NamedTuple):
    """Estimated use of a landscape."""

    weighted_area: Array
    volume: Array


class Worksheet(NamedTuple):
    """The lines below the hydrozone table of the ordinance's worksheet."""

    etaf: Array
    etaf_area: Array
    volume: Array
    regular_area: float
    regular_etaf: float
    site_area: float
    site_etaf: float
    total: float
    allowance: float
    complies: bool


def limit(kind: str) -> float:
    """Give the ET adjustment factor that the ordinance allows a kind of landscape [-]."""
    return float(tables.row("ordinance", "etaf", "kind", kind)["value"])


@method(
    title="Inches over square feet in gallons",
    equation="gal = 0.62 in ft2 by the ordinance; 7.48052/12 = 0.62338 exactly",
    source=ORDINANCE + ", section 491 (from memory)",
)
def gallons_factor(rounded: bool = True) -> float:
    """Give the gallons in an inch of water over a square foot.

    Parameters
    ----------
    rounded : bool
        As the ordinance rounds it; false gives the exact one. [-]

    Returns
    -------
    float
        Gallons per inch and square foot. [-]
    """
    return FACTOR if rounded else _EXACT


@method(
    title="ET adjustment factor of a hydrozone",
    equation="ETAF = PF/IE",
    source=ORDINANCE + ", water efficient landscape worksheet (as quoted in a public note)",
)
def adjustment_factor(plant_factor: ArrayLike, efficiency: ArrayLike) -> Array:
    """Give the share of ET0 that a hydrozone is given.

    Parameters
    ----------
    plant_factor : (...) array
        PF, of the thirstiest plant of the hydrozone. [-]
    efficiency : (...) array
        IE: 0.81 drip, 0.75 overhead spray. [-]

    Returns
    -------
    (...) array
        ETAF. [-]

    Raises
    ------
    OutOfRange
        No factor, or an efficiency that is none.
    """
    part = given.above_zero("efficiency", given.share("efficiency", efficiency))
    return np.asarray(given.within("plant_factor", plant_factor, 0, 2) / part)


@method(
    title="Maximum applied water allowance of a year",
    equation="MAWA = ET0 0.62 [ETAF LA + (1 - ETAF) SLA] gal, ET0 in, areas ft2",
    source=ORDINANCE + ", section 492.4 and worksheet (the 2025 factor as quoted in a public note; "
    "the 2009 example from memory)",
    symbols={
        "MAWA": "allowance",
        "ET0": "reference",
        "ETAF": "etaf",
        "LA": "area",
        "SLA": "special_area",
    },
)
def allowance(
    reference: ArrayLike,
    area: ArrayLike,
    special_area: ArrayLike = 0.0,
    etaf: ArrayLike = 0.55,
    exact: bool = False,
) -> Array:
    """Give the water that a landscape may use in a year.

    Parameters
    ----------
    reference : (...) array
        ET0 of the year, from the ordinance's table. [m]
    area : (...) array
        Irrigated landscape, the special landscape area within it. [m2]
    special_area : (...) array
        Dedicated to edible plants, or irrigated with recycled water: its ETAF is 1. [m2]
    etaf : (...) array
        0.55 residential, 0.45 other; 0.7 in the text of 2009. [-]
    exact : bool
        Take 0.62338, not the ordinance's 0.62. [-]

    Returns
    -------
    (...) array
        MAWA. [m3]

    Raises
    ------
    OutOfRange
        Negative depths or areas, or more special area than landscape.
    """
    la, sla = given.at_least_zero("area", area), given.at_least_zero("special_area", special_area)
    guard.not_below("special_area", sla, "area", la)
    part = given.within("etaf", etaf, 0, 1)
    et = given.at_least_zero("reference", reference) / INCH
    factor = _EXACT if exact else FACTOR
    gallons = et * factor * (part * la + (1 - part) * sla) / SQUARE_FOOT
    return np.asarray(gallons * GALLON)


@method(
    title="Estimated total water use of a year",
    equation="ETWU = ET0 0.62 [sum(PF HA)/IE + SLA] gal, ET0 in, areas ft2",
    source=ORDINANCE + ", section 492.4, text of 2009 (from memory)",
)
def estimated_use(
    reference: float,
    plant_factor: ArrayLike,
    area: ArrayLike,
    efficiency: ArrayLike,
    special_area: float = 0.0,
    exact: bool = False,
) -> Use:
    """Give the water that the hydrozones of a landscape will use in a year.

    Parameters
    ----------
    reference : float
        ET0 of the year. [m]
    plant_factor : (n,) array
        PF of each hydrozone. [-]
    area : (n,) array
        Of each hydrozone, on the map. [m2]
    efficiency : (...) array
        IE, one for all or one for each. [-]
    special_area : float
        Special landscape area, outside the hydrozones listed. [m2]
    exact : bool
        Take 0.62338, not the ordinance's 0.62. [-]

    Returns
    -------
    weighted_area : array
        Sum of PF times area. [m2]
    volume : array
        ETWU. [m3]

    Raises
    ------
    OutOfRange
        Lists of different length, negative areas, or no factor.
    """
    pf = np.atleast_1d(given.within("plant_factor", plant_factor, 0, 2))
    ha = np.atleast_1d(given.at_least_zero("area", area))
    if pf.shape != ha.shape:
        right = "give one plant factor and one area for each hydrozone"
        raise OutOfRange("plant_factor, area", f"{len(pf)} factors for {len(ha)} areas", right)
    sla = given.at_least_zero("special_area", special_area)
    each = adjustment_factor(pf, efficiency) * ha
    et = given.at_least_zero("reference", reference) / INCH
    gallons = et * (_EXACT if exact else FACTOR) * (each.sum() + sla) / SQUARE_FOOT
    return Use(np.asarray((pf * ha).sum()), np.asarray(gallons * GALLON))


@method(
    title="Water efficient landscape worksheet",
    equation="ETAF = PF/IE, special areas 1; ETWU = ET0 0.62 sum(ETAF area); regular ETAF = "
    "sum(ETAF area)/sum(area); complies: ETWU <= MAWA",
    source=ORDINANCE + ", appendix B, worksheet (as quoted in a public note)",
)
def worksheet(
    reference: float,
    plant_factor: ArrayLike,
    area: ArrayLike,
    efficiency: ArrayLike,
    special: ArrayLike,
    allowed: float = 0.55,
) -> Worksheet:
    """Fill in the worksheet that a plan checker reads.

    Parameters
    ----------
    reference : float
        ET0 of the year. [m]
    plant_factor : (n,) array
        PF of each hydrozone. [-]
    area : (n,) array
        Of each hydrozone, on the map. [m2]
    efficiency : (n,) array
        IE of each, or one for all. [-]
    special : (n,) bool array
        The hydrozone is special landscape area. [-]
    allowed : float
        ETAF that the ordinance allows. [-]

    Returns
    -------
    etaf : (n,) array
        Of each hydrozone. [-]
    etaf_area : (n,) array
        ETAF times area. [m2]
    volume : (n,) array
        ETWU of each. [m3]
    regular_area : float
        Regular landscape area. [m2]
    regular_etaf : float
        Its mean ETAF; 0 where there is none. [-]
    site_area : float
        All of it. [m2]
    site_etaf : float
        Its mean ETAF; 0 where there is none. [-]
    total, allowance : float
        ETWU and MAWA. [m3]
    complies : bool
        Use is within the allowance. [-]

    Raises
    ------
    OutOfRange
        Lists of different length, negative areas, or no factor.
    """
    pf, ha = np.atleast_1d(np.asarray(plant_factor, float)), np.atleast_1d(np.asarray(area, float))
    sla = np.atleast_1d(np.asarray(special, bool))
    if not pf.shape == ha.shape == sla.shape:
        right = "give one of each for every hydrozone"
        raise OutOfRange("plant_factor, area, special", "are lists of different length", right)
    each = np.where(sla, 1.0, adjustment_factor(pf, efficiency))
    weighted = each * given.at_least_zero("area", ha)
    gallon = (
        float(given.at_least_zero("reference", reference)) / INCH * FACTOR / SQUARE_FOOT * GALLON
    )
    regular, site = float(ha[~sla].sum()), float(ha.sum())
    total = float(weighted.sum() * gallon)
    most = float(allowance(reference, site, float(ha[sla].sum()), allowed))
    return Worksheet(
        each,
        weighted,
        weighted * gallon,
        regular,
        float(weighted[~sla].sum() / regular) if regular else 0.0,
        site,
        float(weighted.sum() / site) if site else 0.0,
        total,
        most,
        bool(total <= most * (1 + 1e-12)),
    )
