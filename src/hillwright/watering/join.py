"""What grows in the cells, as this room needs it: from stated defaults, or from a planting.

The one place that knows how the rooms above say it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.watering import tables
from hillwright.watering.landscape import plant_factor
from hillwright.watering.model import Planted

_DEFAULT = "herbaceous perennials, arid and Mediterranean climates"
_DEPLETION = 0.5  # of landscape plants: FAO-56 and landscape scheduling put it at about a half
_ROOTS = 0.6  # of landscape plants, where soil lets them [m]
_YEAR = 365.25 * 86400  # [s]
_SPREAD = 0.4  # of a plant of the mixed planting that stands in for what is not known [m]
_CURVE = (0.67, 1.0, 0.9)  # its coefficients over the middle one: table 12, small vegetables
_FEW, _FEW_SHARE = 4, 0.1  # cells, and share of a class, from which crops have their own valve
_ANNUAL = (20, 30, 40, 15)  # stages of a crop that no table has: FAO-56 table 11, small vegetables


def planted_everywhere(area: Array) -> Planted:
    """Take every cell as planted with one mixed planting of moderate thirst.

    Parameters
    ----------
    area : (n,) array
        Of each cell on the map. [m2]
    """
    n = len(area)
    factor = plant_factor(_DEFAULT)
    size = _size("perennial")
    plants = np.maximum(np.rint(area / _SPREAD**2), 1.0)
    return Planted(
        kinds=("mixed planting, moderate",),
        kind=frozen(np.zeros(n, dtype=np.intp)),
        zone=frozen(np.zeros(n, dtype=np.intp)),
        zones=("moderate",),
        factor=frozen(np.full((1, 12), factor)),
        canopy=frozen(area.copy()),
        young_canopy=frozen(np.minimum(plants * np.pi / 4 * size["wide_m"] ** 2, area)),
        roots=frozen(np.array([_ROOTS])),
        depletion=frozen(np.array([_DEPLETION])),
        edible=frozen(np.array([False])),
        ball=frozen(np.array([size["ball_l"] / 1e3])),
        ball_deep=frozen(np.array([size["ball_deep_m"]])),
        grown=frozen(np.array([size["grown_years"] * _YEAR])),
        life=("perennial",),
        plants=frozen(plants),
        stages=frozen(np.zeros((1, 4))),
        stage_factor=frozen(np.zeros((1, 3))),
        note="What grows in which cell is not known: every cell is taken as planted with a mixed "
        f"planting of moderate thirst (plant factor {factor:g}, invented).",
    )


def without(planted: Planted, bare: Mask) -> Planted:
    """Take the cells that hold no soil out of what is watered."""
    if not bare.any():
        return planted
    none = np.intp(-1)
    return replace(
        planted,
        kind=frozen(np.where(bare, none, planted.kind)),
        zone=frozen(np.where(bare, none, planted.zone)),
    )


def planted_from(planting: Any, area: Array) -> Planted:
    """Take what a planting says: plants by cell, thirst, hydrozones, months of growth.

    Parameters
    ----------
    planting : Planting
        Of the planting room: `plants` with id, kind, factor, width, spacing, depth and annual;
        `plant` and `hydrozone` by cell; `groups` of cells; `windows` of days to plant.
    area : (n,) array
        Of each cell on the map. [m2]
    """
    plants = planting.plants
    crops = {r["plant"]: r for r in tables.rows("crops", "of_plant")}
    factor = np.ones((len(plants), 12))
    lengths, kc = np.zeros((len(plants), 4)), np.zeros((len(plants), 3))
    roots, depletion, edible, names = [], [], [], []
    for i, plant in enumerate(plants):
        crop = crops.get(plant.id, {}).get("crop", "")
        curves = _curve(plant, crop)
        lengths[i], kc[i] = curves
        seasons = (*planting.bloom_months[i], *planting.harvest_months[i])
        factor[i] = _months(plant, *curves, planting.windows[i], crop, seasons)
        row = _row("roots", crops.get(plant.id, {}).get("roots", ""))
        roots.append(row["zr_min_m"] if row else max(plant.depth, 0.15))
        depletion.append(row["p"] if row else _DEPLETION)
        edible.append("edible" in plant.uses)
        names.append(plant.common)
    kind = np.where(planting.hydrozone >= 0, planting.plant, -1)
    canopy = np.where(kind >= 0, area, 0.0)
    young, stand = canopy.copy(), np.where(kind >= 0, 1.0, 0.0)
    sizes = [_size(p.life) for p in plants]
    balls = [_ball(size, min(p.spacing)) for p, size in zip(plants, sizes, strict=True)]
    for group in planting.groups:
        plant = plants[group.plant]
        one = np.pi / 4 * plant.width**2
        whole = max(one * group.plants, 1e-4)
        # several small plants cannot shade more than their cells; a tree shades what it spreads
        own = float(area[group.cells].sum())
        total = whole if group.plants == 1 else min(whole, own)
        canopy[group.cells] = total * area[group.cells] / own
        wide = min(sizes[group.plant]["wide_m"], plant.width, min(plant.spacing))
        # an annual is grown anew each year: its own curve tells of its youth
        new = total if plant.annual else min(np.pi / 4 * wide**2 * group.plants, total)
        young[group.cells] = new * area[group.cells] / own
        stand[group.cells] = group.plants * area[group.cells] / own
    annual = np.array([p.annual for p in plants], dtype=bool)
    zone, zones = _by_season(np.where(kind >= 0, planting.hydrozone, -1), annual[kind], planting)
    return Planted(
        kinds=tuple(names),
        kind=frozen(kind.astype(np.intp)),
        zone=frozen(zone.astype(np.intp)),
        zones=zones,
        factor=frozen(factor),
        canopy=frozen(canopy),
        young_canopy=frozen(young),
        roots=frozen(np.array(roots)),
        depletion=frozen(np.array(depletion)),
        edible=frozen(np.array(edible, dtype=bool)),
        ball=frozen(np.array(balls)[:, 0]),
        ball_deep=frozen(np.array(balls)[:, 1]),
        grown=frozen(np.array([size["grown_years"] * _YEAR for size in sizes])),
        life=tuple(
            "annual" if p.annual else size["life"] for p, size in zip(plants, sizes, strict=True)
        ),
        plants=frozen(stand),
        stages=frozen(lengths),
        stage_factor=frozen(kc),
        note="",
    )


def _row(table: str, crop: str) -> dict[str, Any] | None:
    return next((r for r in tables.rows("crops", table) if r["crop"] == crop), None)


def clear_light(planting: Any) -> tuple[Array | None, float | None]:
    """Take the sun that the planting room found, and the latitude that it is for.

    A clear day's light on each cell over that on open level ground (n, 12), shaded by ground, far
    horizon and grown trees.
    """
    energy = getattr(planting, "energy", None)
    if energy is None or not len(energy):
        return None, None
    level = np.maximum(np.asarray(planting.level), 1e-9)
    return np.asarray((energy / level[:, None]).T), float(planting.latitude)


def _by_season(zone: Index, annual: Mask, planting: Any) -> tuple[Index, tuple[str, ...]]:
    """Part what is grown anew each year from what stays, within a class of thirst.

    Crops want nothing in winter and most in their own summer: on one valve with what stays, each
    is given what the other wants. Few cells of one sort stay with the others: a valve costs too.
    """
    found = np.full(len(zone), -1)
    names: list[str] = []
    for z, name in enumerate(planting.hydrozones):
        here = zone == z
        crops = here & annual
        few = min(int(crops.sum()), int((here & ~annual).sum()))
        if few >= max(_FEW, _FEW_SHARE * int(here.sum())):
            found[here & ~annual] = len(names)
            found[crops] = len(names) + 1
            names += [name, f"{name}, crops"]
        else:
            found[here] = len(names)
            names.append(name)
    return found, tuple(names)


def _size(life: str) -> dict[str, Any]:
    """Give how plants of a way of life come to the site."""
    by_life = {r["life"]: r for r in tables.rows("young_plants", "size")}
    return by_life.get(life, by_life["perennial"])


def _ball(size: dict[str, Any], spacing: float) -> tuple[float, float]:
    """Give volume [m3] and height [m] of a root ball: what stands close is planted small."""
    volume, deep = size["ball_l"] / 1e3, size["ball_deep_m"]
    wide = 2 * math.sqrt(volume / (math.pi * deep))
    if wide > 0.5 * spacing:
        wide = 0.5 * spacing
        deep = min(deep, wide)
        volume = math.pi / 4 * wide**2 * deep
    return volume, deep


def _curve(plant: Any, crop: str) -> tuple[Array, Array]:
    """Give an annual's stages [days] and coefficients; zeros for what stays."""
    stages, kc = _row("stages", crop), _row("coefficients", crop)
    if not plant.annual:
        return np.zeros(4), np.zeros(3)
    lengths = _ANNUAL if stages is None else [stages[s] for s in ("ini", "dev", "mid", "late")]
    if kc is None:
        return np.array(lengths, float), plant.factor * np.array(_CURVE)
    return np.array(lengths, float), np.array([kc["kc_ini"], kc["kc_mid"], kc["kc_end"]])


def _months(
    plant: Any,
    lengths: Array,
    kc: Array,
    window: tuple[int, int],
    crop: str,
    seasons: tuple[int, ...],
) -> Array:
    """Give the mean factor of each month: a crop's curve from planting on, else one all year."""
    from hillwright.watering.crops import coefficient_curve

    if not plant.annual:
        return np.full(12, plant.factor)
    first, last = window
    span = (last - first) % 365
    days = np.arange(1, 366)
    best = np.zeros(365)
    # sown anywhere in its window: each day is watered for the thirstiest it may be
    for start in {first, (first + span // 2 - 1) % 365 + 1, (first + span - 1) % 365 + 1}:
        age = (days - start) % 365 + 1
        curve = coefficient_curve(age, list(lengths), *kc)
        best = np.maximum(best, curve)
    ends = np.cumsum(tables.DAYS)
    if _row("coefficients", crop) is None and seasons:
        # no table knows its stages: it stands until the last month that it flowers or is picked in
        until = max((ends[m - 1] - first) % 365 for m in seasons)
        best = np.where((days - first) % 365 <= until, np.maximum(best, plant.factor), best)
    return np.array([m.mean() for m in np.split(best, ends[:-1])])
