"""A planting that is being chosen: what is free, what stands where, what one more would bring."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.path import tended
from hillwright.planting.thirst import BARE, Thirst
from hillwright.planting.worth import Problem


class Sums:
    """What one more of each plant would change in the wishes, as they fill up."""

    def __init__(self, problem: Problem) -> None:
        terms, p = problem.terms, len(problem.some.plants)
        self._amount = np.array([t.amount for t in terms]).reshape(len(terms), p)
        self._limit = np.array([a for a, _ in problem.limits]).reshape(len(problem.limits), p)
        self._most = np.array([m for _, m in problem.limits])[:, None] + 1e-9
        under, over = np.array([t.under for t in terms]), np.array([t.over for t in terms])
        # the price of being off a target, in two parts: |off|, and what differs by its sign
        self._even, tilt = (under + over) / 2, (over - under) / 2
        self._always = tilt @ self._amount
        self._off = -np.array([t.target for t in terms])
        self._used = np.zeros(len(self._most))
        self.gain = self._gain()  # (p,) of each plant; -inf where a limit bars it

    def take(self, plant: int, sign: int = 1) -> None:
        """Count one more of a plant in, or out again."""
        self._off += sign * self._amount[:, plant]
        self._used += sign * self._limit[:, plant]
        self.gain = self._gain()

    def state(self) -> tuple[Array, Array, Array]:
        """Give what :meth:`back` goes back to."""
        return self._off.copy(), self._used.copy(), self.gain

    def back(self, to: tuple[Array, Array, Array]) -> None:
        """Forget what was counted in since."""
        self._off, self._used, self.gain = to[0].copy(), to[1].copy(), to[2]

    def _gain(self) -> Array:
        off = self._off[:, None]
        more = self._even @ (np.abs(off + self._amount) - np.abs(off))
        found = np.round(-more - self._always, 9)  # what is equal by hand is equal here
        if len(self._most):
            found[(self._used[:, None] + self._limit > self._most).any(axis=0)] = -np.inf
        return np.asarray(found)


class Bed:
    """What is free, and what stands where, while plants are chosen."""

    def __init__(self, problem: Problem, walking: Mask) -> None:
        self.problem = problem
        self.free = tended(problem.field, walking) & ~walking & ~problem.must_open
        self.sums = Sums(problem)
        self.thirst = Thirst(problem.field, problem.zones)
        self.chosen: set[int] = set()
        self.wide: list[int] = []

    def put(self, k: int) -> None:
        """Plant a placement."""
        places, some = self.problem.places, self.problem.some
        cells, plant = places.of(k), int(places.plant[k])
        self.chosen.add(k)
        self.sums.take(plant)
        self.free[cells] = False
        self.thirst.put(cells, int(some.water[plant]))
        if some.canopy[plant]:
            self.wide.append(k)

    def take_out(self, k: int) -> None:
        """Take a placement without a canopy out again."""
        cells, plant = self.problem.places.of(k), int(self.problem.places.plant[k])
        self.chosen.remove(k)
        self.sums.take(plant, -1)
        self.free[cells] = True
        self.thirst.put(cells, BARE)

    def fits(self, k: int) -> bool:
        """Tell whether a placement has room, and its rows the thirst for it."""
        places = self.problem.places
        cells = places.of(k)
        return (
            bool(self.free[cells].all())
            and bool(self.apart(np.array([k]), self.wide).all())
            and self.thirst.fits(cells, int(self.problem.some.water[places.plant[k]]))
        )

    def apart(self, some: Index, others: list[int]) -> Mask:
        """Tell which placements keep their spread from others, where both have a canopy."""
        places, width = self.problem.places, self.problem.some.width
        found = ~self.problem.some.canopy[places.plant[some]]
        if found.all() or not others:
            return np.ones(len(some), bool)
        here, there = places.centre[some, None, :2], places.centre[None, others, :2]
        gap = np.linalg.norm(here - there, axis=2)
        need = (width[places.plant[some]][:, None] + width[places.plant[others]]) / 2
        return np.asarray(found | (gap >= need - 1e-6).all(axis=1))
