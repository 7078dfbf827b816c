"""Patterns of a cutting plan: first fit, the linear program over patterns, and whole numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.estimate.packs import covering
from hillwright.planting.solver import unheard

_ALL = 4000  # maximal patterns that are listed whole; more are priced one by one
_ROUNDS = 400  # patterns that are priced in
_NODES = 60  # of the tree of whole numbers: a limit that the machine's load does not move
_TINY = 1e-9

_POWERS = (1.0, 1.01, 1.03, 1.1)  # long pieces are worth more than their length: none is left over

Plan = list[tuple[int, tuple[int, ...], int]]  # roll, pieces of each length, times


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """Pieces, longest first, with the kerf on pieces and rolls alike."""

    piece: Index  # (n,)
    want: Index  # (n,)
    roll: Index  # (k,)
    price: Array  # (k,)


def solve(task: Task) -> tuple[Plan, float, int]:
    """Give a plan, what no plan costs less than, and from how many patterns that is known."""
    long = int(task.piece @ task.want)
    # rolls that are long enough in all, whatever is cut from them
    least, sure = covering(long, task.roll.tolist(), task.price.tolist())
    bound = float(np.dot(least, task.price))
    if not sure:  # too many kinds of roll to look through: the best price of a length is a bound
        bound = long * float((task.price / task.roll).min()) * (1 - _TINY)
    plan = min((first_fit(task), *_into(task, least)), key=lambda p: _cost(task, p))
    if _cost(task, plan) <= bound * (1 + _TINY):
        return plan, bound, 0
    columns, value = _maximal(task), 0.0
    whole = columns is not None
    if columns is None:
        fuller = min((_fullest(task, p) for p in _POWERS), key=lambda p: _cost(task, p))
        plan = min((plan, fuller), key=lambda p: _cost(task, p))
        if _cost(task, plan) <= bound * (1 + _TINY):
            return plan, bound, 0
        columns, value = _priced_in(task)
    else:
        value = _Master(task, columns).solve()[0]
    step = _step(task.price)
    bound = max(bound, math.ceil(value / step - 1e-6) * step if step else value * (1 - _TINY))
    best = _cost(task, plan)
    if best > bound * (1 + _TINY):
        found, low = _whole(task, columns, plan)
        if _cost(task, found) < best:
            plan = found
        if whole:  # every pattern that could be of use was there
            bound = max(bound, low)
    return plan, min(bound, _cost(task, plan)), len(columns)


def _into(task: Task, counts: tuple[int, ...]) -> list[Plan]:
    """Put the pieces into just so many rolls of each length, where that comes off.

    The longest piece first, each where it leaves the least room; and one roll after the other cut
    as full as can be.
    """
    found = []
    bins = [r for r in np.argsort(task.roll).tolist() for _ in range(counts[r])]
    room, used = [int(task.roll[r]) for r in bins], np.zeros((len(bins), len(task.piece)), np.intp)
    for i, (piece, want) in enumerate(zip(task.piece.tolist(), task.want.tolist(), strict=True)):
        for _ in range(want):
            fits = [b for b in range(len(bins)) if room[b] >= piece]
            if not fits:
                break
            b = min(fits, key=lambda b: room[b])
            room[b] -= piece
            used[b, i] += 1
    if (used.sum(axis=0) == task.want).all():
        found.append(_trimmed(task, [(r, tuple(u.tolist()), 1) for r, u in
                                     zip(bins, used, strict=True)]))  # fmt: skip
    for power in _POWERS:
        left, plan = task.want.copy(), Plan()
        worth = (task.piece / task.piece.max()) ** power
        for r in bins:
            now = Task(task.piece, left, task.roll, task.price)
            took = np.array(_knapsack(now, worth, int(task.roll[r]))[1])
            left -= took
            plan.append((r, tuple(took.tolist()), 1))
        if not left.any():
            found.append(_trimmed(task, plan))
            break
    return found


def _step(price: Array) -> float:
    """Give the step that every sum of these prices is a multiple of; 0 where there is none."""
    if np.ptp(price) == 0:
        return float(price[0])
    hundredths = price * 100
    if np.abs(hundredths - np.round(hundredths)).max() > 1e-7:
        return 0.0
    return math.gcd(*np.round(hundredths).astype(int).tolist()) / 100


def first_fit(task: Task) -> Plan:
    """Fill rolls of one length at a time, the longest pieces first; the cheapest length wins.

    The last roll is then taken as short as its pieces allow.
    """
    plans = [
        _filled(task, r)
        for r in range(len(task.roll))
        if task.roll[r] >= task.piece[task.want > 0].max()
    ]
    return min((_shortened(task, p) for p in plans), key=lambda p: _cost(task, p))


def _filled(task: Task, r: int) -> Plan:
    left, plan = task.want.copy(), Plan()
    while left.any():
        used, room = np.zeros(len(left), np.intp), int(task.roll[r])
        for i in np.flatnonzero(left):
            used[i] = min(int(left[i]), room // int(task.piece[i]))
            room -= int(used[i] * task.piece[i])
        taken = used > 0
        times = int((left[taken] // used[taken]).min())
        left -= times * used
        plan.append((r, tuple(used.tolist()), times))
    return plan


def _fullest(task: Task, power: float) -> Plan:
    """Cut one roll after the other so that it is as full as can be, the best value of all lengths.

    Parameters
    ----------
    power : float
        Of the length that a piece is worth; above 1 long pieces go first.
    """
    left, plan = task.want.copy(), Plan()
    worth = (task.piece / task.piece.max()) ** power
    while left.any():
        now = Task(task.piece, left, task.roll, task.price)
        best: tuple[float, int, tuple[int, ...]] = (-1.0, 0, ())
        for r, roll in enumerate(task.roll.tolist()):
            value, used = _knapsack(now, worth, roll)
            best = max(best, (value / float(task.price[r]), r, used))
        _, r, used = best
        taken = np.array(used) > 0
        times = int((left[taken] // np.array(used)[taken]).min())
        left -= times * np.array(used)
        plan.append((r, used, times))
    return _shortened(task, plan)


def _shortened(task: Task, plan: Plan) -> Plan:
    found = Plan()
    for r, used, times in plan:
        long = int(np.dot(used, task.piece))
        fits = [k for k in range(len(task.roll)) if task.roll[k] >= long]
        found.append((min(fits, key=lambda k: (task.price[k], k != r)), used, times))
    return found


def _cost(task: Task, plan: Plan) -> float:
    return float(sum(task.price[r] * times for r, _, times in plan))


def _maximal(task: Task) -> list[tuple[int, tuple[int, ...]]] | None:
    """List every pattern that no further piece fits into; None where there are too many."""
    found: list[tuple[int, tuple[int, ...]]] = []
    piece, want = task.piece.tolist(), task.want.tolist()
    least = min(p for p, w in zip(piece, want, strict=True) if w)

    def go(r: int, i: int, room: int, used: tuple[int, ...]) -> bool:
        if i == len(piece):
            # a piece left out for want of demand does not make a pattern one of many
            if (
                room < least
                or all(u == w for u, w in zip(used, want, strict=True))
                or not any(u < w and p <= room for u, w, p in zip(used, want, piece, strict=True))
            ):
                found.append((r, used))
            return len(found) <= _ALL
        most = min(want[i], room // piece[i])
        return all(go(r, i + 1, room - n * piece[i], (*used, n)) for n in range(most, -1, -1))

    # three lengths of many pieces are listed; thirty are not even begun
    if len(piece) > 24 or float(np.prod(1.0 + np.minimum(
        task.want, task.roll.max() // task.piece))) > 1e7:  # fmt: skip
        return None
    for r, roll in enumerate(task.roll.tolist()):
        if not go(r, 0, roll, ()):
            return None
    return [c for c in found if any(c[1])]


def _priced_in(task: Task) -> tuple[list[tuple[int, tuple[int, ...]]], float]:
    """Give the patterns that the linear program wants, and what no plan costs less than.

    After each round the program's value over the worst ratio of a pattern's worth to its price is
    a bound (Farley 1990, from memory), so that stopping early proves less but nothing false.
    """
    columns = [(r, used) for r, used, _ in first_fit(task)]
    columns += [(r, used) for q in range(len(task.roll)) if task.roll[q] >= task.piece.max()
                for r, used, _ in _filled(task, q)]  # fmt: skip
    columns = list(dict.fromkeys(columns))
    known, bound, master = set(columns), 0.0, _Master(task, columns)
    for _ in range(_ROUNDS):
        value, dual = master.solve()
        new, ratio = [], 1.0
        for r, roll in enumerate(task.roll.tolist()):
            worth, used = _knapsack(task, dual, roll)
            ratio = max(ratio, worth / float(task.price[r]))
            if worth > task.price[r] * (1 + 1e-7) + 1e-9 and (r, used) not in known:
                new.append((r, used))
        bound = max(bound, value / ratio)
        if not new:
            break
        for column in new:
            master.add(column)
        known |= set(new)
        columns += new
    return columns, bound


def _knapsack(task: Task, worth: Array, roll: int) -> tuple[float, tuple[int, ...]]:
    """Give the pieces that are worth most on one roll: exact, none more often than wanted."""
    best = np.zeros(roll + 1)
    kept: list[tuple[int, int, Any]] = []
    for i in np.flatnonzero((worth > 1e-12) & (task.want > 0)):
        size = int(task.piece[i])
        most = min(int(task.want[i]), roll // size)
        lot = 1
        while most > 0:  # lots of 1, 2, 4 ... make every count
            lot = min(lot, most)
            room, gain = lot * size, lot * float(worth[i])
            with_it = best[: roll + 1 - room] + gain
            take = np.zeros(roll + 1, bool)
            take[room:] = with_it > best[room:] + 1e-12
            best[room:] = np.where(take[room:], with_it, best[room:])
            kept.append((int(i), lot, take))
            most -= lot
            lot *= 2
    used, room = [0] * len(task.piece), roll
    for i, lot, take in reversed(kept):
        if take[room]:
            used[i] += lot
            room -= lot * int(task.piece[i])
    return float(best[roll]), tuple(used)


class _Master:
    """The program over patterns; HiGHS goes on from where it stood when one is added."""

    def __init__(self, task: Task, columns: list[tuple[int, tuple[int, ...]]]) -> None:
        import highspy

        self.task, self.most = task, float(task.want.sum())
        with unheard():
            self.model: Any = highspy.Highs()  # type: ignore[no-untyped-call]
        for option, value in {
            "output_flag": False, "threads": 1, "random_seed": 1, "mip_max_nodes": _NODES,
            "mip_rel_gap": 0.0, "mip_abs_gap": 1e-6,
        }.items():  # fmt: skip
            self.model.setOptionValue(option, value)
        for want in task.want.tolist():
            self.model.addRow(float(want), highspy.kHighsInf, 0, np.zeros(0, np.int32), np.zeros(0))
        for column in columns:
            self.add(column)

    def add(self, column: tuple[int, tuple[int, ...]]) -> None:
        """Add a pattern."""
        r, used = column
        at = np.flatnonzero(used).astype(np.int32)
        price, counts = float(self.task.price[r]), np.array(used, float)[at]
        self.model.addCol(price, 0.0, self.most, len(at), at, counts)

    def solve(self) -> tuple[float, Array]:
        """Give the value, and what each piece is worth in it."""
        self.model.run()
        value = float(self.model.getInfo().objective_function_value)
        return value, np.array(self.model.getSolution().row_dual)


def _whole(
    task: Task, columns: list[tuple[int, tuple[int, ...]]], known: Plan
) -> tuple[Plan, float]:
    """Give the best plan of whole rolls cut by these patterns, and that program's bound."""
    import highspy

    model = _Master(task, columns).model
    for k in range(len(columns)):
        model.changeColIntegrality(k, highspy.HighsVarType.kInteger)
    model.run()
    info = model.getInfo()
    values = model.getSolution().col_value
    if not len(values) or not math.isfinite(info.objective_function_value):
        return known, 0.0
    plan = [
        (r, used, round(x)) for (r, used), x in zip(columns, values, strict=True) if round(x) > 0
    ]
    return _trimmed(task, plan), float(info.mip_dual_bound) - 1e-6


def _trimmed(task: Task, plan: Plan) -> Plan:
    """Take out the pieces that nobody asked for: patterns may cut more than is wanted."""
    over = sum(times * np.array(used) for _, used, times in plan) - task.want
    found = Plan()
    for r, used, times in plan:
        for _ in range(times):
            less = np.minimum(over, used)
            over = over - less
            kept = tuple((np.array(used) - less).tolist())
            if any(kept):
                found.append((r, kept, 1))
    merged: dict[tuple[int, tuple[int, ...]], int] = {}
    for r, used, times in found:
        merged[r, used] = merged.get((r, used), 0) + times
    return [(r, used, times) for (r, used), times in merged.items()]
