"""Fittings that a valve's pipes are joined with, read off the network as it is routed.

Header and laterals meet in tees and crosses, turn in elbows, change size in reducers and end in
flush ends; emitters' tubing has its connectors. A fitting is as wide as its widest way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array
from hillwright.irrigation.model import Valve

BENDS = np.radians(30.0)  # tubing itself bends no sharper: common practice, no source [rad]
_SAME = 2e-3  # nodes nearer than this lie in one place [m]


@dataclass(frozen=True, slots=True)
class Fitting:
    """One fitting, and where it is."""

    item: str  # as it is ordered
    node: int  # of the valve's network
    row: int  # of the lateral that it belongs to or feeds; 0 for the header alone
    where: str  # "header" or "lateral"


def fittings_of(valve: Valve) -> tuple[Fitting, ...]:
    """Give the fittings of a valve's header and laterals, in the order of its nodes.

    Ways of a header's node are the pipe that comes, what goes on, the laterals that leave, the
    relief at its highest node and the flush end where it ends. Two ways are a pipe that goes on:
    an elbow where it turns by more than ``BENDS``. Three are a tee, four a cross; of more, each
    further two ways take a cross and a single one a tee.
    """
    kids, bends = children(valve), _bends(valve)
    header = [k for k, part in enumerate(valve.part) if part == "header"]
    top = max(header, key=lambda k: float(valve.at[k, 2]), default=-1)
    found: list[Fitting] = []
    for k, part in enumerate(valve.part):
        if part not in ("header", "lateral"):
            continue
        out, row = kids[k], int(valve.row[k])
        if part == "header":
            row = next((int(valve.row[c]) for c in out if valve.part[c] == "lateral"), 0)
        ends = not any(valve.part[c] == part for c in out)
        ways = [k, *out]
        many = len(ways) + (k == top) + (ends and part == "header")
        wide = max(ways, key=lambda c: valve.tubes[int(valve.size[c])].bore)
        name = valve.tubes[int(valve.size[wide])].name

        items: list[str] = []
        if many > 2:
            items += [f"cross, {name}"] * ((many - 2) // 2) + [f"tee, {name}"] * (many % 2)
        elif len(out) == 1 and bends[out[0]]:
            items.append(f"elbow, {name}")
        others = [valve.tubes[int(valve.size[c])].name for c in ways
                  if valve.size[c] != valve.size[wide]]  # fmt: skip
        items += [f"reducer, {name} to {other}" for other in others]
        found += [Fitting(item, k, row, part) for item in items]
        leave = [c for c in out if part == "header" and valve.part[c] == "lateral"]
        found += [Fitting("check valve", k, int(valve.row[c]), "lateral") for c in leave]
        if k == top:
            found.append(Fitting("air and vacuum relief", k, 0, "header"))
        if ends:
            own = valve.tubes[int(valve.size[k])].name
            found.append(Fitting(f"flush end, {own}", k, row if part == "lateral" else 0, part))
    return tuple(found)


def children(valve: Valve) -> list[list[int]]:
    """Give for each node the nodes of header and laterals that it feeds."""
    kids: list[list[int]] = [[] for _ in valve.part]
    for k in range(1, len(valve.part)):
        if valve.part[k] != "small":
            kids[int(valve.network.parent[k])].append(k)
    return kids


def _bends(valve: Valve) -> list[bool]:
    """Tell for each node whether the pipe turns more than it bends where it leaves for it (n,)."""
    at, parent = valve.at, np.asarray(valve.network.parent)
    node = np.maximum(parent, 0)
    come, go = at[node] - at[np.maximum(parent[node], 0)], at - at[node]
    came, goes = np.linalg.norm(come, axis=1), np.linalg.norm(go, axis=1)
    found = np.zeros(len(parent), bool)
    plain = (came >= _SAME) & (goes >= _SAME)
    inner = (come[plain] * go[plain]).sum(axis=1) / (came[plain] * goes[plain])
    found[plain] = np.arccos(np.clip(inner, -1.0, 1.0)) > BENDS
    for k in np.flatnonzero(~plain & (parent > 0)).tolist():
        found[k] = turn(valve, int(parent[k]), k) > BENDS
    listed: list[bool] = found.tolist()
    return listed


def turn(valve: Valve, node: int, on: int) -> float:
    """Give the angle by which a pipe turns at a node, on its way to the next [rad]."""
    before = int(valve.network.parent[node])
    while before > 0 and _apart(valve, node, before) < _SAME:
        before = int(valve.network.parent[before])
    come, go = valve.at[node] - valve.at[before], valve.at[on] - valve.at[node]
    long = float(np.linalg.norm(come)), float(np.linalg.norm(go))
    if min(long) < _SAME:
        return 0.0  # the next node in the same place sees the turn
    return float(np.arccos(np.clip(come @ go / (long[0] * long[1]), -1.0, 1.0)))


def elbows(valve: Valve) -> dict[tuple[int, str], list[float]]:
    """Give where laterals turn: (row, side of the header) to metres along the tubing."""
    found: dict[tuple[int, str], list[float]] = {}
    p, walked = valve.punches, _walked(valve)
    side: dict[int, tuple[int, str]] = {}
    for node, row, name in zip(p.node.tolist(), p.lateral.tolist(), p.side, strict=True):
        at = int(valve.network.parent[node])
        while valve.part[at] == "lateral" and at not in side:
            side[at] = (row, name)
            at = int(valve.network.parent[at])
    for f in fittings_of(valve):
        if f.where == "lateral" and f.item.startswith("elbow"):
            found.setdefault(side[f.node], []).append(float(walked[f.node]))
    return found


def _walked(valve: Valve) -> Array:
    """Give how far each node of a lateral is from the header along the tubing (n,) [m]."""
    found = np.zeros(len(valve.part))
    for k, part in enumerate(valve.part):
        if part == "lateral":
            found[k] = found[int(valve.network.parent[k])] + valve.walked[k]
    return found


def _apart(valve: Valve, a: int, b: int) -> float:
    return float(np.linalg.norm(valve.at[a] - valve.at[b]))
