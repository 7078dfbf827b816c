"""Pipe sizes: the convex walk is the linear program, and one size to a link costs no less."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from hillwright.errors import OutOfRange
from hillwright.irrigation.sizing import Choice, one_size, split_sizes
from hillwright.irrigation.splitpipe import split_pipe


@st.composite
def choices(draw, most=7):
    n = draw(st.integers(1, most))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    parent = np.array([-1, *(int(rng.integers(-1 if i % 5 == 0 else 0, i)) for i in range(1, n))])
    k = rng.integers(1, 5, n)
    loss = tuple(np.round(rng.uniform(0.05, 3, j), 3) for j in k)
    cost = tuple(rng.uniform(1, 10, j) for j in k)
    return Choice(parent, loss, cost, rng.uniform(0, 5, n))


def by_program(choice, source_head):
    """The split-pipe linear program with node heads, by HiGHS."""
    n = len(choice.parent)
    k = [len(c) for c in choice.cost]
    start = np.concatenate([[0], np.cumsum(k)])
    size = start[-1] + n
    equal, right = np.zeros((2 * n, size)), np.zeros(2 * n)
    for i in range(n):
        own = slice(start[i], start[i + 1])
        equal[i, own], right[i] = 1.0, 1.0
        equal[n + i, own] = choice.loss[i]
        equal[n + i, start[-1] + i] = 1.0
        if choice.parent[i] < 0:
            right[n + i] = source_head
        else:
            equal[n + i, start[-1] + choice.parent[i]] = -1.0
    bounds = [(0, None)] * int(start[-1]) + [(h, None) for h in choice.needed]
    cost = np.concatenate([*choice.cost, np.zeros(n)])
    return linprog(cost, A_eq=equal, b_eq=right, bounds=bounds, method="highs")


@settings(max_examples=60, deadline=None)
@given(choice=choices(), head=st.floats(2, 25))
def test_several_sizes_to_a_link_cost_what_the_linear_program_says(choice, head):
    theirs = by_program(choice, head)
    if theirs.status == 2:
        with pytest.raises(OutOfRange, match="booster"):
            split_sizes(choice, head)
        return
    mine = split_sizes(choice, head)
    assert mine.cost == pytest.approx(theirs.fun, rel=1e-7)
    for i, share in enumerate(mine.share):
        assert share.sum() == pytest.approx(1)
        assert (share >= -1e-12).all()
        assert (share > 1e-9).sum() <= 2
        before = head if choice.parent[i] < 0 else mine.head[choice.parent[i]]
        assert before - mine.head[i] == pytest.approx(share @ choice.loss[i], abs=1e-9)
    assert (mine.head >= choice.needed - 1e-9).all()


@settings(max_examples=40, deadline=None)
@given(choice=choices(5), head=st.floats(2, 25))
def test_one_size_to_a_link_is_the_best_of_all_combinations(choice, head):
    best = np.inf
    for sizes in itertools.product(*(range(len(c)) for c in choice.cost)):
        heads = np.empty(len(sizes))
        for i, s in enumerate(sizes):
            p = choice.parent[i]
            # heads are kept to a millimetre, rounded to the safe side
            heads[i] = (head if p < 0 else heads[p]) - choice.loss[i][s]
        if (heads >= choice.needed + 0.001 * len(sizes)).all():
            best = min(best, sum(c[s] for c, s in zip(choice.cost, sizes, strict=True)))
    try:
        found = one_size(choice, head)
    except OutOfRange:
        assert best == np.inf
        return
    assert found.cost <= best + 1e-9
    assert (found.head >= choice.needed - 1e-9).all()
    assert split_sizes(choice, head).cost <= found.cost + 1e-9


@settings(max_examples=30, deadline=None)
@given(choice=choices(), head=st.floats(8, 25), more=st.floats(0, 5))
def test_more_head_never_costs_more(choice, head, more):
    try:
        low = split_sizes(choice, head).cost
    except OutOfRange:
        return
    assert split_sizes(choice, head + more).cost <= low + 1e-9


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"max_velocity": 0.01}, "in every size offered"),
        ({"source_head": 0.5}, "booster"),
        ({"price": [1.0]}, "one price a size"),
        ({"parent": np.array([0, 0])}, "parent 0"),
    ],
)
def test_what_cannot_be_sized_is_told_with_the_remedy(change, said):
    given_ = {
        "parent": np.array([-1, 0]),
        "length": [30.0, 20.0],
        "demand": [1e-4, 2e-4],
        "needed_head": [5.0, 6.0],
        "source_head": 12.0,
        "sizes": [0.0136, 0.0208],
        "price": [1.0, 2.0],
    }
    with pytest.raises(OutOfRange, match=said):
        split_pipe(**(given_ | change))
