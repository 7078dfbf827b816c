"""Laterals round what is shut."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression
from slopes import RUN, WIDTH, hill

from hillwright.irrigation.asked import assumed_needs, supply_of, water_plants, wishes_of
from hillwright.irrigation.build import _apart, _rising
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.parts import tubing
from hillwright.irrigation.rounds import Beside, passed
from hillwright.irrigation.routes import REACH
from hillwright.irrigation.stage import irrigate
from hillwright.irrigation.valve import field_of
from hillwright.job.drip import DripText, SupplyText

STEEP = 0.6


def watered(layout, **wishes):
    needs = assumed_needs(layout)
    supply = supply_of(SupplyText(), None, layout, needs)
    return irrigate(layout, needs, supply, wishes_of(DripText(**wishes), (), (), 0.1))


def holed(rows, columns, *holes):
    mask = np.ones((rows, columns), bool)
    for r, c in holes:
        mask[r, c] = False
    return mask


def inside(valve, mask):
    """Find places of pipes that lie in a hole of the field."""
    found = []
    parent = valve.network.parent
    for k in range(1, len(parent)):
        if valve.part[k] == "small" or valve.part[parent[k]] == "tap":
            continue
        for share in np.linspace(0, 1, 41):
            x, y = (1 - share) * valve.at[parent[k], :2] + share * valve.at[k, :2]
            column, row = x / WIDTH, -y / (RUN / np.hypot(1, STEEP))
            r, c = int(np.floor(row)), int(np.floor(column))
            if not (0 <= r < mask.shape[0] and 0 <= c < mask.shape[1]) or mask[r, c]:
                continue
            if min(row - r, r + 1 - row, column - c, c + 1 - column) > 0.03:
                found.append((valve.part[k], int(valve.row[k]), round(column, 2), round(row, 2)))
    return found


@pytest.mark.parametrize(
    "holes",
    [
        [(slice(2, 4), slice(4, 6))],
        [(slice(0, 3), slice(5, 8))],
        [(slice(4, 7), slice(2, 5)), (slice(1, 3), slice(7, 9))],
        [(slice(3, 4), slice(3, 4)), (slice(3, 4), slice(6, 8))],
    ],
)
@pytest.mark.parametrize("tube", ["15 ft", "0.6 m"])
def test_no_header_and_no_lateral_lies_in_a_hole_of_the_field(holes, tube):
    mask = holed(7, 12, *holes)
    drip = watered(hill(7, 12, mask=mask), longest_tube=tube)
    assert drip.valves
    for v in drip.valves:
        assert not inside(v, mask)
        assert v.cost >= v.bound - 1e-9
        assert sorted(set(v.punches.cell.tolist())) == sorted(v.plants.tolist())


def test_a_lateral_round_a_hole_is_measured_round_it():
    # one hole of two cells in the middle row; short tubing gives every row its lateral
    mask = holed(3, 10, (slice(1, 2), slice(4, 6)))
    (v,) = watered(hill(3, 10, mask=mask), longest_tube="0.6 m").valves
    p = v.punches
    far = dict.fromkeys(v.carriers, 0.0)
    for row, side in set(zip(p.lateral.tolist(), p.side, strict=True)):
        mine = (p.lateral == row) & (np.array(p.side) == side)
        far[row] += float(p.distance[mine].max())
    # up to the next row and down again
    assert far[2] == pytest.approx(far[1] + 2 * RUN, abs=0.3 * WIDTH)


def test_every_distance_is_the_way_walked_and_no_straight_line_is_longer():
    mask = holed(7, 12, (slice(2, 4), slice(4, 6)))
    for v in watered(hill(7, 12, mask=mask)).valves:
        for k, end in enumerate(v.punches.node.tolist()):
            node, walked = int(v.network.parent[end]), 0.0
            hole = v.at[node]
            while v.part[node] == "lateral":
                walked += float(np.linalg.norm(v.at[node] - v.at[v.network.parent[node]]))
                node = int(v.network.parent[node])
            assert v.punches.distance[k] == pytest.approx(walked, abs=1e-2)
            stake = v.at[end]
            assert float(v.punches.tube[k]) > 0.9 * float(np.linalg.norm(stake - hole)) - 0.1


def test_a_path_from_top_to_bottom_is_crossed_and_told():
    mask = holed(4, 10, (slice(0, 4), slice(4, 6)))
    drip = watered(hill(4, 10, mask=mask))
    told = [t for v in drip.valves for t in v.trouble]
    assert ["straight across" in what for _, what, _ in told] == [True] * len(drip.valves)


def test_holes_are_five_centimetres_apart_and_step_aside_both_ways():
    way = np.repeat([0.3, 0.9, 1.5], 6)
    hole = _apart(way)
    assert (np.diff(hole) >= 0.05 - 1e-12).all()
    assert hole[0] >= 0.05 - 1e-12
    # six holes about each plant, none more than two and a half steps from it
    assert np.abs(hole - way).max() == pytest.approx(0.125)


@given(seed=st.integers(0, 2**32 - 1))
@settings(max_examples=12, deadline=None)
def test_whatever_is_shut_each_plant_is_reached_and_nothing_beats_the_bound(seed):
    rng = np.random.default_rng(seed)
    mask = np.ones((5, 9), bool)
    for _ in range(int(rng.integers(1, 4))):
        r, c = int(rng.integers(0, 5)), int(rng.integers(1, 7))
        mask[r : r + int(rng.integers(1, 3)), c : c + int(rng.integers(1, 3))] = False
    drip = watered(hill(5, 9, mask=mask))
    assert not drip.refused
    for v in drip.valves:
        told = any("straight across" in what for _, what, _ in v.trouble)
        assert told or not inside(v, mask)
        assert v.cost >= v.bound - 1e-9
        assert set(v.punches.cell.tolist()) == set(v.plants.tolist())
        assert float(v.punches.tube.max()) <= 15 * 0.3048 + 1e-9


def _in_the_way(left, right, layout):
    """Give a ring under the hill, across what leads from a tap at its middle."""
    foot = float(layout.corners[:, :, 1].min())
    return np.array([[left, foot - 2], [right, foot - 2], [right, foot - 1], [left, foot - 1]])


def _from_a_tap_below(layout, ring):
    foot = float(layout.corners[:, :, 1].min())
    tap = np.array([3.0, foot - 3.0])
    return water_plants(layout, tap, SupplyText(), DripText(), (), (), 0.1, shut=(ring,))


def test_the_header_leaves_the_tap_clear_of_what_to_keep_off():
    layout = hill(4, 10)
    ring = _in_the_way(2.0, 3.2, layout)
    shut = shapely.Polygon(ring)
    free = _from_a_tap_below(layout, np.add(ring, (50.0, 0.0)))
    drip = _from_a_tap_below(layout, ring)

    def across(valve):
        first = valve.part.index("header")
        line = shapely.LineString(valve.at[[int(valve.network.parent[first]), first], :2])
        return float(shapely.intersection(shut, line).length)

    assert across(free.valves[0]) > 0.5  # straight up, were nothing there
    for v in drip.valves:
        assert across(v) < 0.05
        assert v.trouble == ()
        assert v.cost >= v.bound - 1e-9


def test_a_header_that_must_cross_what_to_keep_off_says_how_much():
    layout = hill(4, 10)
    drip = _from_a_tap_below(layout, _in_the_way(-50.0, 50.0, layout))
    for v in drip.valves:
        ((where, what, right),) = v.trouble
        assert where == "exclusion"
        # a strip of 1 m, crossed straight or slantwise
        assert 1.0 <= float(what.split(": ")[1].split(" m")[0]) < 2.5
        assert right.startswith("move the tap")


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(["15 ft", "0.6 m"]))
def test_tubes_added_up_row_by_row_cost_what_each_block_costs_by_itself(seed, tube):
    rng = np.random.default_rng(seed)
    mask = np.ones((7, 12), bool)
    mask[rng.integers(1, 5) :, 4:][:2, : rng.integers(1, 4)] = False
    layout = hill(7, 12, mask=mask)
    rows, cells = Rows.of_layout(layout), np.arange(len(layout.row))
    wishes = wishes_of(DripText(longest_tube=tube), (), (), 0.1)
    sizes = tubing()
    small, line = next(t for t in sizes if t.small), next(t for t in sizes if not t.small)
    given_ = (np.array([0.0, -1.0, 0.0]), wishes, small, line)
    field, _ = field_of(layout, rows, cells, rng.integers(1, 4, len(cells)), *given_)
    tried = 0
    for carrier, holes in enumerate(field.holes):
        for hole in holes:
            beside = Beside(field, hole, carrier, REACH)
            for first in range(max(0, carrier - REACH), carrier + 1):
                for last in range(carrier, min(carrier + REACH, 6) + 1):
                    block = range(first, last + 1)
                    if not all(np.isfinite(field.tube(abs(r - carrier))) for r in block):
                        continue
                    for station in field.stations[[0, -1]]:
                        span = tuple(np.sort(rng.choice(field.station, 2)))
                        cost = passed(field, hole, carrier, block, station, span).cost
                        assert beside.cost(block, station, span) == pytest.approx(cost)
                        tried += 1
    assert tried


# scipy's own, as the reference
@given(st.lists(st.floats(-20, 20), min_size=1, max_size=60))
def test_holes_step_aside_as_the_least_sum_of_squares_says(values):
    expected = isotonic_regression(np.array(values)).x
    assert _rising(np.array(values)) == pytest.approx(expected, abs=1e-9)
