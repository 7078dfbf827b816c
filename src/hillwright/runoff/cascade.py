"""The march of a storm through all cells at once, each stage one step of time behind the last.

What a cell gets in a step is what the cells above it spill in the same step, so they come first.
Instead of going down the hill stage by stage in every step, all stages go at once and each works
on the step before the one that the stage above works on: one pass of array operations moves the
whole hill on, and every drop is counted once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hillwright.arrays import Array, Index
from hillwright.runoff.pipe import Pipe
from hillwright.runoff.spill import Spill

_TRACE = 1e-9  # thinner spills are rounding [m]


@dataclass(frozen=True, slots=True, eq=False)
class Soils:
    """Water that n cells can take, as depths over their plan area."""

    hold: Array  # (n,) stands on the soil before the cell spills [m]
    room: Array  # (n,) fits into the fill; infinite where the soil is deep [m]
    kept: Array  # (n,) of that, what does not drain out by its weight [m]
    conductivity: Array  # (n,) of the wetted fill [m/s]
    suction: Array  # (n,) psi dtheta of the fill [m]
    ground_conductivity: Array  # (n,) [m/s]
    ground_suction: Array  # (n,) psi dtheta of the ground [m]
    thick: Array  # (n,) depth of the fill, upright [m]
    ground_room: Array  # (n,) room for water in the ground [-]

    def at(self, cells: Index | slice) -> Soils:
        """Give those of some of the cells, or the same in another order."""
        return Soils(*(getattr(self, name)[cells] for name in self.__slots__))

    def beside(self, other: Soils) -> Soils:
        """Give these cells and then those of another hill."""
        return Soils(
            *(np.concatenate((getattr(self, k), getattr(other, k))) for k in self.__slots__)
        )


@dataclass(frozen=True, slots=True, eq=False)
class March:
    """What became of the water. n cells, w ways out, t steps, f frames of the first m cells."""

    leaves: Array  # (w, t) leaves by each way out in each step [m3]
    standing: Array  # (n,) on the soil at the end [m3]
    fill: Array  # (n,) in the fill at the end [m3]
    ground: Array  # (n,) gone down into the ground [m3]
    spilled: Array  # (n,) over the whole storm [m3]
    first: Array  # (n,) step in which each cell first spills, from 0; infinite if never
    frames: NDArray[np.float32]  # (f, m) standing on the soil at the end of some steps [m3]
    fill_frames: NDArray[np.float32]  # (f, m) in the fill [m3]


def march(
    spill: Spill,
    area: Array,
    soils: Soils,
    rain: Array,
    entry: Array,
    run_on: Array,
    dt: float,
    shown: Index,
    watched: int,
) -> March:
    """March a storm down the hill.

    Parameters
    ----------
    spill : Spill
        Where each of n cells spills to.
    area : (n,) array
        Plan area [m2].
    soils : Soils
        What they can take.
    rain : (t,) array
        Rain in each step [m].
    entry : (n,) array
        Share of the water from above that enters each cell [-].
    run_on : (t,) array
        Water from above in each step [m3].
    dt : float
        Length of a step [s].
    shown : (f,) array of int
        Steps at whose end a frame is kept, rising.
    watched : int
        Of how many cells, from the first on.
    """
    sort = np.argsort(spill.order, kind="stable")
    stage = spill.order[sort]
    n, steps = len(sort), len(rain)
    starts = np.searchsorted(stage, np.arange(int(stage[-1]) + 2))
    stages = len(starts) - 1
    size, s = area[sort], soils.at(sort)
    pipe = Pipe.of(spill, sort, stage, size)
    # (cell in the new order, way out) of every share that leaves, cell by cell
    exit_cell, exit_way = np.nonzero(spill.exits[:, sort].T)
    exit_weight = spill.exits[:, sort].T[exit_cell, exit_way] * size[exit_cell]
    exit_ends = np.searchsorted(exit_cell, starts)
    enters = entry[sort] / size
    fed = bool(np.any(enters > 0) and np.any(run_on > 0))
    watch = np.flatnonzero(sort < watched)
    watch_ends = np.searchsorted(watch, starts)

    state = State(s, dt)
    spilled, first = np.zeros(n), np.full(n, np.inf)
    leaves = np.zeros((len(spill.exits), steps))
    frames = np.empty((2, len(shown), len(watch)), np.float32)
    wet_until, last = -1, (-1, -1)

    for tick in range(steps + stages - 1):
        top, bottom = max(0, tick - steps + 1), min(stages - 1, tick)
        if last != (top, bottom):
            last = top, bottom
            a, b = int(starts[top]), int(starts[bottom + 1])
            now = state.part(a, b)
            stage_now, enters_now = stage[a:b], enters[a:b]
            spilled_now, first_now = spilled[a:b], first[a:b]
            e = slice(int(exit_ends[top]), int(exit_ends[bottom + 1]))
            leaving, weight = exit_cell[e] - a, exit_weight[e]
            when = exit_way[e] * steps - stage[exit_cell[e]]
        time = tick - stage_now
        water = rain.take(time)
        if fed:
            water += run_on.take(time) * enters_now
        if tick <= wet_until:
            pipe.add_to(water, a, b)
        over = now.step(water)
        if over.any():
            wet_until = tick + pipe.depth
            spilled_now += over
            np.minimum(first_now, np.where(over > _TRACE, time, np.inf), out=first_now)
            np.add.at(leaves.reshape(-1), when + tick, over[leaving] * weight)
        pipe.push(over, a, b)
        for f in range(*np.searchsorted(shown, (tick - bottom, tick - top + 1))):
            j = tick - int(shown[f])
            kept = slice(int(watch_ends[j]), int(watch_ends[j + 1]))
            cells = watch[kept]
            frames[0, f, kept] = state.pond[cells] * size[cells]
            frames[1, f, kept] = state.soak[cells] * size[cells]

    back = np.empty(n, np.intp)
    back[sort] = np.arange(n)
    pond, soak, deep, spilled = (
        (v * size)[back] for v in (state.pond, state.soak, state.deep, spilled)
    )
    pick = np.argsort(sort[watch], kind="stable")
    return March(
        leaves, pond, soak, deep, spilled, first[back], frames[0][:, pick], frames[1][:, pick]
    )


class State:
    """Water on, in and under the soil of cells, as depths over their plan area [m]."""

    def __init__(self, soils: Soils, dt: float) -> None:
        n = len(soils.hold)
        self.soils = soils
        self.k_dt, self.g_dt = soils.conductivity * dt, soils.ground_conductivity * dt
        self.full = soils.room * (1 - 1e-12)
        self.pond, self.soak, self.deep = np.zeros(n), np.zeros(n), np.zeros(n)
        self.through = soils.room <= 0  # the front has come through to the ground
        self.layered = bool(np.isfinite(soils.room).any())
        # fill that passes water on faster than the ground: both soils pull as one
        self.pulls = soils.conductivity >= soils.ground_conductivity
        self.pull = np.where(soils.ground_room > 0, 1 / np.maximum(soils.ground_room, 1e-12), 0.0)

    def part(self, first: int, last: int) -> State:
        """Give the same state of some of the cells: what changes there changes here."""
        part = object.__new__(State)
        part.soils = self.soils.at(slice(first, last))
        part.layered = self.layered
        for name in ("k_dt", "g_dt", "full", "pond", "soak", "deep", "through", "pulls", "pull"):
            setattr(part, name, getattr(self, name)[first:last])
        return part

    def step(self, water: Array) -> Array:
        """Go on by one step with the water that comes, and give what spills (n,) [m]."""
        s, soak = self.soils, self.soak
        if drains := self.layered and bool(self.through.any()):
            # the fill drains into the ground once the front is through
            out = half_step(self.deep, self.g_dt, s.ground_suction)
            both = self._both()
            np.minimum(out, both, out=out, where=self.pulls)
            np.minimum(out, np.maximum(soak - s.kept, 0.0), out=out)
            out *= self.through
            soak -= out
            self.deep += out
        # and drinks at the rate of its front, or as fast as wet soil passes water on
        most = half_step(soak, self.k_dt, s.suction)
        if drains:
            np.maximum(both, self.k_dt, out=both, where=self.pulls)
            np.copyto(both, self.k_dt, where=~self.pulls)
            np.copyto(most, both, where=self.through)
        water += self.pond
        np.minimum(most, water, out=most)
        if self.layered:
            np.minimum(most, s.room - soak, out=most)
        soak += most
        if self.layered:
            self.through |= soak >= self.full
        water -= most
        over = water - s.hold
        np.maximum(over, 0.0, out=over)
        np.subtract(water, over, out=self.pond)
        return over

    def _both(self) -> Array:
        """Give what wet fill and the wetted ground below it pass on in a step (n,) [m].

        Green-Ampt in two layers: (L + Z + psi) / (L / K + Z / Kg), Z the depth of wetted ground.
        """
        s = self.soils
        wet = self.deep * self.pull
        over = s.thick * self.g_dt
        over += wet * self.k_dt
        head = s.ground_suction * self.pull
        head += wet
        head += s.thick
        head *= self.k_dt
        head *= self.g_dt
        return np.asarray(np.divide(head, over, out=np.full_like(head, np.inf), where=over > 0))


def half_step(taken: Array, k_dt: Array, s: Array) -> Array:
    """Do what :func:`greenampt.ponded_step` does, with fewer passes over the arrays."""
    a = taken - 0.5 * k_dt
    root = taken + s
    root *= k_dt
    root *= 2.0
    root += a * a
    np.sqrt(root, out=root)
    root -= a
    return root
