"""Paths: connected, in reach, never worse for more looking; bounds hold against brute force."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plantedhill import layout

from hillwright.planting.anneal import anneal
from hillwright.planting.bound import PathBound
from hillwright.planting.field import make_field
from hillwright.planting.legs import LEGS, TINY, Legs
from hillwright.planting.path import (
    connected,
    grow_path,
    holding,
    neighbours,
    path_worth,
    tended,
)

NOWHERE = np.empty((0, 2))


def field(rows, columns, reach=0.5, step=0.4, entry=NOWHERE, **more):
    return make_field(layout(rows, columns, **more), reach, step, entry, 0.2)


def best_by_brute_force(f, price, cost, must, closed):
    """Try every set of cells: independent of how paths are searched."""
    best = -np.inf
    for size in range(f.count + 1):
        for cells in itertools.combinations(range(f.count), size):
            path = np.zeros(f.count, bool)
            path[list(cells)] = True
            if (must & ~path).any() or (closed & path).any():
                continue
            if connected(f, path).sum() != size:
                continue
            best = max(best, path_worth(f, path, price, cost))
    return best


def test_cells_beside_and_below_are_neighbours_and_an_arm_reaches_round_a_cell():
    f = field(3, 4)
    assert len(f.steps) == 3 * 3 + 2 * 4
    assert f.left.tolist() == [1, 2, 3, -1, 5, 6, 7, -1, 9, 10, 11, -1]
    assert f.below.tolist() == [4, 5, 6, 7, 8, 9, 10, 11, -1, -1, -1, -1]
    # 0.5 m from its edge: one cell aside (0.3 m to its middle), one up or down (0.225 m)
    assert sorted(f.tended_from(5)) == [0, 1, 2, 4, 5, 6, 8, 9, 10]
    assert f.roots.tolist() == [8, 9, 10, 11]
    assert f.edge.sum() == 10
    assert f.name(5) == "R2-2"


def test_a_step_that_is_too_high_is_not_walked():
    # rows of 0.45 m at 30 degrees: 0.225 m from one to the next
    assert len(field(3, 4, step=0.23).steps) == 17
    assert len(field(3, 4, step=0.22).steps) == 9


def test_a_gap_in_a_row_parts_it():
    f = field(2, 5, out={(0, 2)})
    assert f.stretch.tolist() == [0, 0, 1, 1, 2, 2, 2, 2, 2]


def test_one_comes_in_at_the_cell_nearest_to_the_entry():
    f = field(3, 4, entry=np.array([[2.3, -1.0]]))
    assert f.roots.tolist() == [11]


@settings(max_examples=12)
@given(st.integers(0, 10_000))
def test_the_search_finds_a_connected_path_and_the_best_there_is_where_all_can_be_tried(seed):
    rng = np.random.default_rng(seed)
    f = field(3, 4, entry=np.array([[0.3, 0.0]]))
    price = rng.uniform(0.2, 2.0, f.count)
    must = np.zeros(f.count, bool)
    closed = np.zeros(f.count, bool)
    closed[rng.integers(0, 8)] = True
    best = best_by_brute_force(f, price, 0.4, must, closed)
    start = grow_path(f, price, 0.4, must, closed)
    assert connected(f, start).sum() == start.sum()
    assert not (start & closed).any()
    found = anneal(f, start, price, 0.4, must, closed, 4000, 1)
    assert connected(f, found).sum() == found.sum()
    assert path_worth(f, found, price, 0.4) == pytest.approx(best)


def test_the_same_seed_gives_the_same_path_and_more_moves_never_a_worse_one():
    f = field(9, 10)
    price, no = np.ones(f.count), np.zeros(f.count, bool)
    start = grow_path(f, price, 0.5, no, no)
    one, two = (anneal(f, start, price, 0.5, no, no, 5000, 7) for _ in range(2))
    assert (one == two).all()
    assert path_worth(f, one, price, 0.5) >= path_worth(f, start, price, 0.5)


def test_cells_that_must_be_walked_are_and_what_is_closed_is_not():
    f = field(6, 8)
    must, closed = np.zeros(f.count, bool), np.zeros(f.count, bool)
    must[3], closed[11] = True, True
    path = grow_path(f, np.ones(f.count), 0.5, must, closed)
    found = anneal(f, path, np.ones(f.count), 0.5, must, closed, 3000, 3)
    for each in (path, found):
        assert each[3]
        assert not each[11]
        assert connected(f, each).all() == each.all()
        assert tended(f, each)[each].all()


@settings(max_examples=10)
@given(st.integers(0, 10_000), st.sampled_from([0.5, 0.762]), st.booleans())
def test_the_bound_of_a_path_holds_for_every_path_there_is(seed, reach, entry):
    f = field(3, 4, reach=reach, entry=np.array([[0.3, 0.0]]) if entry else NOWHERE)
    rng = np.random.default_rng(seed)
    price = rng.uniform(0.0, 2.0, f.count)
    no, closed = np.zeros(f.count, bool), np.zeros(f.count, bool)
    closed[rng.integers(0, 8)] = True
    must = no if seed % 2 else np.arange(f.count) == int(rng.integers(8, 12))
    must &= ~closed
    # a cell that is kept open is neither walked nor planted
    best = best_by_brute_force(f, np.where(closed, 0.0, price), 0.4, must, closed)
    start = grow_path(f, np.where(closed, 0.0, price), 0.4, must, closed)
    bound = PathBound(f, price, 0.4, must, closed, start)
    before = bound.bound
    while bound.cut():
        assert bound.bound <= before + 1e-9
    if np.isfinite(best):
        assert best <= bound.bound + 1e-6


def best_leg_looked_for_anew(f, path, price, cost, closed):
    """Grow legs outwards from the whole path, level by level, with nothing kept from before."""
    near = neighbours(f)
    covered = tended(f, path)
    ends = set(f.roots.tolist()) | {int(j) for i in np.flatnonzero(path) for j in near[i]}
    done = path | closed
    level = {i: [i] for i in sorted(ends) if not done[i]}
    best, best_rate, gains = None, TINY, {}
    for length in range(1, LEGS + 1):
        done[list(level)] = True
        for i, leg in level.items():
            new = {int(j) for c in leg for j in f.tended_from(c) if not covered[j]}
            gains[i] = round(sum(price[j] for j in new) - sum(cost + price[c] for c in leg), 9)
        for i in sorted(level):
            if gains[i] / length > best_rate + TINY:
                best, best_rate = level[i], gains[i] / length
        onward = {}
        for i in sorted(level, key=lambda i: (-gains[i], i)):
            for j in near[i]:
                if not done[j]:
                    onward.setdefault(int(j), [*level[i], int(j)])
        level = onward
    return best


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.booleans(), st.booleans())
def test_legs_that_are_kept_up_are_those_of_a_search_from_nothing(seed, entry, alike):
    rng = np.random.default_rng(seed)
    at = np.array([[rng.uniform(0, 6), 0.0]]) if entry else NOWHERE
    f = field(6, 9, reach=0.762, entry=at, bond=("stacked", "half-offset")[seed % 2])
    price = np.ones(f.count) if alike else rng.uniform(0.0, 2.0, f.count)
    closed = rng.random(f.count) < 0.1
    path = np.zeros(f.count, bool)
    legs = Legs(f, path, price, 0.4, closed)
    while (leg := legs.best()) is not None:
        assert leg.tolist() == best_leg_looked_for_anew(f, path, price, 0.4, closed)
        path[leg] = True
        legs.take(leg)
    assert best_leg_looked_for_anew(f, path, price, 0.4, closed) is None


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.booleans())
def test_the_cells_that_hold_a_path_are_those_without_which_it_falls_apart(seed, entry):
    rng = np.random.default_rng(seed)
    f = field(4, 6, entry=np.array([[0.3, 0.0]]) if entry else NOWHERE)
    path = connected(f, rng.random(f.count) < 0.7)
    held = holding([a.tolist() for a in neighbours(f)], path, f.roots)
    for i in np.flatnonzero(path):
        without = path.copy()
        without[i] = False
        assert held[i] == bool((connected(f, without) != without).any())
    assert not held[~path].any()


def test_every_cell_holds_a_path_of_which_some_cannot_be_walked_to():
    f = field(3, 4, entry=np.array([[0.3, 0.0]]))
    path = np.zeros(f.count, bool)
    path[[8, 9, 3]] = True
    held = holding([a.tolist() for a in neighbours(f)], path, f.roots)
    assert np.flatnonzero(held).tolist() == [3, 8, 9]
