"""Sizes of a valve's header and laterals: least cost that keeps pressure and velocity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.irrigation.barbs import barb_length
from hillwright.irrigation.build import ROUGHNESS, Plan, line_tubes
from hillwright.irrigation.losses import DarcyWeisbach
from hillwright.irrigation.parts import Tubing
from hillwright.irrigation.sizing import Choice, Single, Split


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """The header's links and the laterals as one tree of choices."""

    choice: Choice
    links: tuple[Index, ...]  # nodes of the plan that each link of the choice stands for
    tube: tuple[Index, ...]  # numbers of the tubing that each of its options is
    single: Single
    split: Split

    @property
    def least(self) -> float:
        """Total head that the widest sizes need at the source [m]."""
        n = len(self.choice.parent)
        need = self.choice.needed.copy()
        for i in range(n - 1, -1, -1):
            need[i] += float(self.choice.loss[i].min())
            if (p := int(self.choice.parent[i])) >= 0:
                need[p] = max(need[p], need[i])
        return float(max(need[i] for i in range(n) if self.choice.parent[i] < 0))


def sizes_open(
    plan: Plan, tubes: tuple[Tubing, ...], floor: Array, fastest: float, viscosity: float
) -> Problem:
    """Set the sizing of a plan up at the nominal flow of its emitters.

    Parameters
    ----------
    plan : Plan
        The pipes.
    tubes : tuple of Tubing
        That are offered.
    floor : (e,) array
        Pressure head that each emitter must have [m].
    fastest : float
        Velocity limit [m/s].
    viscosity : float
        Of the water [m2/s].

    Raises
    ------
    OutOfRange
        A link that runs too fast in every tubing offered.
    """
    n = len(plan.parent)
    flow = np.zeros(n)
    np.add.at(flow, plan.outlets.node, plan.outlets.nominal)
    for i in range(n - 1, 0, -1):
        flow[plan.parent[i]] += flow[i]
    part = np.array(plan.part)
    small = np.flatnonzero(part == "small")
    offered = line_tubes(tubes)
    bore_small = next(t.bore for t in tubes if t.small)
    lost = np.zeros((len(offered), n))
    for k, t in enumerate(offered):
        bore = np.where(part == "small", bore_small, tubes[t].bore)
        long = plan.length + plan.barbs * barb_length(bore)
        law = DarcyWeisbach.of(long, bore, np.full(n, ROUGHNESS), plan.minor, viscosity)
        lost[k] = law(flow)[0]
    header = np.flatnonzero(part == "header")
    number = {int(node): i for i, node in enumerate(header)}
    parent = [number.get(int(plan.parent[h]), -1) for h in header]
    loss = [lost[:, h] for h in header]
    cost = [np.array([tubes[t].price for t in offered]) * plan.length[h] for h in header]
    fits = [_fits(flow[h], tubes, offered, fastest) for h in header]
    links: list[Index] = [np.array([h]) for h in header]
    # heads are counted from below everything, so that each need is positive
    needed = [plan.at[h, 2] for h in header]
    lateral = np.flatnonzero(part == "lateral")
    sunk = np.zeros((len(offered), n))  # loss from the header to each node of a lateral
    root = np.arange(n)
    for i in range(1, n):
        if part[i] in ("lateral", "small"):
            p = int(plan.parent[i])
            sunk[:, i] = sunk[:, p] + lost[:, i]
            root[i] = root[p]
    at_emitter = np.full(n, -np.inf)
    np.maximum.at(at_emitter, plan.outlets.node, floor + plan.at[plan.outlets.node, 2])
    for h in header:
        mine = lateral[root[lateral] == h]
        if not mine.size:
            continue
        ends = small[root[small] == h]
        need = (at_emitter[ends] + sunk[:, ends]).max(axis=1)
        base = float(need.min())
        first = mine[plan.parent[mine] == h]
        parent.append(number[int(h)])
        needed.append(base)
        loss.append(need - base)
        cost.append(np.array([tubes[t].price for t in offered]) * plan.length[mine].sum())
        fits.append(_fits(float(flow[first].max()), tubes, offered, fastest))
        links.append(mine)
    keys = np.array(offered)
    choice = Choice(
        np.array(parent, np.intp),
        tuple(np.asarray(v[f]) for v, f in zip(loss, fits, strict=True)),
        tuple(np.asarray(v[f]) for v, f in zip(cost, fits, strict=True)),
        np.array(needed, float),
    )
    numbers = tuple(keys[f] for f in fits)
    return Problem(choice, tuple(links), numbers, Single(choice), Split(choice))


def _fits(
    flow: float, tubes: tuple[Tubing, ...], offered: tuple[int, ...], fastest: float
) -> Index:
    bores = np.array([tubes[t].bore for t in offered])
    found = np.flatnonzero(flow <= fastest * np.pi / 4 * bores**2 * (1 + 1e-12))
    if not found.size:
        need = float(np.sqrt(4 * flow / (np.pi * fastest)))
        raise OutOfRange(
            "irrigation.tubing",
            f"{6e4 * flow:.1f} L/min run faster than {fastest:.2f} m/s in every tubing offered",
            f"offer a bore of {1e3 * need:.0f} mm, or part the plants over more valves",
        )
    return found


def sizes_chosen(
    problem: Problem, plan: Plan, tubes: tuple[Tubing, ...], head: float
) -> tuple[Index, float, float]:
    """Choose sizes for a total head at the source: tubing of every link, cost, and its bound."""
    found, floor = problem.single.at(head), problem.split.at(head).cost
    size = np.array([next(k for k, t in enumerate(tubes) if t.small)] * len(plan.parent), np.intp)
    for share, nodes, keys in zip(found.share, problem.links, problem.tube, strict=True):
        size[nodes] = keys[int(np.argmax(share))]
    return size, float(found.cost), float(floor)
