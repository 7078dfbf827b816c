"""The hydrozone table of the budget: like thirst on one valve, edible areas apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.watering.budget import Worksheet, limit, worksheet
from hillwright.watering.model import Climate, Planted
from hillwright.watering.tables import DAYS


@dataclass(frozen=True, slots=True, eq=False)
class HydrozoneTable:
    """Rows of the table, and what the worksheet makes of them."""

    names: tuple[str, ...]
    factor: Array  # PF of the thirstiest plant
    area: Array  # [m2]
    special: Mask
    result: Worksheet


def hydrozones(
    planted: Planted, area: Array, climate: Climate, efficiency: float, landscape: str
) -> HydrozoneTable:
    """Put the hydrozone table together: a row for each zone, a second one for its edible cells.

    Parameters
    ----------
    planted : Planted
        What grows where.
    area : (n,) array
        Of each cell on the map. [m2]
    climate : Climate
        For the year's reference ET.
    efficiency : float
        Of the irrigation. [-]
    landscape : str
        "residential" or "non-residential".
    """
    names, factors, areas, special = [], [], [], []
    # a plant's factor in its own season: what the ordinance classes it by
    thirst = planted.factor.max(axis=1)
    edible = planted.edible[np.maximum(planted.kind, 0)]
    for zone, name in enumerate(planted.zones):
        for eat in (False, True):
            here = (planted.zone == zone) & (planted.kind >= 0) & (edible == eat)
            if not here.any():
                continue
            names.append(f"{name}, edible" if eat else name)
            factors.append(float(thirst[planted.kind[here]].max()))
            areas.append(float(area[here].sum()))
            special.append(eat)
    factor, size = np.array(factors), np.array(areas)
    eaten = np.array(special, dtype=bool)
    year = float((climate.reference * DAYS).sum())
    found = worksheet(year, factor, size, efficiency, eaten, limit(landscape))
    return HydrozoneTable(tuple(names), factor, size, eaten, found)
