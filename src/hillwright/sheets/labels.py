"""Labels are placed by solving, not by hoping: the best set of places of which no two touch.

Every label names the places where it may go. A place costs more the farther it is from what it
names, and where it lies over a line. No two labels may touch, nor anything that must stay free.
Of all choices the one with the greatest worth less cost is taken: an independent set of greatest
weight, solved exactly as a mixed-integer program, group by group of labels that can touch. The
nearest places of each are looked at first, the far ones of those labels that find no room there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from hillwright.arrays import Array, Index, Mask
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import Words
from hillwright.sheets.place import Candidate

LEAD = 1.2  # a label farther than this from its thing is led to it by a line [mm]
OVER_LINE = 0.6  # what it costs to lie over a line
FAR = 0.02  # what a leader costs by its millimetre
MOST = 2_500  # places of one group; beyond, the worthiest label takes its place first
NEAREST = 6  # places of each label that are looked at first
PAD = 0.08  # kept free around a label, in its size


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """One line of text, and where it may go: the best place first."""

    layer: str
    text: str
    size: float  # of the body, in the view's units
    places: tuple[Candidate, ...]
    worth: float  # against other labels; above 2, it is never left out for a better place
    bold: bool = False
    halo: bool = True
    thing: Any = None  # the shape that it names: a leader goes there from a far place
    lead: float = LEAD  # how far that is [mm]

    def words(self, k: int) -> Words:
        """Put the label at one of its places."""
        c = self.places[k]
        at = (c.x, c.y)
        return Words(self.layer, at, self.text, self.size, c.angle, c.anchor, self.bold, self.halo)


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """What came of it."""

    place: tuple[int, ...]  # of each label, -1 where there was no room
    leader: tuple[Array | None, ...]  # (2, 2) from the thing to the label
    proven: bool  # no better choice exists


def solve(
    labels: Sequence[Label],
    hard: Sequence[Any] = (),
    soft: Sequence[Any] = (),
    bounds: tuple[float, float, float, float] | None = None,
    mm: float = 1.0,
) -> Placed:
    """Choose the places of all labels at once.

    Parameters
    ----------
    labels : sequence of Label
        What is to be lettered.
    hard, soft : sequence of geometry
        What no label may touch; what a label should rather not lie over.
    bounds : tuple, optional
        Edges of the paper that no label may cross.
    mm : float
        Units of the view in a millimetre of paper.
    """
    if not labels:
        return Placed((), (), True)
    owner = np.repeat(np.arange(len(labels)), [len(label.places) for label in labels])
    if not len(owner):
        return Placed((-1,) * len(labels), (None,) * len(labels), True)
    shapes = shapely.polygons(boxes(labels, PAD))
    cost = np.concatenate([np.minimum(0.05 * np.arange(len(x.places)), 0.9) for x in labels])
    there = np.ones(len(owner), bool)
    if bounds is not None:
        there &= shapely.covers(shapely.box(*bounds), shapes)
    if len(hard):
        there[shapely.STRtree(hard).query(shapes, "intersects")[0]] = False
    if len(soft):
        cost[shapely.STRtree(soft).query(shapes, "intersects")[0]] += OVER_LINE
    leaders, shapes, length = _led(labels, owner, shapes, mm)
    cost += FAR * length / mm
    place = np.full(len(labels), -1)
    first = np.searchsorted(owner, np.arange(len(labels)))
    rank = np.cumsum(there) - np.concatenate([[0], np.cumsum(there)])[first][owner]
    # far places are for those that find none nearer; the others stay free to make room
    looked = np.full(len(labels), NEAREST)
    taken, rough = np.empty(0, np.intp), False
    while True:
        alive = np.flatnonzero(there & (rank <= looked[owner]))
        down = np.searchsorted(alive, taken)  # what was alive before still is
        chosen, roughly, best = _choose(labels, owner[alive], shapes[alive], cost[alive], down)
        taken, proven = alive[chosen], best and not rough
        place[:] = -1
        place[owner[taken]] = taken - first[owner[taken]]
        unseen = np.bincount(owner, there & (rank > looked[owner]), len(labels)) > 0
        more = (place < 0) & unseen
        if not more.any():
            break
        looked[more] = len(owner)
        there = _stays(there, owner, shapes, alive[roughly])
        rough |= bool(len(roughly))
    lead: list[Array | None] = [None] * len(labels)
    for k in taken.tolist():
        if k in leaders:
            lead[owner[k]] = shapely.get_coordinates(leaders[k])
    return Placed(tuple(place.tolist()), tuple(lead), proven)


def boxes(labels: Sequence[Label], pad: float = 0.0) -> Array:
    """Give the turned rectangles (k, 4, 2) that labels cover, at each place of each in turn."""
    at, sizes = [], []
    for label in labels:
        wide = text_width(label.text, label.size, label.bold)
        left = {"left": 0.0, "middle": -wide / 2, "right": -wide}
        edge = pad * label.size
        for c in label.places:
            start = left[c.anchor]
            at.append((c.x, c.y, c.angle, start - edge, start + wide + edge))
        sizes += [label.size] * len(label.places)
    x0, y0, turn, left_edge, right_edge = np.array(at).reshape(-1, 5).T[:, :, None]
    size = np.array(sizes)[:, None]
    x = np.concatenate([left_edge, right_edge], axis=1)[:, [0, 1, 1, 0]]
    y = np.concatenate([-0.42 * size - pad * size, 0.42 * size + pad * size], axis=1)
    y = y[:, [0, 0, 1, 1]]
    c, s = np.cos(turn), np.sin(turn)
    return np.stack([x0 + c * x - s * y, y0 + s * x + c * y], axis=2)


def _stays(there: Mask, owner: Index, shapes: Any, put: Index) -> Mask:
    """Leave of the places (n,) those that are free once some stay for good."""
    if not len(put):
        return there
    free = there & ~np.isin(owner, owner[put])
    left = np.flatnonzero(free)
    free[left[shapely.STRtree(shapes[put]).query(shapes[left], "intersects")[0]]] = False
    free[put] = True
    return free


def _led(
    labels: Sequence[Label], owner: Index, shapes: Any, mm: float
) -> tuple[dict[int, Any], Any, Array]:
    """Add the leader of each far place to its shape, so that leaders cross no label either."""
    length = np.zeros(len(owner))
    named = np.flatnonzero(np.array([label.thing is not None for label in labels])[owner])
    if not len(named):
        return {}, shapes, length
    things = np.array([labels[i].thing for i in owner[named].tolist()], dtype=object)
    lines = shapely.shortest_line(things, shapes[named])
    far = shapely.length(lines) > np.array([label.lead for label in labels])[owner[named]] * mm
    led, lines = named[far], lines[far]
    length[led] = shapely.length(lines)
    shapes = shapes.copy()
    shapes[led] = shapely.union(shapes[led], shapely.buffer(lines, 0.15 * mm, quad_segs=1))
    return dict(zip(led.tolist(), lines, strict=True)), shapes, length


def _choose(
    labels: Sequence[Label], owner: Index, shapes: Any, cost: Array, down: Index
) -> tuple[Index, Index, bool]:
    """Choose among places (n,): the taken, those put down roughly, whether it is proven.

    Roughly, the worthiest first, where there are too many for an exact choice; what is ``down``
    already stays there.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    if not len(owner):
        return np.empty(0, np.intp), np.empty(0, np.intp), True
    worth = np.array([label.worth for label in labels])[owner] - cost
    one, other = shapely.STRtree(shapes).query(shapes, "intersects")
    apart = owner[one] < owner[other]
    one, other = one[apart], other[apart]
    kept = _reduced(owner, worth, one, other)
    inside = kept[one] & kept[other]
    one, other = one[inside], other[inside]
    graph = coo_array(
        (np.ones(len(one)), (owner[one], owner[other])), shape=(len(labels), len(labels))
    )
    _, group = connected_components(graph, directed=False)
    of = np.where(kept, group[owner], -1)
    touched = np.bincount(group[owner[one]], minlength=int(group.max()) + 1) > 0
    # whoever is in nobody's way takes the best place
    order = np.lexsort((np.arange(len(owner)), -np.where(kept, worth, -np.inf), owner))
    best = order[np.unique(owner[order], return_index=True)[1]]
    best = best[kept[best] & (worth[best] > 0)]
    taken, roughly = [best[~touched[of[best]]]], [np.empty(0, np.intp)]
    proven, back = True, np.full(len(owner), -1)
    members, couples, before = (_by_group(x) for x in (of, of[one], of[down]))
    for g in np.flatnonzero(touched).tolist():
        mine, pairs = members(g), couples(g)
        back[mine] = np.arange(len(mine))
        a, b = back[one[pairs]], back[other[pairs]]
        if len(mine) <= MOST:
            found, done = _program(owner[mine], worth[mine], a, b)
        else:
            found, done = _greedy(owner[mine], worth[mine], a, b, back[down[before(g)]])
        taken.append(mine[found])
        if len(mine) > MOST:
            roughly.append(mine[found])
        proven &= done
    return np.sort(np.concatenate(taken)), np.concatenate(roughly), proven


def _by_group(of: Index) -> Callable[[int], Index]:
    """Give what is in a group: the indices at which its number stands."""
    order = np.argsort(of, kind="stable")
    sorted_of = of[order]

    def members(g: int) -> Index:
        return order[np.searchsorted(sorted_of, g) : np.searchsorted(sorted_of, g, "right")]

    return members


def _reduced(owner: Index, worth: Array, one: Index, other: Index) -> Mask:
    """Say which places are worth looking at; what is dropped is in no better choice.

    A place goes where its label has another that is worth no less and touches nothing that this
    one does not touch as well. Dropping one may free others, so it is done until none goes.
    """
    near: list[set[int]] = [set() for _ in range(len(owner))]
    for a, b in zip(one.tolist(), other.tolist(), strict=True):
        near[a].add(b)
        near[b].add(a)
    kept = worth > 0
    for k in np.flatnonzero(~kept).tolist():
        for b in near[k]:
            near[b].discard(k)
    edges = np.searchsorted(owner, np.arange(int(owner.max()) + 2))
    of = [
        sorted(np.flatnonzero(kept[a:b]) + a, key=lambda k: (-worth[k], len(near[k]), k))
        for a, b in pairwise(edges.tolist())
    ]
    todo = list(range(len(of)))
    while todo:
        again: set[int] = set()
        for label in todo:
            left: list[int] = []
            for k in of[label]:
                if any(near[better] <= near[k] for better in left):
                    kept[k] = False
                    again |= {int(owner[b]) for b in near[k]}
                    for b in near[k]:
                        near[b].discard(k)
                else:
                    left.append(k)
            of[label] = left
        todo = sorted(again)
    return kept


def _program(owner: Index, worth: Array, one: Index, other: Index) -> tuple[Index, bool]:
    """Solve a group: one place to a label, and of two that touch at most one."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    n = len(owner)
    _, label = np.unique(owner, return_inverse=True)
    # a place against all places of another label that it touches: a row each, tighter than pairs
    key, row = np.unique(one * (label.max() + 1) + label[other], return_inverse=True)
    ones = key // (label.max() + 1)
    rows = np.concatenate([label, label.max() + 1 + row, label.max() + 1 + np.arange(len(key))])
    columns = np.concatenate([np.arange(n), other, ones])
    count = int(label.max()) + 1 + len(key)
    matrix = coo_array((np.ones(len(rows)), (rows, columns)), shape=(count, n)).tocsr()
    matrix.data = np.minimum(matrix.data, 1.0)
    solved = milp(
        -worth,
        integrality=np.ones(n),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, -np.inf, 1.0),
        # a limit of nodes, not of time: the same drawing comes out on every machine
        options={"node_limit": 2000, "mip_rel_gap": 1e-6},
    )
    if solved.x is None:
        return _greedy(owner, worth, one, other)
    return np.flatnonzero(solved.x > 0.5), solved.status == 0


def _greedy(
    owner: Index, worth: Array, one: Index, other: Index, down: Index | None = None
) -> tuple[Index, bool]:
    """Put the worthiest place down first, after what is down already."""
    near: dict[int, list[int]] = {}
    for a, b in zip(one.tolist(), other.tolist(), strict=True):
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    out = np.zeros(len(owner), bool)
    done: set[int] = set()
    found = []
    before = [] if down is None else down.tolist()
    for k in [*before, *np.argsort(-worth, kind="stable").tolist()]:
        if out[k] or int(owner[k]) in done:
            continue
        found.append(k)
        done.add(int(owner[k]))
        out[near.get(k, [])] = True
    return np.array(sorted(found), np.intp), False
