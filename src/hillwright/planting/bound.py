"""What no planting on any path can be worth more than.

The program of path and planting is parted at the question "does something grow in this cell?". A
price on each answer, the best that the broken program knows, leaves two programs that need not
agree; what both can make of the prices together bounds every planting that there is. The program
of the path is then tightened by cuts: what is planted or walked is reached from outside through
every set of cells that holds all from which it can be tended; what is walked, through every set
that holds the cell itself.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.planting.field import Field
from hillwright.planting.path import tended
from hillwright.planting.program import joint_program
from hillwright.planting.resolved import Resolved
from hillwright.planting.solver import INFINITY, Program, Rows, solve
from hillwright.planting.tree import (
    Tree,
    arcs_of,
    arcs_of_path,
    entering_arcs,
    tending_set,
    tree_rows,
)
from hillwright.planting.worth import Problem

ROUNDS = 10  # of cuts
_MOST = 600  # cuts in a round
_KEEP = 2  # rounds between two cleanings
_PART = 0.3  # of the way from the known path to the broken solution
_SCALE = 1 << 20  # flows are counted in whole numbers
_SLACK = 0.02  # a cut that is missed by less is left out
Tell = Callable[[float, float], bool]  # share done, bound so far -> stop?


def joint_bound(
    problem: Problem, walking: Mask, rounds: int = ROUNDS, tell: Tell | None = None
) -> float:
    """Bound the worth of any planting on any connected path.

    Parameters
    ----------
    problem : Problem
        What may grow where, and what it is worth.
    walking : (n,) array
        A connected path that is known.
    rounds : int
        How often cuts are looked for.
    tell : callable, optional
        Told the share done and the bound so far; says whether to stop.
    """
    program, at, _ = joint_program(problem)
    link = _link_row(program, at.tend)
    whole = solve(program, relaxed=True, seconds=3600.0, inner=True)
    if whole.duals is None:
        whole = solve(program, relaxed=True, seconds=3600.0)
    if whole.duals is None:
        return float("inf")
    # any prices give a bound that holds; these need not be exact
    price = whole.duals[link : link + problem.field.count]
    plants = _plants_bound(problem, price)
    path = PathBound(
        problem.field, price, problem.weights.walking, problem.must_walk, problem.must_open, walking
    )
    best = plants + path.bound
    for k in range(rounds):
        if tell is not None and tell(0.3 + 0.7 * k / rounds, best):
            break
        if not path.cut():
            break
        best = min(best, plants + path.bound)
    return best


def _link_row(program: Program, tend: int) -> int:
    """Find the first of the rows that say that something grows in a cell."""
    matrix, _, _ = program.rows.matrix()
    column = matrix.tocsc()[:, tend]
    rows = column.indices[np.argsort(column.indices)]
    values = column.data[np.argsort(column.indices)]
    return int(rows[np.flatnonzero(values < 0)[0]])


def _plants_bound(problem: Problem, price: Array) -> float:
    """Bound what plants are worth where each cell that they take costs its price."""
    from dataclasses import replace

    places = problem.places
    each = np.repeat(np.arange(len(places.plant)), places.size)
    paid = np.bincount(each, price[places.cells], len(places.plant))
    priced = replace(problem, places=replace(places, value=places.value - paid))
    program, at, _ = joint_program(priced)
    # no path: nothing is tended or walked, and anything may grow anywhere
    free = Program(
        program.cost.copy(), program.low, program.high.copy(), program.whole, program.rows
    )
    plain = _without_path(free, at.tend, at.columns)
    return solve(plain, relaxed=True, seconds=600.0).bound


def _without_path(program: Program, tend: int, columns: int) -> Program:
    """Keep the columns and rows of plants only."""
    matrix, low, high = program.rows.matrix()
    plants = matrix[:, :tend]
    others = np.asarray(abs(matrix[:, tend:]).sum(axis=1)).ravel() > 0
    kept = np.flatnonzero(~others)
    coo = plants[kept].tocoo()
    rows = Rows(tend)
    rows.add(coo.row, coo.col, coo.data, low[kept], high[kept], len(kept))
    # at most one plant in a cell, which the rows of the path said too
    link = np.flatnonzero(others & (np.asarray(abs(plants).sum(axis=1)).ravel() > 0))
    coo = plants[link].tocoo()
    rows.add(coo.row, coo.col, coo.data, -INFINITY, 1.0, len(link))
    return Program(
        program.cost[:tend], program.low[:tend], program.high[:tend], program.whole[:tend], rows
    )


class PathBound:
    """The path's own program with prices on what it tends, solved again after each batch of cuts.

    Cuts are looked for part of the way from a known path to the broken solution, which finds
    deeper ones; those that no longer bind are dropped now and then.
    """

    def __init__(
        self, field: Field, price: Array, cost: float, must: Mask, closed: Mask, walking: Mask
    ) -> None:
        n, arcs = field.count, arcs_of(field)
        self.arcs, self.n = arcs, n
        m = len(arcs.head)
        rows = Rows(2 * n + m)
        tree = Tree(field, arcs, n, 2 * n)
        tree_rows(rows, tree, 0, np.arange(n))
        rows.add(np.tile(np.arange(n), 2), np.arange(2 * n), 1.0, -INFINITY, 1.0, n)
        worth = np.concatenate([price, np.full(n, -cost), np.zeros(m)])
        low, high = np.zeros(2 * n + m), np.ones(2 * n + m)
        low[n + np.flatnonzero(must)] = 1.0
        high[n + np.flatnonzero(closed)] = 0.0
        high[np.flatnonzero(closed | must)] = 0.0
        # what has to be reached: planted or walked through its tending set, walked through itself
        self._needs = [(np.array([i, n + i]), tending_set(field, i)) for i in range(n)]
        self._needs += [(np.array([n + i]), _only(i, n)) for i in range(n)]
        self._model = Resolved(Program(worth, low, high, np.zeros(2 * n + m, bool), rows))
        self.bound = self._model.bound
        grown = tended(field, walking) & ~walking
        self._inside = np.concatenate([grown, walking, arcs_of_path(tree, walking)]).astype(float)
        self._round = 0

    def cut(self) -> int:
        """Add the cuts that the solution misses most; say how many."""
        for share in (_PART, 1.0):
            found = self._missed(share)
            if found:
                break
        else:
            return 0
        self._round += 1
        if self._round % _KEEP == 0:
            self._model.drop_loose()
        self._model.add(found)
        self.bound = min(self.bound, self._model.bound)
        return len(found)

    def _missed(self, share: float) -> list[tuple[Array, Array]]:
        x = self._model.x
        some = share * x + (1 - share) * self._inside
        found: list[tuple[float, Any, Any]] = []
        seen: set[tuple[int, bytes]] = set()
        for columns, inside in self._needs:
            missing = float(x[columns].sum())
            if missing < 0.05:
                continue
            wanted = float(some[columns].sum()) - _SLACK * share
            for around in _least_cuts(self.arcs, some[2 * self.n :], inside, wanted):
                entering = entering_arcs(self.arcs, around)
                missed = missing - float(x[2 * self.n + entering].sum())
                if (
                    missed > _SLACK / 2
                    and (key := (int(columns[0]), entering.tobytes())) not in seen
                ):
                    seen.add(key)
                    all_ = np.append(2 * self.n + entering, columns)
                    values = np.append(np.ones(len(entering)), -np.ones(len(columns)))
                    found.append((missed / np.sqrt(len(all_)), all_, values))
        found.sort(key=lambda cut: -cut[0])
        return [(columns, values) for _, columns, values in found[:_MOST]]


def _only(cell: int, n: int) -> Mask:
    found = np.zeros(n, bool)
    found[cell] = True
    return found


def _least_cuts(arcs: Any, flow: Array, inside: Mask, wanted: float) -> list[Mask]:
    """Give the sets around some cells through which less than ``wanted`` enters.

    The smallest and the largest set that the least flow allows.
    """
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import breadth_first_order, maximum_flow

    n = len(inside)
    source, sink = n, n + 1
    ends = np.flatnonzero(inside)
    used = np.flatnonzero(flow > 1e-7)
    room = np.round(flow[used] * _SCALE).astype(np.int32)
    tails = np.where(arcs.tail[used] < 0, source, arcs.tail[used])
    graph = csr_matrix(
        (
            np.append(room, np.full(len(ends), 4 * _SCALE, np.int32)),
            (np.append(tails, ends), np.append(arcs.head[used], np.full(len(ends), sink))),
        ),
        shape=(n + 2, n + 2),
    )
    run = maximum_flow(graph, source, sink)
    if run.flow_value / _SCALE >= wanted:
        return []
    left = graph - run.flow
    left.eliminate_zeros()
    near = np.ones(n + 2, bool)
    near[breadth_first_order(left.tocsr(), source, return_predecessors=False)] = False
    far = np.zeros(n + 2, bool)
    far[breadth_first_order(left.T.tocsr(), sink, return_predecessors=False)] = True
    return [near[:n], far[:n]]
