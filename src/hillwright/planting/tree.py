"""The path as a program: arcs of a tree that grows from where one comes in.

Every walking cell is entered by one arc. A cell that is used, planted or walked, is reached by an
arc that enters the set of cells from which it can be tended, and so does every larger set; those
are added as a broken solution asks for them. A walking cell is among the cells from which it can
be tended itself: that it counts here as a planted one does is most of what makes the bound strong.
All of this holds for any connected path, so a bound from it holds for all of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.planting.field import Field
from hillwright.planting.solver import INFINITY, Rows


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """Steps with their direction; an arc from -1 comes in from outside."""

    tail: Index
    head: Index


def arcs_of(field: Field) -> Arcs:
    """List every step both ways, and those that come in from outside."""
    a, b = field.steps[:, 0], field.steps[:, 1]
    outside = np.full(len(field.roots), -1)
    return Arcs(
        np.concatenate([a, b, outside]).astype(np.intp),
        np.concatenate([b, a, field.roots]).astype(np.intp),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """Where the columns of a path stand in a program: walking cells, then arcs."""

    field: Field
    arcs: Arcs
    walk: int  # column of the first cell
    arc: int  # column of the first arc


def tree_rows(rows: Rows, tree: Tree, tended: int, tended_of: Index) -> None:
    """Add the rows of a path.

    Parameters
    ----------
    rows : Rows
        Where they go.
    tree : Tree
        Where its columns stand.
    tended : int
        First of the columns that are 1 where a cell is tended.
    tended_of : (k,) array
        The cells that those columns mean.
    """
    field, arcs = tree.field, tree.arcs
    n, m = field.count, len(arcs.head)
    cells = np.arange(n)
    # a walking cell is entered once
    rows.add(
        np.concatenate([arcs.head, cells]),
        np.concatenate([tree.arc + np.arange(m), tree.walk + cells]),
        np.concatenate([np.ones(m), -np.ones(n)]),
        0.0,
        0.0,
        n,
    )
    # a step is made one way at most, and from a walking cell to a walking cell
    k = len(field.steps)
    for end in (0, 1):
        rows.add(
            np.tile(np.arange(k), 3),
            np.concatenate(
                [
                    tree.arc + np.arange(k),
                    tree.arc + k + np.arange(k),
                    tree.walk + field.steps[:, end],
                ]
            ),
            np.concatenate([np.ones(2 * k), -np.ones(k)]),
            -INFINITY,
            0.0,
            k,
        )
    enter_rows(rows, tree, tended, tended_of)


def tending_set(field: Field, cell: int) -> Mask:
    """(n,) tell the cells from which a cell can be tended."""
    owner = np.repeat(np.arange(field.count), np.diff(field.reach_at))
    found = np.zeros(field.count, bool)
    found[owner[field.reach == cell]] = True
    return found


def enter_rows(rows: Rows, tree: Tree, tended: int, tended_of: Index) -> None:
    """Ask that what is planted or walked is reached by an arc that enters its tending set."""
    for k, cell in enumerate(tended_of.tolist()):
        entering = entering_arcs(tree.arcs, tending_set(tree.field, cell))
        columns = np.concatenate([tree.arc + entering, [tended + k, tree.walk + cell]])
        values = np.concatenate([np.ones(len(entering)), [-1.0, -1.0]])
        rows.one(columns, values, 0.0, INFINITY)


def entering_arcs(arcs: Arcs, inside: Mask) -> Index:
    """List the arcs that lead from outside a set into it."""
    from_outside = (arcs.tail < 0) | ~inside[np.maximum(arcs.tail, 0)]
    return np.flatnonzero(inside[arcs.head] & from_outside)


def arcs_of_path(tree: Tree, walking: Mask) -> Array:
    """Give the arc columns of a connected path: the tree of its shortest ways from outside."""
    from collections import deque

    arcs = tree.arcs
    found = np.zeros(len(arcs.head))
    seen = np.zeros(tree.field.count, bool)
    m = len(tree.field.steps)
    ways: dict[int, list[tuple[int, int]]] = {}
    for k in range(2 * m):
        ways.setdefault(int(arcs.tail[k]), []).append((int(arcs.head[k]), k))
    queue: deque[int] = deque()
    for k in range(2 * m, len(arcs.head)):
        cell = int(arcs.head[k])
        # one entry for each piece of the path is enough; the first root of a piece takes it
        if walking[cell] and not seen[cell]:
            found[k] = 1.0
            seen[cell] = True
            queue.append(cell)
            while queue:
                for j, arc in ways.get(queue.popleft(), []):
                    if walking[j] and not seen[j]:
                        seen[j] = True
                        found[arc] = 1.0
                        queue.append(j)
    return found
