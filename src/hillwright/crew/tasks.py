"""The tasks of a hill in order: amounts from the rooms above, hours, and what waits for what.

Rows hang from the one above, so they are set from the top down. No soil goes in before every row is
staked: a hung row carries those below it, and nobody works under one that is being hung. Soil goes
in from the top down too, so that nobody walks over what is planted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.crew.learning import crawford_unit
from hillwright.crew.wayup import WayUp
from hillwright.crew.works import Work

LEARNED_BY = 3  # row after which nothing more is learned: common practice, no source
_BLOCKS = 5  # parts of the hill that are scheduled by themselves, at most
_ROWS_EACH = 4  # about
_FROM_THE_TOP = (
    "assemble",
    "lift",
    "set",
    "stake",
    "laterals",
    "fill",
    "plant",
    "emitters",
    "mulch",
)


@dataclass(frozen=True, slots=True, eq=False)
class Quantities:
    """What there is to do, row by row (r rows) or all together, and how soil gets up."""

    cells: Index  # (r,)
    length: Array  # (r,) of the row [m]
    stakes: Index  # (r,)
    soil: Array  # (r,) loose, to carry up [m3]
    mulch: Array  # (r,) [m3]
    plants: Index  # (r,)
    lateral: Array  # (r,) of drip lateral through the row's holes [m]
    emitters: Index  # (r,) each with its connector, tube and stake
    dragged: Index  # (r,) cells that go up clipped together; the others one at a time
    lifts: Index  # (r,) drags that end with this row
    team: int  # people on a drag
    anchors: int  # bars of the cells at the top edge
    hung: int  # cells that hang from them
    pegs: int
    area: float  # ground inside the strings [m2]
    trim: float  # [m3]
    pack: float  # [m3]
    way: WayUp | None = None  # None: by the table of work
    heat: float = 1.0  # share of heavy work that the heat leaves [-]
    crest: float = 0.0  # to dig for the ditch above row 1 [m3]
    toe: float = 0.0  # to dig for the ditch at the toe [m3]
    header: float = 0.0  # of drip header, its own bed raked [m]
    takeoffs: int = 0  # laterals that leave it
    valves: int = 0  # with regulator, isolation valve and air relief


@dataclass(frozen=True, slots=True)
class Task:
    """One bar of the chart."""

    name: str
    work: str  # id of its kind of work
    rows: tuple[int, int]  # first and last; (0, 0) for the whole hill
    amount: float  # in the work's unit
    hours: float  # person-hours at pace 1 [h]
    after: tuple[int, ...]  # tasks that it waits for
    team: tuple[tuple[str, int], ...]  # people by kind of work, for one team


def blocks(cells: Index, least: int = 1) -> tuple[tuple[int, int], ...]:
    """Cut the rows into parts of about as many cells; gives first and last row of each, from 1."""
    rows = len(cells)
    want = min(max(least, min(_BLOCKS, -(-rows // _ROWS_EACH))), rows)
    total = np.cumsum(cells)
    # the row at which each part is nearest to its share, each part one row at least
    ends = [int(np.argmin(np.abs(total - total[-1] * k / want))) + 1 for k in range(1, want)]
    cut, last = [], 0
    for k, end in enumerate([*ends, rows], 1):
        end = min(max(end, last + 1), rows - (want - k))
        cut.append((last + 1, end))
        last = end
    return tuple(cut)


def learning(rate: float, first: int, last: int, amount: Array) -> float:
    """Give by how much the rows from first to last take longer than rows done with practice.

    Crawford's curve, read back from the row at which nothing more is learned.
    """
    rows = np.arange(first, last + 1)
    each = crawford_unit(1.0, np.minimum(rows, LEARNED_BY), rate) / crawford_unit(
        1.0, LEARNED_BY, rate
    )
    weight = amount[first - 1 : last]
    return float((each * weight).sum() / weight.sum()) if weight.sum() > 0 else 1.0


def tasks_of(
    q: Quantities, works: Mapping[str, Work], rate: float, least_blocks: int = 1
) -> tuple[Task, ...]:
    """Give the tasks in order.

    Parameters
    ----------
    q : Quantities
        What there is to do.
    works : mapping
        Kinds of work by id.
    rate : float
        Learning rate of the work that is learned; 1 for none [-].
    least_blocks : int
        Cut the hill into so many parts at least.
    """
    return _Tasks(q, works, rate, blocks(q.cells, least_blocks)).all()


class _Tasks:
    """Collects tasks; those of one kind are found again by their rows."""

    def __init__(
        self,
        q: Quantities,
        works: Mapping[str, Work],
        rate: float,
        parts: tuple[tuple[int, int], ...],
    ) -> None:
        self.q, self.works, self.rate, self.parts = q, works, rate, parts
        self.found: list[Task] = []

    def add(
        self,
        work: str,
        amount: float,
        after: tuple[int, ...],
        rows: tuple[int, int] = (0, 0),
        by_row: Array | None = None,
        team: int = 0,
    ) -> tuple[int, ...]:
        """Add a task, unless there is nothing to do; gives it, or what it would have waited for."""
        if amount <= 0:
            return after
        w = self.works[work]
        slow = 1.0
        if w.learned and by_row is not None:
            slow = learning(self.rate, *rows, by_row)
        first, last = rows
        where = "" if not first else f", row {first}" if first == last else f", rows {first}-{last}"
        hours = amount * w.hours * slow * max(team, 1)
        people = tuple((kind, team) for kind, _ in w.team) if team else w.team
        waits = tuple(sorted(set(after)))
        self.found.append(Task(w.name + where, work, rows, amount, hours, waits, people))
        return (len(self.found) - 1,)

    def over(
        self,
        work: str,
        by_row: Array,
        after: Mapping[int, tuple[int, ...]],
    ) -> dict[int, tuple[int, ...]]:
        """Add a task for each part of the hill, from the top; gives what each now waits for."""
        done: dict[int, tuple[int, ...]] = {}
        for k, (first, last) in enumerate(self.parts):
            before = after[k] + (done[k - 1] if k else ())
            amount = float(by_row[first - 1 : last].sum())
            done[k] = self.add(work, amount, before, (first, last), by_row)
        return done

    def all(self) -> tuple[Task, ...]:
        q = self.q
        clear = self.add("clear", q.area, ())
        smooth = self.add("pack", q.pack, self.add("trim", q.trim, clear))
        strings = self.add("strings", q.pegs, smooth)
        # water from above is led off before anything is hung below it
        crest = self.add("crest", q.crest, strings)
        anchors = self.add("anchors", q.anchors, crest)
        toe = self.add("toe", q.toe, crest)
        if not len(q.cells):
            self.add("clean", q.area, (*anchors, *toe))
            return tuple(self.found)
        hung = self.add("hang", q.hung, anchors)
        staked = self._rows_up(hung)
        every = tuple({i for each in staked.values() for i in each})
        # the valves are set first, then the header climbs, then laterals leave it
        valved = self.add("valves", q.valves, every)
        climbed = self.add("header", q.header, valved)
        header = self.add("takeoffs", q.takeoffs, climbed)
        piped = self.over("laterals", q.lateral, staked)
        filled = self.over("fill", q.soil, {k: (*p, *every) for k, p in piped.items()})
        planted = self.over("plant", q.plants.astype(float), filled)
        wet = self.over("emitters", q.emitters.astype(float), planted)
        ready = tuple({i for each in wet.values() for i in each} | set(header))
        tested = self.add("test", q.takeoffs, ready)
        covered = self.over("mulch", q.mulch, dict.fromkeys(wet, tested))
        last = {i for each in covered.values() for i in each} | set(toe)
        self.add("clean", q.area, tuple(last))
        return tuple(self.found)

    def _rows_up(self, hung: tuple[int, ...]) -> dict[int, tuple[int, ...]]:
        """Bring the rows up, dragged or one at a time, and stake them; gives the staked parts.

        Nobody works below rows that are hung and not staked: the next part waits for the stakes.
        """
        q, last = self.q, hung
        dragged, alone = q.dragged.astype(float), (q.cells - q.dragged).astype(float)
        done: dict[int, tuple[int, ...]] = {}
        ready: tuple[int, ...] = ()  # the foot of the hill is free from the first day
        for k, (first, stop) in enumerate(self.parts):
            mine, rows = slice(first - 1, stop), (first, stop)
            if amount := float(dragged[mine].sum()):
                ready = self.add("assemble", amount, ready, rows, dragged)
                lifts = float(q.lifts[mine].sum())
                last = self.add("lift", lifts, (*ready, *last), rows, team=q.team)
            last = self.add("set", float(alone[mine].sum()), last, rows, alone)
            stakes = q.stakes.astype(float)
            last = done[k] = self.add("stake", float(stakes[mine].sum()), last, rows, stakes)
        return done
