"""Fittings: counted here from the lines as they lie, against what the order has."""

from __future__ import annotations

from collections import Counter, defaultdict

import numpy as np
import pytest
from slopes import hill

from hillwright.estimate.drip import drip_lines
from hillwright.irrigation.asked import water_plants
from hillwright.irrigation.fittings import elbows, fittings_of
from hillwright.job.drip import DripText, SupplyText


def watered(layout, **wishes):
    return water_plants(layout, None, SupplyText(), DripText(**wishes), (), (), 0.1)


def holed(rows, columns, *holes):
    mask = np.ones((rows, columns), bool)
    for r, c in holes:
        mask[r, c] = False
    return mask


HILLS = {
    "plain": (hill(6, 8), {}),
    "short tubes": (hill(7, 5), {"longest_tube": "0.5 m"}),
    "a hole in the middle": (hill(3, 10, mask=holed(3, 10, (1, slice(4, 6)))), {}),
    "round it": (
        hill(3, 10, mask=holed(3, 10, (1, slice(4, 6)))),
        {"longest_tube": "0.6 m"},
    ),
    "two sizes": (hill(20, 40), {}),
}


def by_hand(valve):
    """Count from ends of lines alone: what meets where, and at what angle."""
    meet = defaultdict(list)  # (place, whose lateral) -> (direction away from it, bore, part)
    for k in range(1, len(valve.part)):
        if valve.part[k] == "small":
            continue
        before = int(valve.network.parent[k])
        if np.linalg.norm(valve.at[k] - valve.at[before]) < 2e-3:  # a hole in a corner
            continue
        what = (round(1e3 * float(valve.network.bore[k]), 1), valve.part[k])
        for node, other in ((before, k), (k, before)):
            # two laterals may lie side by side in one row, and do not meet there
            whose = int(valve.row[node]) if valve.part[node] == "lateral" else 0
            way = valve.at[other] - valve.at[node]
            meet[*np.round(valve.at[node], 2), whose].append((way, *what))
    tap = (*np.round(valve.at[0], 2), 0)
    reach = [p for p, ways in meet.items() if p != tap and any(w[2] == "header" for w in ways)]
    top = max(reach, key=lambda p: p[2])
    found = Counter({"air and vacuum relief": 1})
    for place, ways in meet.items():
        if place == tap:
            continue
        header = sum(w[2] == "header" for w in ways)
        laterals = len(ways) - header
        end = header == 1 or (not header and laterals == 1)
        found["flush end"] += end
        found["check valve"] += laterals if header else 0
        many = len(ways) + (place == top) + (end and header > 0)
        if many == 2 and len(ways) == 2:
            u, v = (w[0] / np.linalg.norm(w[0]) for w in ways)
            found["elbow"] += bool(u @ v > -np.cos(np.radians(30)))
        found["tee"] += many in (3, 5)
        found["cross"] += many in (4, 5)
        found["reducer"] += sum(w[1] < max(x[1] for x in ways) - 1e-9 for w in ways)
    return +found


@pytest.mark.parametrize("name", HILLS)
def test_the_order_has_the_fittings_that_the_lines_meet_in(name):
    layout, wishes = HILLS[name]
    drip = watered(layout, **wishes)
    counted = Counter()
    for v in drip.valves:
        counted += by_hand(v)
    lines, _ = drip_lines(drip, layout)
    for kind in ("tee", "cross", "elbow", "reducer", "flush end", "check valve",
                 "air and vacuum relief"):  # fmt: skip
        mine = [x for x in lines if x.item.split(",")[0] == kind]
        assert sum(x.count for x in mine) == counted[kind], kind
        for x in mine:
            assert x.traced
            assert sum(n for _, n in x.rows) <= x.count


def test_a_lateral_round_a_hole_has_four_elbows_where_the_list_says():
    layout, wishes = HILLS["round it"]
    (v,) = watered(layout, **wishes).valves
    found = elbows(v)
    ((row, side), at) = next((k, x) for k, x in found.items() if len(x) == 4)
    assert row == 2
    mine = (v.punches.lateral == row) & (np.array(v.punches.side) == side)
    assert 0 < at[0] < at[-1] < float(v.punches.distance[mine].max())
    assert at == sorted(at)


def test_a_network_of_two_sizes_has_a_reducer_for_each_step():
    layout, wishes = HILLS["two sizes"]
    drip = watered(layout, **wishes)
    sizes = {int(s) for v in drip.valves for s, p in zip(v.size, v.part, strict=True)
             if p in ("header", "lateral")}  # fmt: skip
    assert len(sizes) > 1
    assert any(f.item.startswith("reducer") for v in drip.valves for f in fittings_of(v))


def test_each_valve_more_takes_a_tee_at_the_tap():
    drip = water_plants(hill(8, 8), None, SupplyText(flow="0.9 L/min"), DripText(), (), (), 0.1)
    assert len(drip.valves) > 1
    counts = {p.item: p.count for p in drip.parts}
    assert counts["tee at the tap"] == len(drip.valves) - 1
