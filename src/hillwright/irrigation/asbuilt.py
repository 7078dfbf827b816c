"""What catches and gauges say of the network as it was built: how even it is, and what is amiss.

The model is fitted to the readings one fault at a time. Each lateral may leak half way along it or
give only a part of its flow; the regulator may be set otherwise. The fault that explains most is
taken, as long as it explains far more than chance would. A leak in the header next to the tap and a
regulator that is set low look alike: only a gauge behind the regulator tells them apart.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange, Problem
from hillwright.irrigation.model import AsBuilt, Fault, Irrigation, Odd, Valve
from hillwright.irrigation.network import Outlets, Solution
from hillwright.irrigation.parts import UNIT_WEIGHT
from hillwright.irrigation.solve import Prepared, prepare, solve
from hillwright.irrigation.uniformity import low_quarter, statistical_uniformity
from hillwright.job.readings import Reading
from hillwright.layout.model import Layout

CATCH = 0.05  # error of a catch in a can and a watch, over the emitters' own spread; own estimate
GAUGE = 0.35  # error of a gauge: half a psi of water [m]; own estimate
_WORTH = 12.0  # that a fault must take off the sum of squares
_MOST = 4
_ODD = 4.0  # standard errors from which a single cell is told


def as_built(
    irrigation: Irrigation, layout: Layout, readings: Sequence[Reading]
) -> tuple[AsBuilt, ...]:
    """Hold readings against the valves that they belong to.

    Raises
    ------
    OutOfRange
        A reading of a cell or lateral that the network does not have; all are told.
    """
    of: dict[int, list[Reading]] = {}
    wrong: list[Problem] = []
    for reading in readings:
        mine = [v for v in irrigation.valves if _has(v, layout, reading)]
        if len(mine) > 1:
            named = " and ".join(str(v.number) for v in mine)
            what = f"valves {named} each have a lateral there"
            right = 'add a column "valve", and write which of them was read'
            wrong.append(Problem(f"readings line {reading.line}", what, right))
        elif mine:
            of.setdefault(mine[0].number, []).append(reading)
        else:
            what = (
                "gives water to no such cell" if reading.kind == "catch" else "has no such lateral"
            )
            right = "take rows and cells from the punching list"
            wrong.append(Problem(f"readings line {reading.line}", f"the network {what}", right))
    if wrong:
        raise OutOfRange.all(wrong)
    return tuple(_fit(v, layout, of[v.number]) for v in irrigation.valves if v.number in of)


def _cells(v: Valve, layout: Layout, row: int, number: int) -> Index:
    p = v.punches
    return np.flatnonzero((layout.row[p.cell] == row) & (layout.number[p.cell] == number))


def _far(v: Valve, row: int, side: str) -> int:
    """Give the node at the far end of a lateral; 0 where there is none."""
    p = v.punches
    mine = np.flatnonzero((p.lateral == row) & (np.array(p.side) == side))
    if not mine.size:
        return 0
    return int(v.network.parent[p.node[mine[np.argmax(p.distance[mine])]]])


def _has(v: Valve, layout: Layout, reading: Reading) -> bool:
    if reading.valve not in (0, v.number):
        return False
    if reading.kind == "catch":
        return bool(_cells(v, layout, reading.row, reading.cell).size)
    return _far(v, reading.row, reading.side) > 0


@dataclass(frozen=True, slots=True, eq=False)
class _Bench:
    """A valve with a place for a leak at each lateral, and what was measured on it."""

    valve: Valve
    made: Prepared
    nominal: Array  # (e + l,) emitters as planned, then leaks
    rows: tuple[int, ...]
    catch: tuple[Index, ...]  # emitters of each catch
    end: Index  # node of each gauge
    value: Array  # catches [m3/s], then gauges [m]
    error: Array

    def run(self, nominal: Array, head: float) -> Solution:
        o = replace(self.made.laws.outlets, nominal=nominal)
        return solve(replace(self.made, laws=self.made.laws._replace(outlets=o)), head)

    def off(self, nominal: Array, head: float) -> Array:
        """Give what was measured less what the model gives, in standard errors."""
        s = self.run(nominal, head)
        flows = [float(s.outlet_flow[k].sum()) for k in self.catch]
        given = np.concatenate([flows, s.pressure[self.end]])
        return np.asarray((self.value - given) / self.error)


def _middle(v: Valve, row: int) -> int:
    """Give the node half way along a lateral's connectors: where a leak is taken to be."""
    mine = v.punches.node[v.punches.lateral == row]
    return int(v.network.parent[mine[len(mine) // 2]])


def _bench(v: Valve, layout: Layout, readings: Sequence[Reading]) -> _Bench:
    o = v.network.outlets
    middle = [_middle(v, r) for r in v.carriers]
    many = len(middle)
    extra = Outlets(
        np.concatenate([o.node, np.array(middle, np.intp)]),
        np.concatenate([o.nominal, np.full(many, 1e-18)]),
        np.concatenate([o.onset, np.full(many, 10.0)]),
        np.concatenate([o.below, np.full(many, 0.5)]),
        np.concatenate([o.above, np.full(many, 0.5)]),
    )
    catches = [r for r in readings if r.kind == "catch"]
    gauges = [r for r in readings if r.kind == "gauge"]
    which = tuple(_cells(v, layout, r.row, r.cell) for r in catches)
    spread = [
        math.hypot(CATCH, v.types[int(v.punches.kind[k[0]])].variation / math.sqrt(len(k)))
        * float(o.nominal[k].sum())
        for k in which
    ]
    value = [r.value for r in catches] + [r.value / UNIT_WEIGHT for r in gauges]
    return _Bench(
        v,
        prepare(replace(v.network, outlets=extra)),
        extra.nominal,
        v.carriers,
        which,
        np.array([_far(v, r.row, r.side) for r in gauges], np.intp),
        np.array(value),
        np.array(spread + [GAUGE] * len(gauges)),
    )


def _fit(v: Valve, layout: Layout, readings: Sequence[Reading]) -> AsBuilt:
    bench = _bench(v, layout, readings)
    nominal, head = bench.nominal.copy(), float(v.low.head[0])
    emitters = len(v.punches.node)
    start = off = bench.off(nominal, head)
    faults: list[Fault] = []
    for _ in range(min(_MOST, len(readings) - 1)):
        base, best = float(off @ off), None
        for kind, k, try_, bounds in _ways(bench, nominal, head, emitters):
            if any(f.kind == kind and f.row == (bench.rows[k] if k >= 0 else 0) for f in faults):
                continue
            size, left = _least(partial(_squares, bench, try_), *bounds)
            if best is None or left < best[0]:
                best = left, kind, k, size, try_
        if best is None or base - best[0] < _WORTH:
            break
        left, kind, k, size, try_ = best
        nominal, head = try_(size)
        off = bench.off(nominal, head)
        told = size
        if kind == "leaks":
            told = float(bench.run(nominal, head).outlet_flow[emitters + k])
        elif kind == "regulator":
            told = head - float(v.at[0, 2])
        faults.append(Fault(kind, bench.rows[k] if k >= 0 else 0, told, base - left))
    caught = bench.value[: len(bench.catch)]
    due = np.array([float(v.network.outlets.nominal[k].sum()) for k in bench.catch])
    some = len(caught) >= 4 and caught.sum() > 0
    return AsBuilt(
        v.number,
        len(caught),
        len(bench.end),
        low_quarter(caught / due) if some else math.nan,
        statistical_uniformity(caught / due).uniformity if some else math.nan,
        (float(np.sqrt(np.mean(start**2))), float(np.sqrt(np.mean(off**2)))),
        tuple(faults),
        _odd_ones(bench, layout, nominal, head, off),
    )


_Try = Callable[[float], tuple[Array, float]]


def _squares(bench: _Bench, try_: _Try, size: float) -> float:
    return float(np.sum(bench.off(*try_(size)) ** 2))


def _ways(
    bench: _Bench, nominal: Array, head: float, emitters: int
) -> list[tuple[str, int, _Try, tuple[float, float]]]:
    """Give every fault that may be tried: its kind, lateral, effect, and how large it may be."""
    found: list[tuple[str, int, _Try, tuple[float, float]]] = []
    lateral = bench.valve.punches.lateral
    for k, row in enumerate(bench.rows):
        mine = np.flatnonzero(lateral == row)

        def clog(x: float, mine: Index = mine) -> tuple[Array, float]:
            changed = nominal.copy()
            changed[mine] *= x
            return changed, head

        def leak(x: float, k: int = k) -> tuple[Array, float]:
            changed = nominal.copy()
            changed[emitters + k] = max(x, 1e-18)
            return changed, head

        found.append(("clogs", k, clog, (0.05, 1.0)))
        found.append(("leaks", k, leak, (0.0, 3.0 * bench.valve.flow)))
    low = float(bench.valve.at[0, 2])

    def other(x: float) -> tuple[Array, float]:
        return nominal, low + x * (head - low)

    found.append(("regulator", -1, other, (0.2, 2.0)))
    return found


def _least(cost: Callable[[float], float], low: float, high: float) -> tuple[float, float]:
    """Find the least of a cost by a coarse look and golden sections around its best place."""
    grid = np.linspace(low, high, 9)
    costs = [cost(float(x)) for x in grid]
    k = int(np.argmin(costs))
    a, b = float(grid[max(k - 1, 0)]), float(grid[min(k + 1, 8)])
    ratio = (math.sqrt(5) - 1) / 2
    c, d = b - ratio * (b - a), a + ratio * (b - a)
    at_c, at_d = cost(c), cost(d)
    for _ in range(14):
        if at_c < at_d:
            b, d, at_d = d, c, at_c
            c = b - ratio * (b - a)
            at_c = cost(c)
        else:
            a, c, at_c = c, d, at_d
            d = a + ratio * (b - a)
            at_d = cost(d)
    return (c, at_c) if at_c < at_d else (d, at_d)


def _odd_ones(
    bench: _Bench, layout: Layout, nominal: Array, head: float, off: Array
) -> tuple[Odd, ...]:
    found = []
    s = bench.run(nominal, head)
    for i, k in enumerate(bench.catch):
        if abs(off[i]) > _ODD:
            cell = int(bench.valve.punches.cell[k[0]])
            share = float(bench.value[i] / s.outlet_flow[k].sum())
            found.append(Odd(int(layout.row[cell]), int(layout.number[cell]), share))
    return tuple(found)
