"""A valve's routes as a network: header, laterals, small tubing to every stake."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.irrigation.barbs import barb_length, fitting_loss
from hillwright.irrigation.choose import Emitted
from hillwright.irrigation.course import Course
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.model import Punches
from hillwright.irrigation.network import Network, Outlets
from hillwright.irrigation.parts import EmitterType, Tubing
from hillwright.irrigation.routes import Field, Routes
from hillwright.layout.model import Layout

HOLES = 0.05  # between two holes, and from the tee: common practice, no source [m]
CROSSED = 0.05  # of a pipe in what to keep off; less is the line drawn so [m]
ROUGHNESS = 1.5e-6  # of new plastic: EPANET 2.2 User Manual, Table 3.2 [m]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A valve's pipes with their sizes still open. Links are named by the node they lead to."""

    parent: Index  # (n,)
    at: Array  # (n, 3) [m]
    length: Array  # (n,) [m]
    barbs: Array  # (n,) connectors on the link
    minor: Array  # (n,) K
    part: tuple[str, ...]  # (n,) "tap", "header", "lateral" or "small"
    row: Index  # (n,) row of the lateral that the node belongs to, 0 for the header
    outlets: Outlets
    punches: Punches
    header_crosses: float = 0.0  # of the header across what to keep off [m]
    crossed: tuple[int, ...] = ()  # rows whose laterals run across a hole that nothing leads round

    def network(self, bore: Array) -> Network:
        """Give the network with the bores of its links (n,) [m]."""
        longer = np.where(self.barbs > 0, self.barbs * barb_length(np.maximum(bore, 1e-3)), 0.0)
        n = len(self.parent)
        return Network(
            self.parent,
            self.at[:, 2],
            self.length + longer,
            bore,
            np.full(n, ROUGHNESS),
            self.minor,
            self.outlets,
        )


def plan_pipes(
    layout: Layout,
    rows: Rows,
    cells: Index,
    emitted: Emitted,
    types: tuple[EmitterType, ...],
    field: Field,
    first: int,
    routes: Routes,
    tap: Array,
    pass_height: float,
    depth: float,
) -> Plan:
    """Lay a valve's pipes along its routes.

    ``first`` is the number of the field's first row; ``depth`` the height of the cells, at whose
    top the stakes stand.
    """
    made = _Pipes(tap)
    hung = routes.carrier[field.row]
    used = [int(c) for c in np.unique(hung)]
    header = _header(made, rows, first, routes, pass_height)
    tee = fitting_loss("standard tee, flow through branch")
    bend, crossed = fitting_loss("short-radius elbow"), set[int]()
    for c in used:
        station = float(routes.leaves[c])
        mine = np.flatnonzero(hung == c)
        for side, sign in (("left", -1.0), ("right", 1.0)):
            out = sign * (field.station[mine] - station)
            there = mine[(out >= 0) if sign > 0 else (out > 0)]
            if not there.size:
                continue
            course = Course.of(field, rows, first, c, station, sign, mine)
            crossed |= {first + c} if course.crosses else set()
            way, tube = course.places(there)
            order = np.argsort(way, kind="stable")
            there, way, tube = there[order], way[order], tube[order]
            many = emitted.count[there]
            plant, tubes = np.repeat(there, many), np.repeat(tube, many)
            hole = _apart(np.repeat(way, many))
            moved = np.abs(hole - np.repeat(way, many))
            corners = course.corners(float(hole[-1]))
            stops = [(at, False, -1) for at in corners]
            stops += [(at, True, q) for q, at in enumerate(hole.tolist())]
            node, walked, k = header[c], 0.0, tee
            stops.sort()
            points = course.points(np.array([at for at, _, _ in stops]), pass_height)
            gone = np.diff(points, axis=0, prepend=made.at[node][None])
            steps = np.maximum(np.sqrt((gone**2).sum(axis=1)), 1e-3).tolist()
            for (_, punched, q), xyz, step in zip(stops, points, steps, strict=True):
                node = made.add(node, xyz, "lateral", step, first + c, int(punched), k)
                walked, k = walked + step, 0.0 if punched else bend
                if not punched:
                    continue
                cell, kind = int(cells[plant[q]]), int(emitted.kind[plant[q]])
                long = float(tubes[q] + moved[q])
                stake = rows.centre[cell] + [0.0, 0.0, depth]
                end = made.add(node, stake, "small", long, first + c, 0, tee)
                made.punch(first + c, side, walked, cell, kind, long, end)
    plan = made.plan(types)
    across = [
        rows.within(plan.at[[int(plan.parent[k]), k]])
        for k, part in enumerate(plan.part)
        if part == "header"
    ]
    return replace(
        plan,
        crossed=tuple(sorted(crossed)),
        header_crosses=sum(x for x in across if x > CROSSED),
    )


def _apart(way: Array) -> Array:
    """Move holes until each stands clear of the tee and of the one before it, as little as does.

    The least sum of squares with a least distance between neighbours is an isotonic regression.
    """
    count = np.arange(1, len(way) + 1) * HOLES
    return np.asarray(_rising(way - count).clip(min=0.0) + count, float)


def _rising(values: Array) -> Array:
    """Give the numbers nearest to these that never fall: neighbours that would are made their mean.

    Pooling of adjacent violators. scipy has it, in a package that takes longer to load than all
    pipes of a garden to lay.
    """
    total, many = list[float](), list[int]()
    for value in values.tolist():
        total.append(value)
        many.append(1)
        while len(total) > 1 and total[-2] * many[-1] >= total[-1] * many[-2]:
            more, n = total.pop(), many.pop()
            total[-1] += more
            many[-1] += n
    return np.repeat(np.array(total) / np.array(many, float), many)


def _header(made: _Pipes, rows: Rows, first: int, routes: Routes, lift: float) -> dict[int, int]:
    """Lead the header from the tap to where it joins, and both ways on; node of each take-off."""
    node: dict[int, int] = {}
    run = fitting_loss("standard tee, flow through run")

    def reach(corner: int, before: int) -> int:
        row, station = routes.header[corner]
        xyz = rows.point(first + row, np.array([station]), lift)[0]
        step = float(np.linalg.norm(xyz - made.at[before]))
        at = made.add(before, xyz, "header", max(step, 1e-3), 0, 0, run)
        if station == routes.leaves[row]:
            node[row] = at
        return at

    joined = reach(routes.joined, 0)
    for way in (range(routes.joined + 1, len(routes.header)), range(routes.joined - 1, -1, -1)):
        before = joined
        for corner in way:
            before = reach(corner, before)
    return node


class _Pipes:
    """Nodes while they are being laid."""

    def __init__(self, tap: Array) -> None:
        self.at: list[Array] = [np.asarray(tap, float)]
        self.links: list[tuple[int, float, int, float, int, str]] = [(-1, 0.0, 0, 0.0, 0, "tap")]
        self.punched: list[tuple[int, str, float, int, int, float, int]] = []

    def add(
        self, parent: int, at: Array, part: str, length: float, row: int, barbs: int, minor: float
    ) -> int:
        self.at.append(at)
        self.links.append((parent, length, barbs, minor, row, part))
        return len(self.at) - 1

    def punch(
        self, lateral: int, side: str, distance: float, cell: int, kind: int, tube: float, node: int
    ) -> None:
        self.punched.append((lateral, side, distance, cell, kind, tube, node))

    def plan(self, types: tuple[EmitterType, ...]) -> Plan:
        parent, length, barbs, minor, row, part = zip(*self.links, strict=True)
        lateral, side, distance, cell, kind, tube, node = zip(*self.punched, strict=True)
        kinds = np.array(kind, np.intp)

        def of(name: str) -> Array:
            return np.array([getattr(types[k], name) for k in kind], float)

        outlets = Outlets(
            np.array(node, np.intp), of("nominal"), of("at"), of("below"), of("exponent")
        )
        punches = Punches(
            np.array(lateral, np.intp),
            tuple(side),
            np.array(distance),
            np.array(cell, np.intp),
            kinds,
            np.array(tube),
            np.array(node, np.intp),
        )
        return Plan(
            np.array(parent, np.intp),
            np.array(self.at),
            np.array(length),
            np.array(barbs, float),
            np.array(minor),
            tuple(part),
            np.array(row, np.intp),
            outlets,
            punches,
        )


def line_tubes(tubes: tuple[Tubing, ...]) -> tuple[int, ...]:
    """Give the numbers of the tubing that laterals and headers are made of, narrowest first."""
    return tuple(k for k, t in enumerate(tubes) if not t.small)
