"""Drains and spilled water on the plan."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array
from hillwright.layout.model import Layout
from hillwright.runoff.drainlines import axes
from hillwright.runoff.drainmodel import Drain, Drainage
from hillwright.runoff.model import Runoff
from hillwright.sheets import figures
from hillwright.sheets.drawing import THIN, Drawing, direction
from hillwright.sheets.linetypes import DRAIN_LEAD
from hillwright.sheets.marks import LEAST_TEXT, Circle, Fill
from hillwright.sheets.place import Candidate, around
from hillwright.wording import plural

MOST_ARROWS = 24  # more would hide the cells' edges
_HEAD = 3.0  # length of an arrow's head [mm]


def draw_drains(d: Drawing, drainage: Drainage) -> None:
    """Draw each ditch with the way it falls, its lead and the stones at its end."""
    for drain in drainage.drains:
        d.line("drains", drain.line, d.of("drains"))
        if len(drain.lead_line):
            d.line("drains", drain.lead_line, d.of(DRAIN_LEAD))
        placed = d.view.place(drain.line)
        d.keep_clear(drain.line)
        _head(d, placed, 0.5)
        end = d.view.place(drain.lead_line[-1] if len(drain.lead_line) else drain.line[-1])
        d.marks.append(Circle("drains", (float(end[0]), float(end[1])), d.mm(1.3), d.pen(THIN)))
        d.marks.append(Circle("drains", (float(end[0]), float(end[1])), d.mm(0.5), d.pen(THIN), 0))
    if drainage.drains:
        much = plural(len(drainage.drains), "drain")
        d.notes["drains"] = f"{much}: ditch, its fall, stones at its end (circle)"


def name_drains(d: Drawing, drainage: Drainage) -> None:
    """Letter each drain along itself."""
    for drain in drainage.drains:
        placed = d.view.place(drain.line)
        d.words("drains", _named(drain, d), LEAST_TEXT, _along(d, placed), needed=True)


def _named(drain: Drain, d: Drawing) -> str:
    return f"{drain.name}, {figures.rough(drain.length, d.system)}, {drain.gradient:.1%}"


def _along(d: Drawing, placed: Array) -> list[Candidate]:
    """Give places along a line, in its middle first."""
    found: list[Candidate] = []
    for share in (0.3, 0.7, 0.2, 0.8, 0.1, 0.9):
        k = min(int(share * (len(placed) - 1)), len(placed) - 2)
        a, b = placed[k], placed[k + 1]
        u = (b - a) / np.hypot(*(b - a))
        n, angle = np.array([-u[1], u[0]]), direction(a, b)
        found += [
            Candidate.on((a + b) / 2 + n * d.mm(r), angle) for r in (3, -3, 4.5, -4.5, 6.5, -6.5)
        ]
    return found


def draw_spills(d: Drawing, layout: Layout, found: Runoff) -> None:
    """Draw arrows where most of what spills leaves the grid, each with its share."""
    whole = float(found.leaves.sum()) if found.leaves.size else 0.0
    if whole <= 0 or not len(layout.row):
        return
    right, up = axes(layout)
    out = {0: -up, 1: -right, 2: right}
    way, cell = np.unravel_index(np.argsort(-found.leaves, axis=None), found.leaves.shape)
    drawn = 0.0
    count = 0
    for k, i in zip(way.tolist(), cell.tolist(), strict=True):
        much = float(found.leaves[k, i])
        if count == MOST_ARROWS or much < 0.005 * whole:
            break
        corners = layout.corners[i, :, :2]
        edge = {0: corners[[3, 2]], 1: corners[[0, 3]], 2: corners[[1, 2]]}[k]
        start = d.view.place(edge.mean(axis=0))
        to = d.view.place(edge.mean(axis=0) + out[k]) - start
        u = to / np.hypot(*to)
        placed = np.array([start + u * d.mm(0.5), start + u * d.mm(5.5)])
        d.line_placed("spills", placed, d.pen(THIN))
        _head(d, placed, 1.0, "spills")
        d.keep_free(placed, d.mm(0.6))
        places = [Candidate.on(placed[1] + u * d.mm(r)) for r in (2.8, 4.2)]
        places += list(around(float(placed[1][0]), float(placed[1][1]), (d.mm(3.2), d.mm(4.6))))
        d.words("spills", f"{much / whole:.0%}", LEAST_TEXT, places, worth=2.5)
        drawn += much
        count += 1
    d.notes["spills"] = (
        f"Spill: {plural(count, 'place')} where {drawn / whole:.0%} of what spills leaves, "
        "with shares"
    )


def _head(d: Drawing, placed: Array, share: float, layer: str = "drains") -> None:
    """Draw an arrow head at a share of a placed line."""
    k = min(max(int(share * (len(placed) - 1)), 1), len(placed) - 1)
    a, tip = placed[k - 1], placed[k]
    u = (tip - a) / np.hypot(*(tip - a))
    n = np.array([-u[1], u[0]])
    size = d.mm(_HEAD if layer == "drains" else 1.8)
    d.marks.append(
        Fill(
            layer, np.array([tip, tip - u * size + n * size / 3, tip - u * size - n * size / 3]), 0
        )
    )
