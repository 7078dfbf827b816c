"""Where wide plants shade least of what is planted: each is moved to its best place in turn.

The solver chooses them in the sun that is there. Their shade on the rest is then looked at with
the sun's rays of the growing months and the crowns as ellipsoids, all of them together; a place
is good where the shade falls on the path, on what bears it, or off the planting.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting import sunplace
from hillwright.planting.frame import Ground
from hillwright.planting.palette import Plant, sun_range
from hillwright.planting.path import tended
from hillwright.planting.sky import CLEAR
from hillwright.planting.thirst import Thirst
from hillwright.planting.worth import Problem

EVERY, STEP = 30, 3600.0  # rays: a day a month, each hour
SWEEPS = 4
ALONE = 0.65  # what a cell is worth that few plants bear, of one that all do


class _Light:
    """Rays of the growing months, and what they bring to the n cells."""

    def __init__(self, ground: Ground) -> None:
        sun = sunplace.paths(ground.latitude, EVERY, STEP)
        some = np.isin(sun.month, [m - 1 for m in ground.growing]) & (sun.elevation > 0)
        high, turn = sun.elevation[some], sun.azimuth[some]
        flat = np.cos(high)
        self.ray = np.stack([flat * np.sin(turn), flat * np.cos(turn), np.sin(high)])  # true north
        sectors = ground.sky.horizon.shape[1]
        near = np.round(turn * (sectors / (2 * np.pi))).astype(int) % sectors
        lit = (ground.sky.normal @ self.ray > 0) & (high > ground.sky.horizon[:, near])
        bare = np.maximum(lit.sum(axis=1), 1)
        # (n, s) hours that each ray stands for in a mean day [s]
        self.worth = lit * (ground.growing_sun(ground.sun) / bare)[:, None]
        c, s = np.cos(ground.north), np.sin(ground.north)
        self.ray = np.stack(  # back to the survey's own x and y
            [self.ray[0] * c - self.ray[1] * s, self.ray[0] * s + self.ray[1] * c, self.ray[2]]
        )

    def hidden(self, eyes: Array, plant: Plant, foot: Array) -> Mask:
        """(n, s) tell the rays that a crown stands in: an ellipsoid met on the way to the sun."""
        low = CLEAR * plant.tall
        half = np.array([plant.width / 2, plant.width / 2, (plant.tall - low) / 2])
        middle = foot + np.array([0.0, 0.0, (plant.tall + low) / 2])
        to = (middle - eyes) / half
        ray = self.ray / half[:, None]
        ray = ray / np.linalg.norm(ray, axis=0)
        along = to @ ray
        apart = (to**2).sum(axis=1)[:, None] - along**2
        return np.asarray((apart < 1) & ((along > 0) | ((to**2).sum(axis=1) < 1)[:, None]))


def place_wide(ground: Ground, problem: Problem, walking: Mask, wide: Index) -> Index:
    """Move each wide plant to where the shade of all of them costs least.

    Parameters
    ----------
    ground : Ground
        Sun and sky.
    problem : Problem
        What may grow where.
    walking : (n,) array
        The path, which stays.
    wide : (k,) array
        Placements of plants with a canopy.

    Returns
    -------
    (k,) array
        Placements of the same plants; those that are pinned have not moved.
    """
    places, some, field = problem.places, problem.some, problem.field
    free = tended(field, walking) & ~walking & ~problem.must_open
    cells = np.flatnonzero(free)
    light = _Light(ground)
    worth = light.worth[cells]
    eyes = field.centre[cells]
    whole = np.logical_and.reduceat(free[places.cells], places.at[:-1])
    options = {
        p: np.flatnonzero(whole & (places.plant == p)) for p in np.unique(places.plant[wide])
    }
    dark = {
        int(k): np.packbits(
            light.hidden(eyes, some.plants[places.plant[k]], places.centre[k]), axis=1
        )
        for mine in options.values()
        for k in mine
    }
    value = _values(problem)
    now = [int(k) for k in wide]
    pinned = set(problem.pinned.tolist())
    rays = worth.shape[1]
    for _ in range(SWEEPS):
        before = list(now)
        for g, mine in enumerate(now):
            if mine in pinned or mine not in dark:
                continue
            others = [k for j, k in enumerate(now) if j != g]
            shade = np.zeros((len(cells), (rays + 7) // 8), np.uint8)
            for k in others:
                shade |= dark[k]
            taken = np.zeros(field.count, bool)
            taken[np.concatenate([np.empty(0, np.intp), *(places.of(k) for k in others)])] = True
            thirst = Thirst(field, problem.zones)
            for k in others:
                thirst.put(places.of(k), int(some.water[places.plant[k]]))
            best, most = mine, -np.inf
            for k in _possible(problem, options[places.plant[mine]], others, taken).tolist():
                seen = np.unpackbits(shade | dark[k], axis=1, count=rays).astype(bool)
                left = (worth * ~seen).sum(axis=1)
                still = ~taken[cells] & ~np.isin(cells, places.of(k))
                found = float(value(left)[still].sum()) + float(places.value[k])
                water = int(some.water[places.plant[k]])
                if found > most + 1e-9 and thirst.fits(places.of(k), water):
                    best, most = k, found
            now[g] = best
        if now == before:
            break
    return np.array(now, np.intp)


def _values(problem: Problem) -> Callable[[Array], Array]:
    """Give what a cell can be worth by the light that is left on it."""
    some = problem.some
    low = [p for p in range(len(some.plants)) if not some.canopy[p]]
    ranges = np.array([sun_range(some.plants[p].sun) for p in low]).reshape(-1, 2)

    def value(light: Array) -> Array:
        bear = (light[:, None] >= ranges[:, 0] - 1) & (light[:, None] <= ranges[:, 1] + 1)
        share = bear.mean(axis=1) if len(low) else np.zeros(len(light))
        worth = problem.weights.planted * (ALONE + (1 - ALONE) * share)
        return np.where(share > 0, worth, 0.0)

    return value


def _possible(problem: Problem, mine: Index, others: list[int], taken: Mask) -> Index:
    """Give the placements that neither overlap others nor come closer than both spreads allow."""
    places, width = problem.places, problem.some.width[problem.places.plant]
    clear = ~np.array([taken[places.of(int(k))].any() for k in mine], bool)
    if others:
        gap = np.linalg.norm(places.centre[mine][:, None, :2] - places.centre[others][None, :, :2],
                             axis=2)  # fmt: skip
        clear &= (gap >= (width[mine][:, None] + width[others][None]) / 2 - 1e-6).all(axis=1)
    return np.asarray(mine[clear])
