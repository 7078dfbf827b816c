"""Cutting plans: feasible, enough, never better than their bound, and the least where it shows."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.estimate.cutting import cut, fewest_rolls

pieces = st.lists(
    st.tuples(st.integers(1, 100), st.integers(1, 6)),
    min_size=1,
    max_size=6,
    unique_by=lambda p: p[0],
)


def check(plan, lengths, demand, stock, kerf=0):
    made = np.zeros(len(lengths), int)
    for c in plan.cuts:
        used = sum((lengths[i] + kerf) * n for i, n in c.pieces)
        assert used <= stock[c.roll] + kerf
        for i, n in c.pieces:
            made[i] += n * c.times
    assert made.tolist() == list(demand)
    assert plan.bound <= plan.cost * (1 + 1e-9)


@given(wanted=pieces, kerf=st.integers(0, 3))
def test_every_piece_is_cut_once_from_a_roll_that_it_fits_on(wanted, kerf):
    lengths, demand = zip(*wanted, strict=True)
    check(cut(lengths, demand, (100,), kerf=kerf), lengths, demand, (100,), kerf)


@given(wanted=pieces, prices=st.tuples(st.integers(50, 120), st.integers(100, 260)))
@settings(max_examples=30)
def test_several_lengths_sold_cost_no_more_than_one_of_them_alone(wanted, prices):
    lengths, demand = zip(*wanted, strict=True)
    both = cut(lengths, demand, (100, 220), prices)
    check(both, lengths, demand, (100, 220))
    for k, roll in enumerate((100, 220)):
        alone = cut(lengths, demand, (roll,), (prices[k],))
        assert both.cost <= alone.cost + 1e-9


def least_by_trying(sizes, roll):
    """Give the least number of rolls by putting every piece everywhere that it fits."""
    best = len(sizes)

    def place(i, rooms):
        nonlocal best
        if len(rooms) >= best:
            return
        if i == len(sizes):
            best = len(rooms)
            return
        for k in range(len(rooms)):
            if rooms[k] >= sizes[i]:
                place(i + 1, (*rooms[:k], rooms[k] - sizes[i], *rooms[k + 1 :]))
        place(i + 1, (*rooms, roll - sizes[i]))

    place(0, ())
    return best


@given(sizes=st.lists(st.integers(20, 60), min_size=1, max_size=8))
@settings(max_examples=40)
def test_the_number_of_rolls_is_the_least_that_trying_everything_finds(sizes):
    kinds = sorted(set(sizes), reverse=True)
    found = fewest_rolls(100, kinds, [sizes.count(k) for k in kinds])
    assert found.rolls == found.lower_bound == least_by_trying(sorted(sizes, reverse=True), 100)


def test_the_order_in_which_pieces_are_written_does_not_matter():
    lengths, demand = [45, 36, 31, 14], [9, 61, 39, 21]
    counts = {
        fewest_rolls(100, [lengths[i] for i in p], [demand[i] for i in p]).rolls
        for p in itertools.permutations(range(4))
    }
    assert len(counts) == 1


def test_what_cannot_be_cut_is_refused():
    for lengths, demand, says in (([101], [1], "longest roll"), ([10.5], [1], "not whole"),
                                  ([10, 20], [1], "one count")):  # fmt: skip
        with pytest.raises(OutOfRange, match=says):
            fewest_rolls(100, lengths, demand)


def test_nothing_to_cut_takes_no_roll():
    assert fewest_rolls(100, [30], [0]) == (0, 0)
