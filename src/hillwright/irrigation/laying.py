"""Lay valve after valve; where the pressure does not do, split by height or say what would."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.irrigation.choose import Emitted
from hillwright.irrigation.model import Valve
from hillwright.irrigation.supply import presets
from hillwright.irrigation.valve import Starved
from hillwright.layout.model import Layout

Told = tuple[str, str, str]  # where, what is wrong, what would do
_UP = 0.1  # a booster is told up to the next of these, and one more, so that no rounding takes it


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Plants that are to hang on one valve."""

    zone: str
    cells: Index  # (p,) of the layout
    demand: Array  # (p,) [m3]
    emitted: Emitted

    def part(self, which: Index) -> Group:
        """Give a part of the plants."""
        e = self.emitted
        mine = Emitted(e.kind[which], e.count[which], e.run, e.given[which])
        return Group(self.zone, self.cells[which], self.demand[which], mine)


Lay = Callable[[int, Group, float], Valve]  # number, plants, head of a booster [m]


def lay_all(groups: list[Group], layout: Layout, lay: Lay) -> tuple[list[Valve], tuple[Told, ...]]:
    """Lay a valve for each group; a group too tall for its emitters is cut in two by height.

    Returns
    -------
    valves : list of Valve
        Those that work; numbered from 1.
    refused : tuple
        Why the others cannot be had, and what would do: each remedy was solved.
    """
    valves: list[Valve] = []
    short: list[tuple[Group, Starved]] = []
    waiting = groups[::-1]
    while waiting:
        group = waiting.pop()
        try:
            valves.append(lay(len(valves) + 1, group, 0.0))
        except Starved as starved:
            row = layout.row[group.cells]
            known = np.unique(row)
            if starved.too_tall and starved.need <= presets()[-1] and len(known) > 1:
                cut = known[len(known) // 2]
                waiting += [group.part(np.flatnonzero(row >= cut))]
                waiting += [group.part(np.flatnonzero(row < cut))]
            else:
                short.append((group, starved))
    return valves, _told_once(short, layout, lay)


def _told_once(short: list[tuple[Group, Starved]], layout: Layout, lay: Lay) -> tuple[Told, ...]:
    """Say each cause once, with all rows that it keeps dry."""
    main = [(g, s) for g, s in short if s.need > presets()[-1]]
    narrow = [(g, s) for g, s in short if s.need <= presets()[-1] and s.too_tall]
    found = [_main(main, layout)] if main else []
    found += [_narrow(narrow, layout)] if narrow else []
    rest = [(g, s) for g, s in short if s.need <= presets()[-1] and not s.too_tall]
    return (*found, *(_weak(g, s, layout, lay) for g, s in rest))


def _who(short: list[tuple[Group, Starved]], layout: Layout) -> str:
    zones = " and ".join(dict.fromkeys(g.zone for g, _ in short))
    rows = np.unique(np.concatenate([layout.row[g.cells] for g, _ in short]))
    cut = np.flatnonzero(np.diff(rows) > 1) + 1
    runs = [(int(r[0]), int(r[-1])) for r in np.split(rows, cut)]
    if len(runs) == 1:
        return f"the {zones} plants of {_rows(*runs[0])}"
    named = [str(a) if a == b else f"{a} to {b}" for a, b in runs]
    return f"the {zones} plants of rows {', '.join(named[:-1])} and {named[-1]}"


def _main(short: list[tuple[Group, Starved]], layout: Layout) -> Told:
    """Say that the pressure needed at the tap is more than any regulator gives."""
    most = max(s.need for _, s in short)
    up = "up to " if len(short) > 1 else ""
    return (
        "supply.side",
        f"{_who(short, layout)} need {up}{most:.1f} m of water at a valve beside the tap, and "
        f"regulators are sold up to {presets()[-1]:.1f} m of water",
        "lead a pressure main up to the lowest of these rows, and write the tap as it will be "
        "there: its place, and the pressure that is left so much higher",
    )


def _narrow(short: list[tuple[Group, Starved]], layout: Layout) -> Told:
    """Say that no regulator suits the highest and the lowest emitter of a valve."""
    group, worst = min(short, key=lambda x: x[1].most - x[1].need)
    own = np.unique(layout.row[group.cells])
    where = f"; at worst {_rows(int(own[0]), int(own[-1]))}" if len(short) > 1 else ""
    what = (
        f"{_who(short, layout)} find no regulator that their emitters bear{where}: "
        f"{worst.need:.1f} m of water are needed at the valve for the highest emitter, and the "
        f"lowest bears {worst.most:.1f} m of water there"
    )
    right = "offer emitters or tubing of a wider range of pressure"
    under = max((p for p in presets() if p < worst.need), default=0.0)
    over = min((p for p in presets() if p > worst.most), default=0.0)
    if worst.need <= worst.most and over:
        what += f"; regulators are sold for {under:.1f} m of water and {over:.1f} m of water"
        right += f": more than {over - under:.1f} m of water and what the tubing loses"
    return ("irrigation.emitters", what, right)


def _weak(group: Group, starved: Starved, layout: Layout, lay: Lay) -> Told:
    """Say that the supply lacks pressure, and what booster or what rows would do."""
    rows = np.unique(layout.row[group.cells])
    who = _who([(group, starved)], layout)
    left = max(starved.low, 0.0)
    has = f"{left:.1f} m of water are left there" if left >= 0.05 else "none is left there"
    what = (
        f"{who} need {starved.need:.1f} m of water at the valve's outlet, and {has} at low supply"
    )
    ways = [_booster(group, starved, lay), _lower(group, rows, layout, lay)]
    return ("supply.pressure", what, "; ".join(w for w in ways if w))


def _booster(group: Group, starved: Starved, lay: Lay) -> str:
    """Give the least booster that was found to do."""
    more = (math.ceil((starved.need - starved.low) / _UP) + 1) * _UP
    for _ in range(20):
        try:
            lay(1, group, more)
        except Starved:
            more += 5 * _UP
        else:
            return (
                f"a booster of at least {more:.1f} m of water before this valve would do (solved)"
            )
    return ""


def _lower(group: Group, rows: Index, layout: Layout, lay: Lay) -> str:
    """Say which rows at the foot the pressure does for: the others need another tap."""
    row = layout.row[group.cells]
    good, bad = len(rows), 0  # rows[good:] can be watered, rows[bad:] cannot
    while good - bad > 1:
        middle = (good + bad) // 2
        try:
            lay(1, group.part(np.flatnonzero(row >= rows[middle])), 0.0)
        except (Starved, OutOfRange):
            bad = middle
        else:
            good = middle
    if good == len(rows):
        return "without one the pressure does not reach even the lowest of these rows"
    return (
        f"or water only {_rows(int(rows[good]), int(rows[-1]))} from this tap, which was solved "
        f"too, and {_rows(int(rows[0]), int(rows[good - 1]))} from a tap higher up"
    )


def _rows(first: int, last: int) -> str:
    return f"row {first}" if first == last else f"rows {first} to {last}"
