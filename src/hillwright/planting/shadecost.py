"""How much light a wide plant takes from the cells round it: enough to set it well at once.

Rays of the sun through the growing months against the crown, as an ellipsoid, for the cells near
it; each plant by itself, as if it were the only one. `shadeplace` looks at all of them together.
"""

from __future__ import annotations

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.planting import sunplace
from hillwright.planting.frame import Ground
from hillwright.planting.sky import CLEAR
from hillwright.planting.worth import Problem

EVERY, STEP = 30, 7200.0  # rays: a day a month, every second hour
FAR = 0.5  # of a plant's height: so far from under its crown its shade is looked at
_BLOCK = 400_000  # cells times rays worked at once


class ShadeCost:
    """The light that placements of plants with a canopy take, worked out when it is asked for.

    Parameters
    ----------
    ground : Ground
        Sun and sky.
    problem : Problem
        What may grow where.
    """

    def __init__(self, ground: Ground, problem: Problem) -> None:
        self._problem = problem
        sky, sun = ground.sky, sunplace.paths(ground.latitude, EVERY, STEP)
        some = np.isin(sun.month, [m - 1 for m in ground.growing])
        high, bearing = sun.elevation[some], sun.azimuth[some]

        def rays(turn: Array) -> Array:
            flat = np.cos(high)
            return np.stack([flat * np.sin(turn), flat * np.cos(turn), np.sin(high)])

        # rays from behind the hill or a cell's own plane bring nothing that a crown could take
        sectors = sky.horizon.shape[1]
        near = np.round(bearing * (sectors / (2 * np.pi))).astype(int) % sectors
        share = ((sky.normal @ rays(bearing) > 0) & (high > sky.horizon[:, near])).mean(axis=0)
        self._share = share / max(float(share.sum()), 1e-9)
        self._ray = rays(bearing - ground.north)  # in the survey's own x and y

    def of(self, some: Index, free: Mask) -> Array:
        """Give what the shade of placements costs the cells round them.

        Parameters
        ----------
        some : (k,) array
            Placements, all of one plant.
        free : (n,) array
            Cells whose light counts.

        Returns
        -------
        (k,) array
            In planted cells: a cell without any light left counts as one.
        """
        places, centre = self._problem.places, self._problem.field.centre
        if not len(some):
            return np.empty(0)
        plant = self._problem.some.plants[places.plant[some[0]]]
        low = CLEAR * plant.tall
        half = np.array([plant.width / 2, plant.width / 2, (plant.tall - low) / 2])
        middle = places.centre[some] + np.array([0.0, 0.0, (plant.tall + low) / 2])
        ray = self._ray / half[:, None]
        ray = ray / np.linalg.norm(ray, axis=0)
        cells = np.flatnonzero(free)
        one, other = shapely.STRtree(shapely.points(centre[cells, :2])).query(
            shapely.points(middle[:, :2]),
            predicate="dwithin",
            distance=plant.width / 2 + FAR * plant.tall,
        )
        lost = np.zeros(len(some))
        size = max(1, _BLOCK // max(len(self._share), 1))
        for start in range(0, len(one), size):
            k = one[start : start + size]
            to = (middle[k] - centre[cells[other[start : start + size]]]) / half
            along, far = to @ ray, (to**2).sum(axis=1)[:, None]
            hidden = (far - along**2 < 1) & ((along > 0) | (far < 1))
            lost += np.bincount(k, hidden @ self._share, len(some))
        return np.round(lost * self._problem.weights.planted, 9)
