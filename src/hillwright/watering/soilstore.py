"""The soil as a store of water: what it holds, how much of it may be used, how long that lasts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.watering import given as guard
from hillwright.watering import tables
from hillwright.watering.air import FAO56
from hillwright.watering.given import DAY, MM


class Texture(NamedTuple):
    """How a soil holds water, by its texture."""

    capacity: float
    wilting: float
    available: float


class Store(NamedTuple):
    """Water in a root zone."""

    total: Array
    ready: Array


class Interval(NamedTuple):
    """How long a store lasts."""

    time: Array
    whole_days: Array


class Leaching(NamedTuple):
    """More water than the plants use, to carry salt below the roots."""

    requirement: Array
    applied: Array


@method(
    title="Water that a soil holds, by texture",
    equation="table look-up: water content at field capacity and at wilting, middle of the range",
    source=FAO56 + ", table 19 (as carried by a public program)",
)
def soil_texture(texture: str) -> Texture:
    """Look up the water contents of a texture.

    Parameters
    ----------
    texture : str
        As in "sandy loam". [text]

    Returns
    -------
    capacity, wilting, available : float
        Volume of water in a volume of soil: field capacity, wilting point, and between them. [-]

    Raises
    ------
    OutOfRange
        No such texture in the table.

    Notes
    -----
    Middles of wide ranges; compost raises both.
    """
    found = tables.row("soil_water", "texture", "texture", texture)
    fc = (found["theta_fc_min"] + found["theta_fc_max"]) / 2
    wp = (found["theta_wp_min"] + found["theta_wp_max"]) / 2
    return Texture(fc, wp, fc - wp)


@method(
    title="Water that a planting mix holds for plants",
    equation="available = sum of share x available of each component, shares of the loose volume",
    source="mixing by volume; components: FAO-56 table 19 (topsoil, site soil, sand), others from "
    "memory (data/soil_water.toml)",
)
def mix_available(parts: Sequence[tuple[str, float]]) -> float:
    """Give the available water of a mix from what it is blended of.

    Parameters
    ----------
    parts : sequence of (str, float)
        Component, and its share of the loose volume. [text]

    Returns
    -------
    float
        Volume of water in a volume of mix. [-]

    Raises
    ------
    OutOfRange
        No such component in the table.

    Notes
    -----
    Every delivery differs: weigh a pot of the mix drained and wilted, and give watering.available.
    """
    known = {r["component"]: r["available"] for r in tables.rows("soil_water", "component")}
    whole = sum(share for _, share in parts)
    return float(sum(known.get(n, known["topsoil"]) * share for n, share in parts) / whole)


@method(
    title="Total and readily available water",
    equation="TAW = 1000 (FC - WP) Zr; RAW = p TAW",
    source=FAO56 + ", equations 82 and 83",
    symbols={
        "TAW": "total water",
        "RAW": "ready",
        "FC": "capacity",
        "WP": "wilting",
        "Zr": "depth",
        "p": "depletion",
    },
)
def available_water(
    capacity: ArrayLike, wilting: ArrayLike, depth: ArrayLike, depletion: ArrayLike
) -> Store:
    """Give the water of a root zone, and the part that plants take up without effort.

    Parameters
    ----------
    capacity, wilting : (...) array
        Water content at field capacity and at the wilting point. [-]
    depth : (...) array
        Of the roots: the lesser of the plant's and of the soil that they can reach. [m]
    depletion : (...) array
        p, share that may be used before the plant is short. [-]

    Returns
    -------
    total, ready : (...) array
        TAW and RAW, as depths. [m]

    Raises
    ------
    OutOfRange
        A wilting point above field capacity, or no share.
    """
    fc, wp = given.share("capacity", capacity), given.share("wilting", wilting)
    guard.not_below("wilting", wp, "capacity", fc)
    taw = (fc - wp) * given.at_least_zero("depth", depth)
    return Store(np.asarray(taw), np.asarray(given.share("depletion", depletion) * taw))


@method(
    title="Depletion fraction for the day's water use",
    equation="p = p(table) + 0.04 (5 - ETc), 0.1 to 0.8, ETc in mm/day",
    source=FAO56 + ", table 22, footnote (from memory)",
)
def depletion_fraction(tabled: ArrayLike, use: ArrayLike) -> Array:
    """Adjust the depletion fraction: in heat a plant is short of water sooner.

    Parameters
    ----------
    tabled : (...) array
        p where the crop uses 5 mm a day. [-]
    use : (...) array
        ETc. [m/s]

    Returns
    -------
    (...) array
        p. [-]

    Raises
    ------
    OutOfRange
        No share, or a negative use.
    """
    et = given.at_least_zero("use", use) * DAY / MM
    return np.asarray(np.clip(given.share("tabled", tabled) + 0.04 * (5 - et), 0.1, 0.8))


@method(
    title="Stress of a plant that is short of water",
    equation="Ks = (TAW - Dr) / [(1 - p) TAW] for Dr > RAW, else 1",
    source=FAO56 + ", equation 84",
)
def stress(depleted: ArrayLike, total: ArrayLike, depletion: ArrayLike) -> Array:
    """Give the share of its full use that a plant still draws from drying soil.

    Parameters
    ----------
    depleted, total : (...) array
        Dr, water missing from the root zone, and TAW. [m]
    depletion : (...) array
        p, less than 1. [-]

    Returns
    -------
    (...) array
        Ks, 1 unstressed to 0 at wilting. [-]

    Raises
    ------
    OutOfRange
        Negative water, or no share.
    """
    taw, p = given.above_zero("total", total), given.share("depletion", depletion)
    left = taw - given.at_least_zero("depleted", depleted)
    return np.asarray(np.clip(left / np.maximum((1 - p) * taw, 1e-12), 0, 1))


@method(
    title="Longest time between waterings",
    equation="T = RAW/ETc, whole days rounded down; 0 = less than a day",
    source="definition; common practice: FAO-56, chapter 8",
    symbols={"T": "interval", "RAW": "ready", "ETc": "use"},
)
def interval(ready: ArrayLike, use: ArrayLike) -> Interval:
    """Give how long the readily available water lasts.

    Parameters
    ----------
    ready : (...) array
        RAW. [m]
    use : (...) array
        ETc. [m/s]

    Returns
    -------
    time : (...) array
        Without limit where nothing is used. [s]
    whole_days : (...) array
        Rounded down; 0 where a day's use is more than the store: water more than once a day. [-]

    Raises
    ------
    OutOfRange
        Negative water.
    """
    raw, et = given.at_least_zero("ready", ready), given.at_least_zero("use", use)
    with np.errstate(divide="ignore", invalid="ignore"):
        time = np.where(et > 0, raw / et, np.inf)
    return Interval(time, np.floor(time / DAY + 1e-9))


@method(
    title="Water to keep salt below the roots",
    equation="LR = ECw/(5 ECe - ECw) surface; ECw/(2 max ECe) frequent drip; AW = ET/(1 - LR)",
    source="Ayers and Westcot 1985, Water Quality for Agriculture, FAO Irrigation and Drainage "
    "Paper 29 rev. 1, equations 7 and 9 (from memory)",
)
def leaching(
    water_salinity: ArrayLike, soil_salinity: ArrayLike, use: ArrayLike, way: str = "surface"
) -> Leaching:
    """Give how much more water salty water asks for.

    Parameters
    ----------
    water_salinity : (...) array
        ECw, in dS/m. [-]
    soil_salinity : (...) array
        ECe that the crop stands with little loss (way "surface"), or at which it gives nothing
        (way "drip"), in dS/m. [-]
    use : (...) array
        What the crop uses. [m]
    way : str
        "surface", or "drip" for frequent watering. [text]

    Returns
    -------
    requirement : (...) array
        LR, share of the water that must go below the roots. [-]
    applied : (...) array
        Water to give. [m]

    Raises
    ------
    OutOfRange
        Water so salty that no amount of it would do.
    """
    kind = guard.one_of("way", way, ("surface", "drip"))
    ecw = given.at_least_zero("water_salinity", water_salinity)
    ece = given.above_zero("soil_salinity", soil_salinity)
    below = 5 * ece - ecw if kind == "surface" else 2 * ece
    lr = np.where(below > 0, ecw / np.where(below > 0, below, 1), np.inf)
    if (bad := lr >= 0.9).any():
        what = "is too salty for this crop: no amount of water would carry the salt away"
        right = "grow what stands salt, or find other water"
        raise OutOfRange(given.where("water_salinity", bad), what, right)
    return Leaching(lr, np.asarray(given.at_least_zero("use", use) / (1 - lr)))
