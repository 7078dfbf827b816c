"""Anchors: how many, which bar, where they stand, and the checks that explain it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.anchorbars import BarGround, PullTest, bar_capacities
from hillwright.stability.anchors import (
    anchor_count,
    anchor_places,
    choose_bars,
    most_per_cell,
)

SAND = BarGround(17e3, np.radians(32), 0.26)
TESTED = PullTest(4000.0, 0.0159, 0.75, wet=True, along_slope=True)
PULLS = st.lists(st.floats(0, 6000), min_size=1, max_size=8).map(np.array)
WIDTH = 0.61


@given(force=st.floats(0, 1e5), width=st.floats(0.1, 100), allowable=st.floats(10, 1e5))
def test_the_count_holds_and_one_fewer_would_not(force, width, allowable):
    found = anchor_count(force, width, allowable)
    assert found.anchors * allowable >= force * width * (1 - 1e-6)
    assert (found.anchors - 1) * allowable < max(force * width, 1e-9) or found.anchors == 1
    assert found.spacing * found.anchors == pytest.approx(width)


def test_seventy_two_exact_anchors_are_not_seventy_three():
    # 7.2 * 20 / 2 is 72.00000000000001 in floats when it is worked out in newtons
    assert anchor_count(7.2e3, 20.0, 2e3).anchors == 72


@given(pull=PULLS)
def test_what_is_chosen_holds_every_cell_and_all_its_checks_pass(pull):
    found = choose_bars(pull, WIDTH, bar_capacities(SAND, test=TESTED, connection=5000.0))
    assert (found.counts * found.allowable >= pull * (1 - 1e-6)).all()
    assert (found.counts >= 1).all()
    assert found.total == found.counts.sum()
    assert found.adequate == all(row.passed for row in found.checks)


@given(pull=PULLS)
def test_no_adequate_bar_costs_less(pull):
    bars = bar_capacities(SAND, test=TESTED)
    found = choose_bars(pull, WIDTH, bars)
    if not found.adequate:
        return
    cost = None
    for k in range(len(bars.bar)):
        count = np.maximum(np.ceil(pull / bars.allowable[k] - 1e-9), 1)
        if WIDTH / count.max() >= bars.spacing[k]:
            effort = count.sum() * bars.effort[k]
            cost = effort if cost is None else min(cost, effort)
    mine = (bars.bar == found.bar) & np.isclose(bars.length, found.length)
    assert found.total * bars.effort[mine][0] == pytest.approx(cost)


def test_by_the_rules_alone_no_bar_holds_a_wet_column_and_the_needed_test_is_told():
    pull = np.array([900.0, 1200.0])
    found = choose_bars(pull, WIDTH, bar_capacities(SAND))
    assert not found.adequate
    failed = [row for row in found.checks if not row.passed]
    assert [row.what for row in failed] == ["anchor spacing"]
    # a test that shows it, of that very bar, is enough
    shown = PullTest(found.test_needed * 1.001, found.diameter, found.length, True, True)
    assert choose_bars(pull, WIDTH, bar_capacities(SAND, test=shown)).adequate


def test_one_check_governs_and_it_is_the_nearest_to_what_is_required():
    found = choose_bars(np.array([1500.0]), WIDTH, bar_capacities(SAND, test=TESTED))
    (worst,) = [row for row in found.checks if row.governing]
    assert worst.factor / worst.required == min(r.factor / r.required for r in found.checks)
    assert all(row.factor == pytest.approx(row.capacity / row.demand) for row in found.checks)
    assert all(row.source for row in found.checks)


def test_a_weak_connection_governs():
    bars = bar_capacities(SAND, test=TESTED, connection=800.0)
    found = choose_bars(np.array([390.0]), WIDTH, bars)
    assert next(row.what for row in found.checks if row.governing) == "anchor, connection"
    assert found.allowable == pytest.approx(400)


@given(pull=st.floats(1, 1e4))
def test_what_one_cell_can_take_is_where_the_choice_gives_up(pull):
    bars = bar_capacities(SAND, test=TESTED)
    most = most_per_cell(WIDTH, bars)
    found = choose_bars(np.array([pull]), WIDTH, bars)
    assert found.adequate == (pull <= most * (1 + 1e-9))


def test_where_all_steel_rusts_away_nothing_is_adequate():
    bars = bar_capacities(SAND, zinc=0.0, life=1100 * 365.25 * 86400)
    found = choose_bars(np.array([100.0]), WIDTH, bars)
    assert not found.adequate


def test_anchors_stand_evenly_along_the_upper_edge():
    corners = np.array(
        [
            [[0, 0, 5], [0.6, 0, 5], [0.6, -0.4, 4.8], [0, -0.4, 4.8]],
            [[0.6, 0, 5], [1.2, 0, 5.3], [1.2, -0.4, 4.8], [0.6, -0.4, 4.8]],
        ]
    )
    found = anchor_places(corners, np.array([1, 2]))
    np.testing.assert_allclose(found, [[0.3, 0, 5], [0.75, 0, 5.075], [1.05, 0, 5.225]])


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: anchor_count(1e3, 0.0, 2e3), "width: is zero"),
        (lambda: anchor_count(1e3, 20.0, [2e3, -1.0]), "allowable, value 2: is negative"),
        (lambda: anchor_count(1e9, 20.0, 2e3), "over a million anchors"),
        (lambda: anchor_count(-1e3, 20.0, 2e3), "force_per_metre: is negative"),
        (lambda: choose_bars(np.array([]), WIDTH, bar_capacities(SAND)), "no anchored cell"),
        (lambda: choose_bars(np.array([-1.0]), WIDTH, bar_capacities(SAND)), "pull: is negative"),
    ],
)
def test_each_wrong_input_has_its_own_message(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
