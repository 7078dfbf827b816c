"""Readings taken on a made-up network with a known fault: the fault is found, and no other."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from slopes import hill

from hillwright.errors import OutOfRange
from hillwright.irrigation.asbuilt import as_built
from hillwright.irrigation.asked import water_plants
from hillwright.irrigation.network import Outlets
from hillwright.irrigation.parts import UNIT_WEIGHT
from hillwright.irrigation.solve import prepare, solve
from hillwright.job.drip import DripText, SupplyText
from hillwright.job.readings import Reading

LAYOUT = hill(9, 10)


@pytest.fixture(scope="module", params=["compensating", "turbulent"])
def drip(request):
    text = DripText(emitters=request.param, longest_tube="0.8 m", uniformity="80 %")
    return water_plants(LAYOUT, None, SupplyText(), text, (), (), 0.1)


def readings(v, solution, noise=0.0, every=2):
    """Catch at every other cell and read a gauge at each lateral's end."""
    rng, p, found = np.random.default_rng(4), v.punches, []
    for k in range(0, len(p.node), every):
        cell = int(p.cell[k])
        flow = float(solution.outlet_flow[k]) * (1 + noise * rng.normal())
        found.append(Reading("catch", int(LAYOUT.row[cell]), int(LAYOUT.number[cell]), "", flow, 1))
    for row in v.carriers:
        for side in ("left", "right"):
            mine = np.flatnonzero((p.lateral == row) & (np.array(p.side) == side))
            if mine.size:
                node = v.network.parent[p.node[mine[np.argmax(p.distance[mine])]]]
                head = float(solution.pressure[node]) + noise * rng.normal()
                found.append(Reading("gauge", row, 0, side, head * UNIT_WEIGHT, 1))
    return found


def run(v, outlets, head=None):
    made = prepare(dataclasses.replace(v.network, outlets=outlets))
    return solve(made, float(v.low.head[0]) if head is None else head)


def test_a_network_as_planned_shows_no_fault(drip):
    v = drip.valves[0]
    found = as_built(drip, LAYOUT, readings(v, v.low, 0.03))[0]
    assert found.faults == ()
    assert found.low_quarter > 0.9


def test_a_clogged_lateral_is_found_with_its_share(drip):
    v = drip.valves[0]
    row = v.carriers[1]
    o = v.network.outlets
    nominal = np.where(v.punches.lateral == row, 0.55, 1.0) * o.nominal
    bad = run(v, dataclasses.replace(o, nominal=nominal))
    found = as_built(drip, LAYOUT, readings(v, bad, 0.02))[0]
    assert [(f.kind, f.row) for f in found.faults] == [("clogs", row)]
    assert found.faults[0].size == pytest.approx(0.55, abs=0.06)
    assert found.misfit[1] < 0.5 * found.misfit[0]


def test_a_leaking_lateral_is_found_with_its_flow(drip):
    v = drip.valves[0]
    row = v.carriers[1]
    mine = v.punches.node[v.punches.lateral == row]
    node = int(v.network.parent[mine[len(mine) // 2 + 2]])
    o = v.network.outlets
    leak = Outlets(
        np.append(o.node, node),
        np.append(o.nominal, 1.5e-4),
        np.append(o.onset, 10.0),
        np.append(o.below, 0.5),
        np.append(o.above, 0.5),
    )
    bad = run(v, leak)
    taken = readings(v, dataclasses.replace(bad, outlet_flow=bad.outlet_flow[:-1]), 0.02)
    found = as_built(drip, LAYOUT, taken)[0]
    assert found.faults[0].kind == "leaks"
    assert found.faults[0].row == row
    assert found.faults[0].size == pytest.approx(float(bad.outlet_flow[-1]), rel=0.35)


def test_one_stopped_emitter_is_told_by_its_cell(drip):
    v = drip.valves[0]
    taken = readings(v, v.low)
    cell = int(v.punches.cell[4])
    row, number = int(LAYOUT.row[cell]), int(LAYOUT.number[cell])
    taken = [
        dataclasses.replace(r, value=0.1 * r.value)
        if r.kind == "catch" and (r.row, r.cell) == (row, number)
        else r
        for r in taken
    ]
    found = as_built(drip, LAYOUT, taken)[0]
    assert (row, number) in {(o.row, o.cell) for o in found.odd}


def test_readings_of_what_is_not_there_are_all_told(drip):
    wrong = [Reading("catch", 99, 1, "", 1e-7, 2), Reading("gauge", 1, 0, "nowhere", 1e5, 3)]
    with pytest.raises(OutOfRange) as caught:
        as_built(drip, LAYOUT, wrong)
    assert len(caught.value.problems) == 2
    assert "line 2" in str(caught.value)


def test_a_gauge_where_two_valves_have_a_lateral_must_say_whose_it_is(drip):
    (v,) = drip.valves[:1]
    twice = dataclasses.replace(drip, valves=(v, dataclasses.replace(v, number=2)))
    row, side = int(v.punches.lateral[0]), v.punches.side[0]
    gauge = Reading("gauge", row, 0, side, 1e5, 7)
    with pytest.raises(OutOfRange, match="valves 1 and 2") as caught:
        as_built(twice, LAYOUT, [gauge])
    assert "line 7" in str(caught.value)
    (found,) = as_built(twice, LAYOUT, [dataclasses.replace(gauge, valve=2)])
    assert (found.valve, found.gauges) == (2, 1)
