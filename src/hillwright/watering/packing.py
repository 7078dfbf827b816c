"""Waterings shared out over the windows of a day, so that they fit where they can at all."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hillwright.watering.clock import Run

_TRIES = 4000  # of sharing out; small gardens are searched whole
_STEPS = 4000  # of ordering one window's cycles

Turns = list[tuple["Run", list[float]]]  # each run with its openings, from the first one [s]


def share_out(
    runs: list[Run], homes: list[int], over: Callable[[int, list[int]], float], windows: int
) -> list[int]:
    """Give each run a window: least that does not fit, then fewest moved that matter.

    A valve that is watered once a day waits a day wherever its watering stands; one that is
    watered several times wants each where it is.

    Parameters
    ----------
    runs : list of Run
        Of one day.
    homes : list of int
        Window that each wishes for.
    over : function of (window, runs)
        What does not fit if these runs are in that window [s].
    windows : int
        How many.
    """
    often = [sum(r.valve == run.valve for r in runs) > 1 for run in runs]
    order = sorted(range(len(runs)), key=lambda i: (-_alone(runs[i]), i))
    best: tuple[tuple[float, int, int], list[int]] | None = None
    left = _TRIES
    known: dict[tuple[int, tuple[int, ...]], float] = {}

    def missing(k: int, inside: tuple[int, ...]) -> float:
        if (k, inside) not in known:
            known[k, inside] = over(k, list(inside))
        return known[k, inside]

    def go(
        at: int, inside: list[tuple[int, ...]], held: tuple[int, int], chosen: list[int]
    ) -> None:
        nonlocal best, left
        left -= 1
        # what does not fit already will not fit with more beside it
        cost = (sum(missing(k, each) for k, each in enumerate(inside)), *held)
        if left < 0 or (best is not None and cost >= best[0]):
            return
        if at == len(order):
            best = cost, chosen
            return
        i = order[at]
        for k in sorted(range(windows), key=lambda k: k != homes[i]):
            moved = k != homes[i]
            now = [(*each, i) if j == k else each for j, each in enumerate(inside)]
            place = [*chosen]
            place[i] = k
            go(at + 1, now, (held[0] + (moved and often[i]), held[1] + moved), place)

    go(0, [()] * windows, (0, 0), list(homes))
    return best[1] if best else list(homes)


def _alone(run: Run) -> float:
    """Give how long a run takes with nobody beside it."""
    return run.cycles * run.each + (run.cycles - 1) * run.soak


def tightest(runs: list[Run], room: float) -> tuple[Turns, float]:
    """Order the cycles of runs in one stretch: the first order that fits, else the shortest found.

    Two waterings of one valve follow each other. Every order is tried, the longest rest of the
    way first, as long as there are few.

    Parameters
    ----------
    runs : list of Run
        In the order that a valve's own are to come in.
    room : float
        That they have. [s]
    """
    chains: dict[int, list[Run]] = {}
    for run in runs:
        chains.setdefault(run.valve, []).append(run)
    parts = [[(r, r.each, r.soak) for r in chain for _ in range(r.cycles)] for chain in
             chains.values()]  # fmt: skip
    best: tuple[float, list[tuple[int, float]]] | None = None
    left = _STEPS

    def tail(c: int, done: int) -> float:
        rest = parts[c][done:]
        return sum(each for _, each, _ in rest) + sum(soak for *_, soak in rest[:-1])

    tails = [[tail(c, d) for d in range(len(part) + 1)] for c, part in enumerate(parts)]
    work = [[sum(each for _, each, _ in part[d:]) for d in range(len(part) + 1)] for part in parts]

    def go(now: float, done: list[int], ready: list[float], order: list[tuple[int, float]]) -> None:
        nonlocal best, left
        left -= 1
        open_ = [c for c in range(len(parts)) if done[c] < len(parts[c])]
        if best is not None and (best[0] <= room or left < 0):
            return
        if not open_:
            if best is None or now < best[0]:
                best = now, order
            return
        least = max(
            now + sum(work[c][done[c]] for c in open_),
            max(max(now, ready[c]) + tails[c][done[c]] for c in open_),
        )
        if best is not None and least >= best[0]:
            return
        soonest = min(max(now, ready[c]) + parts[c][done[c]][1] for c in open_)
        for c in sorted(open_, key=lambda c: (max(now, ready[c]), -tails[c][done[c]])):
            begins = max(now, ready[c])
            if begins >= soonest and len(open_) > 1:
                continue  # another could have run whole in the meantime
            _, each, soak = parts[c][done[c]]
            go(
                begins + each,
                [d + (j == c) for j, d in enumerate(done)],
                [begins + each + soak if j == c else r for j, r in enumerate(ready)],
                [*order, (c, begins)],
            )

    go(0.0, [0] * len(parts), [0.0] * len(parts), [])
    assert best is not None  # the first order is always finished
    at = [0] * len(parts)
    opens: dict[int, list[float]] = {id(r): [] for r in runs}
    for c, begins in best[1]:
        opens[id(parts[c][at[c]][0])].append(begins)
        at[c] += 1
    return [(r, opens[id(r)]) for r in runs], best[0]
