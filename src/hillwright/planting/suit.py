"""What can grow where: hard limits of sun, soil, frost and room, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.field import Field
from hillwright.planting.palette import HOUR, Candidates, Plant, sun_range


@dataclass(frozen=True, slots=True, eq=False)
class Placements:
    """All ways to put one plant of p somewhere: q placements."""

    plant: Index  # (q,)
    at: Index  # (q + 1,) where the cells of each begin
    cells: Index  # the upper left one first
    centre: Array  # (q, 3) [m]
    value: Array  # (q,) what each is worth by itself

    def of(self, k: int) -> Index:
        """Give the cells of a placement."""
        return self.cells[self.at[k] : self.at[k + 1]]

    def begin(self, plants: int, cells: int) -> Index:
        """(plants, cells) number each placement by its plant and first cell; -1 = none."""
        found = np.full((plants, cells), -1)
        found[self.plant, self.cells[self.at[:-1]]] = np.arange(len(self.plant))
        return found

    def table(self, some: Index) -> Index:
        """(k, c) cells of some placements, side by side; -1 = none."""
        each = self.size[some]
        found = np.full((len(some), int(each.max(initial=1))), -1)
        for c in range(found.shape[1]):
            longer = each > c
            found[longer, c] = self.cells[self.at[some[longer]] + c]
        return found

    @property
    def size(self) -> Index:
        """(q,) how many cells each takes."""
        return np.diff(self.at)


def zone_number(zone: str) -> int | None:
    """Give the number of a hardiness zone, as 9 for "9b"; None where none is told."""
    return int(zone.rstrip("ab")) if zone else None


def barred(plant: Plant, zone: str, soil: float, season: Array, shady: bool = False) -> str:
    """Say why a plant can grow nowhere here, or "".

    Where it may be shaded yet (``shady``), too much sun bars nothing.
    """
    number = zone_number(zone)
    if number is not None and plant.zones and not plant.annual:
        low, high = plant.zones
        if not low <= number <= high:
            return f"hardy in zones {low} to {high}, and this is zone {zone}"
    if plant.depth > soil + 1e-9:
        want = np.ceil(plant.depth * 100) / 100  # not shown as equal where a little is missing
        return f"its roots want {want:.2f} m of soil, and there is {soil:.2f} m"
    least, most = sun_range(plant.sun)
    if len(season) and season.max() < least:
        return (
            f"wants {least / HOUR:.0f} h of sun a day, and the sunniest cell has "
            f"{season.max() / HOUR:.1f} h"
        )
    if len(season) and season.min() > most and not shady:
        return (
            f"stands no more than {most / HOUR:.0f} h of sun a day, and the shadiest cell has "
            f"{season.min() / HOUR:.1f} h"
        )
    return ""


def enough_sun(plant: Plant, season: Array, shady: bool = False) -> Mask:
    """(n,) tell the cells whose sun a plant stands, or would in shade yet to come (``shady``)."""
    least, most = sun_range(plant.sun)
    return np.asarray((season >= least - 1.0) & (shady | (season <= most + 1.0)))


def blocks(field: Field, across: int, down: int) -> tuple[Index, Index]:
    """Give every block of cells of a size: its cells (k, across * down), upper left one first."""
    left = np.arange(field.count)
    rows = []
    for _ in range(down):
        here = left
        for _ in range(across):
            rows.append(here)
            here = np.where(here >= 0, field.left[here], -1)
        left = np.where(left >= 0, field.below[left], -1)
    found = np.stack(rows, axis=1)
    whole = np.asarray((found >= 0).all(axis=1))
    if across * down > 1:
        kept = np.flatnonzero(whole)
        # where a bond is shifted, the two rows of a block may not be the same cells twice
        each = np.sort(found[kept], axis=1)
        whole[kept] = (each[:, 1:] != each[:, :-1]).all(axis=1)
    return np.flatnonzero(whole), found[whole]


def placements(
    field: Field, some: Candidates, season: Array, shaded: Array, soil: Array, zone: str,
    closed: Mask, shady: bool = False,
) -> Placements:  # fmt: skip
    """List every way to put each plant somewhere within its hard limits; worth is not set yet.

    What stays low has the sun that planned trees leave it (``shaded``); a canopy rises above.
    ``soil`` is that of each cell [m]. Where ``shady``, what stays low may stand in any cell that
    is not too dark: trees that are not planned yet may shade it.
    """
    plants, at, cells, centres = [], [np.zeros(1, np.intp)], [], []
    total = 0
    for p, plant in enumerate(some.plants):
        wide = bool(some.canopy[p])
        sun, grown = (season, False) if wide else (shaded, shady)
        if barred(plant, zone, float(soil.max(initial=0.0)), sun, grown):
            continue
        _, found = blocks(field, int(some.across[p]), int(some.down[p]))
        fit = enough_sun(plant, sun, grown) & (plant.depth <= soil + 1e-9) & ~closed
        found = found[fit[found].all(axis=1)]
        size = found.shape[1]
        plants.append(np.full(len(found), p))
        at.append(total + size * np.arange(1, len(found) + 1))
        total += size * len(found)
        cells.append(found.ravel())
        centres.append(field.centre[found].mean(axis=1))
    none = np.empty(0, np.intp)
    return Placements(
        np.concatenate([none, *plants]).astype(np.intp),
        np.concatenate(at).astype(np.intp),
        np.concatenate([none, *cells]).astype(np.intp),
        np.concatenate([np.empty((0, 3)), *centres]),
        np.zeros(sum(map(len, plants))),
    )
