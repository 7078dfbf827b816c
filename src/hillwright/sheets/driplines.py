"""The drip network as marks, on paper or in the survey's coordinates: each valve in its own line.

Valves are told apart in black and white by the dashes of their lines, by the sign of their stakes
and by letters; weight tells header from lateral from small tubing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array
from hillwright.irrigation.fittings import fittings_of
from hillwright.irrigation.model import Valve
from hillwright.sheets.drawing import FINE, HEAVY, MEDIUM, THIN, Drawing
from hillwright.sheets.linetypes import VALVES, LineStyle
from hillwright.sheets.marks import Circle, Fill, Line, Mark, Pen

LETTER = 3.8  # body of the lettering: its capitals are 2.5 mm high, the least of ISO 3098 [mm]
ASIDE = 1.7  # between lines of two valves that lie in one place [mm]
_STUB = 1.4  # of the header, past its last take-off to its flush end [mm]
_SIGNS = ("dot", "ring", "box", "frame", "wedge")


def kind_of(number: int) -> str:
    """Give the type of a valve's lines; letters tell valves apart from the sixth on."""
    return VALVES[(number - 1) % len(VALVES)]


def stake_sign(number: int, at: tuple[float, float], mm: float) -> list[Mark]:
    """Draw a stake with its emitter in the sign of its valve; ``mm`` is a millimetre of paper."""
    x, y = at
    r = (0.5 if number % 5 in (1, 2) else 0.42) * mm
    name = _SIGNS[(number - 1) % len(_SIGNS)]
    match name:
        case "dot":
            return [Circle("emitters", at, r, Pen(FINE), 0.0)]
        case "ring":
            return [Circle("emitters", at, r, Pen(THIN), 1.0)]
        case "wedge":
            points = np.array([[x - r, y - r], [x + r, y - r], [x, y + r]])
        case _:
            points = np.array([[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]])
    # a drawing file leaves areas out: the edge is what is left of the sign there
    tone = 1.0 if name == "frame" else 0.0
    return [Fill("emitters", points, tone), Line("emitters", points, Pen(THIN), True)]


def valve_sign(at: Array, mm: float) -> list[Mark]:
    """Draw the sign of a control valve: two wedges, tip to tip."""
    x, y = float(at[0]), float(at[1])
    w, h = 1.9 * mm, 1.2 * mm
    left = np.array([[x - w, y - h], [x - w, y + h], [x, y]])
    right = np.array([[x + w, y - h], [x + w, y + h], [x, y]])
    found: list[Mark] = []
    for wedge in (left, right):
        found += [Fill("valves", wedge, 1.0), Line("valves", wedge, Pen(MEDIUM), True)]
    return found


def check_sign(at: Array, mm: float) -> list[Mark]:
    """Draw the sign of a take-off with its check valve: a wedge on the header."""
    x, y = float(at[0]), float(at[1])
    r = 1.0 * mm
    wedge = np.array([[x - r, y + 0.9 * r], [x - r, y - 0.9 * r], [x + r, y]])
    return [Fill("valves", wedge, 1.0), Line("valves", wedge, Pen(THIN), True)]


def shift_of(valve: Valve, valves: int, mm: float) -> Array:
    """Give how far a valve's lines are drawn aside of where they lie (2,) [view units]."""
    step = (valve.number - 1 - (valves - 1) / 2) * ASIDE * mm
    return np.array([step, 0.6 * step])


def draw_lines(d: Drawing, valve: Valve, aside: Array, wide: float) -> None:
    """Draw a valve's header, laterals with their ends, tubing and stakes; cells are so ``wide``."""
    part = np.array(valve.part)
    placed = d.view.place(valve.at[:, :2]) + np.where((part == "small")[:, None], 0.0, aside)
    kind = kind_of(valve.number)
    for nodes in strands(valve, "header"):
        d.line_placed("header", placed[nodes], d.of(LineStyle(kind, HEAVY)))
    for k in header_ends(valve):
        way = placed[k] - placed[int(valve.network.parent[k])]
        off = way / max(float(np.hypot(*way)), 1e-9) * d.mm(_STUB)
        d.line_placed("header", np.array([placed[k], placed[k] + off]), d.pen(HEAVY))
        _bar(d, np.array([placed[k], placed[k] + off]), "header")
    for nodes in strands(valve, "lateral"):
        d.line_placed("laterals", placed[nodes], d.of(LineStyle(kind, MEDIUM)))
        _bar(d, placed[nodes[-2:]])
        if part[nodes[0]] == "header":
            d.marks += check_sign(placed[nodes[0]], d.mm(1))
    _stakes(d, valve, placed, wide)


def header_ends(valve: Valve) -> list[int]:
    """Give the nodes at which the header ends with a flush end, past its last take-off."""
    return [
        f.node for f in fittings_of(valve) if f.where == "header" and f.item.startswith("flush end")
    ]


def strands(valve: Valve, kind: str) -> Iterator[list[int]]:
    """Give the nodes of each unbranched line of a kind, from where it leaves what feeds it."""
    part, parent = valve.part, valve.network.parent.tolist()
    children: dict[int, list[int]] = {}
    for k in range(1, len(parent)):
        if part[k] == kind:
            children.setdefault(parent[k], []).append(k)
    starts = [(p, k) for p, kids in children.items() for k in kids]
    through = {p for p, kids in children.items() if len(kids) == 1 and part[p] == kind}
    for before, first in starts:
        if before in through:
            continue
        nodes = [before, first]
        while nodes[-1] in through:
            nodes.append(children[nodes[-1]][0])
        yield nodes


def _bar(d: Drawing, ends: Array, layer: str = "laterals") -> None:
    """Close a pipe with a bar across it: its flush end."""
    way = ends[1] - ends[0]
    size = float(np.hypot(*way))
    if size < 1e-9:
        return
    across = np.array([-way[1], way[0]]) / size * d.mm(1.6)
    d.line_placed(layer, np.array([ends[1] - across, ends[1] + across]), d.pen(MEDIUM))


def _stakes(d: Drawing, valve: Valve, placed: Array, wide: float) -> None:
    """Draw the stakes of each cell side by side, and one line for all tubes to them."""
    p, mm = valve.punches, d.mm(1)
    holes = placed[valve.network.parent[p.node]]
    for cell in dict.fromkeys(p.cell.tolist()):
        mine = np.flatnonzero(p.cell == cell)
        middle = d.view.place(valve.at[p.node[mine[0]], :2])
        d.line_placed("small-tubing", np.array([holes[mine[0]], middle]), d.pen(FINE))
        step = min(1.5 * mm, 0.85 * wide / len(mine))
        for j in range(len(mine)):
            x = float(middle[0]) + (j - (len(mine) - 1) / 2) * step
            d.marks += stake_sign(valve.number, (x, float(middle[1])), mm)


def along(points: Array, length: float) -> Array:
    """Give the point at a length along a line (k, 2), or its end."""
    for a, b in pairwise(points):
        size = math.dist(a, b)
        if length <= size:
            return np.asarray(a + (b - a) * (length / size if size else 0.0))
        length -= size
    return np.asarray(points[-1])
