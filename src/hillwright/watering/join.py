"""What grows in the cells, as this room needs it: from stated defaults, or from a planting.

The one place that knows how the rooms above say it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from hillwright.arrays import Array, Mask, frozen
from hillwright.watering import tables
from hillwright.watering.landscape import plant_factor
from hillwright.watering.model import Planted

_DEFAULT = "herbaceous perennials, arid and Mediterranean climates"
_DEPLETION = 0.5  # of landscape plants: FAO-56 and landscape scheduling put it at about a half
_ROOTS = 0.6  # of landscape plants, where soil lets them [m]
_YEAR = 365.25 * 86400  # [s]
_GROWN = {True: 0.25, False: 3.0}  # years until grown: of annuals, of others; common practice
_YOUNG = 0.25  # canopy of a young plant over the grown one, where nobody says [-]


def planted_everywhere(area: Array) -> Planted:
    """Take every cell as planted with one mixed planting of moderate thirst.

    Parameters
    ----------
    area : (n,) array
        Of each cell on the map. [m2]
    """
    n = len(area)
    factor = plant_factor(_DEFAULT)
    return Planted(
        kinds=("mixed planting, moderate",),
        kind=frozen(np.zeros(n, dtype=np.intp)),
        zone=frozen(np.zeros(n, dtype=np.intp)),
        zones=("moderate",),
        factor=frozen(np.full((1, 12), factor)),
        canopy=frozen(area.copy()),
        young_canopy=frozen(_YOUNG * area),
        roots=frozen(np.array([_ROOTS])),
        depletion=frozen(np.array([_DEPLETION])),
        edible=frozen(np.array([False])),
        grown=frozen(np.array([_GROWN[False] * _YEAR])),
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
    roots, depletion, edible, names = [], [], [], []
    for i, plant in enumerate(plants):
        crop = crops.get(plant.id, {}).get("crop", "")
        factor[i] = _months(plant, crop, planting.windows[i])
        row = _row("roots", crops.get(plant.id, {}).get("roots", ""))
        roots.append(row["zr_min_m"] if row else max(plant.depth, 0.15))
        depletion.append(row["p"] if row else _DEPLETION)
        edible.append("edible" in plant.uses)
        names.append(plant.common)
    kind = np.where(planting.hydrozone >= 0, planting.plant, -1)
    canopy = np.where(kind >= 0, area, 0.0)
    young = _YOUNG * canopy
    for group in planting.groups:
        plant = plants[group.plant]
        one = np.pi / 4 * plant.width**2
        whole = max(one * group.plants, 1e-4)
        # several small plants cannot shade more than their cells; a tree shades what it spreads
        own = float(area[group.cells].sum())
        total = whole if group.plants == 1 else min(whole, own)
        canopy[group.cells] = total * area[group.cells] / own
        set_out = np.pi / 4 * min(plant.spacing[0], plant.width) ** 2 * group.plants
        young[group.cells] = np.minimum(_YOUNG * total, set_out) * area[group.cells] / own
    return Planted(
        kinds=tuple(names),
        kind=frozen(kind.astype(np.intp)),
        zone=frozen(np.where(kind >= 0, planting.hydrozone, -1).astype(np.intp)),
        zones=tuple(planting.hydrozones),
        factor=frozen(factor),
        canopy=frozen(canopy),
        young_canopy=frozen(young),
        roots=frozen(np.array(roots)),
        depletion=frozen(np.array(depletion)),
        edible=frozen(np.array(edible, dtype=bool)),
        grown=frozen(np.array([_GROWN[p.annual] * _YEAR for p in plants])),
        note="",
    )


def _row(table: str, crop: str) -> dict[str, Any] | None:
    return next((r for r in tables.rows("crops", table) if r["crop"] == crop), None)


def _months(plant: Any, crop: str, window: tuple[int, int]) -> Array:
    """Give the mean factor of each month: a crop's curve from planting on, else one all year."""
    from hillwright.watering.crops import coefficient_curve

    stages, kc = _row("stages", crop), _row("coefficients", crop)
    if not plant.annual or kc is None:
        return np.full(12, plant.factor)
    if stages is None:
        return np.full(12, max(plant.factor, kc["kc_mid"]))
    lengths = [stages[s] for s in ("ini", "dev", "mid", "late")]
    first, last = window
    span = (last - first) % 365
    days = np.arange(1, 366)
    best = np.zeros(365)
    # sown anywhere in its window: each day is watered for the thirstiest it may be
    for start in {first, (first + span // 2 - 1) % 365 + 1, (first + span - 1) % 365 + 1}:
        age = (days - start) % 365 + 1
        curve = coefficient_curve(age, lengths, kc["kc_ini"], kc["kc_mid"], kc["kc_end"])
        best = np.maximum(best, curve)
    ends = np.cumsum(tables.DAYS)
    return np.array([m.mean() for m in np.split(best, ends[:-1])])
