"""What the clips carry, and which rows need anchors of their own."""

import itertools
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from grids import grid, hangs

from hillwright.errors import OutOfRange
from hillwright.stability.clipload import clip_loads, rows_to_anchor

GRID = st.tuples(
    st.integers(1, 6).flatmap(
        lambda r: st.integers(1, 6).flatmap(
            lambda c: st.lists(
                st.lists(st.integers(0, 3), min_size=c, max_size=c), min_size=r, max_size=r
            )
        )
    ),
    st.booleans(),
)


def cells(drawn):
    """Cells that hang, of a drawn grid with holes; none where a 0 was drawn."""
    holes, half = drawn
    there = np.array(holes) > 0
    there[0] = True
    there = hangs(there, half)
    # numbers run on over a hole, as the layout gives them: a clip must then be missing there
    return there, half


@given(drawn=GRID, seed=st.integers(0, 99))
def test_the_anchors_hold_the_sum_of_all_pulls(drawn, seed):
    there, half = cells(drawn)
    row, number, clips, _ = grid(there, half)
    pull = np.random.default_rng(seed).uniform(0, 1000, len(row))
    found = clip_loads(row, number, clips, row == 1, pull)
    assert found.anchor.sum() == pytest.approx(pull.sum())
    assert (found.anchor[row > 1] == 0).all()
    assert (found.pair >= 0).all()


@given(drawn=GRID, seed=st.integers(0, 99))
def test_every_cell_is_in_balance(drawn, seed):
    there, half = cells(drawn)
    row, number, clips, _ = grid(there, half)
    pull = np.random.default_rng(seed).uniform(0, 1000, len(row))
    found = clip_loads(row, number, clips, row == 1, pull)
    # over a whole row the forces along it cancel: what comes from below and the row's own pull
    # is what goes up
    rise = row[clips[:, 0]] != row[clips[:, 1]]
    for r in range(1, row.max() + 1):
        up = found.pair[rise & (row[clips].max(axis=1) == r)].sum()
        down = found.pair[rise & (row[clips].min(axis=1) == r)].sum()
        held = found.anchor[row == r].sum()
        assert up + held == pytest.approx(down + pull[row == r].sum())


@given(drawn=GRID, seed=st.integers(0, 99))
def test_mirrored_cells_carry_mirrored_loads(drawn, seed):
    there, half = cells(drawn)
    if half:  # a half-offset grid has no mirror image in its own columns
        half = False
        there = hangs(there)
    row, number, clips, _ = grid(there, half)
    pull = np.random.default_rng(seed).uniform(0, 1000, there.shape)
    one = clip_loads(row, number, clips, row == 1, pull[there])
    flipped = there[:, ::-1]
    row2, number2, clips2, _ = grid(flipped, half)
    two = clip_loads(row2, number2, clips2, row2 == 1, pull[:, ::-1][flipped])
    a, b = np.zeros(there.shape), np.zeros(there.shape)
    a[there], b[flipped] = one.carried, two.carried
    np.testing.assert_allclose(a, b[:, ::-1], atol=1e-9)
    assert sorted(one.pair) == pytest.approx(sorted(two.pair), abs=1e-9)


def test_a_single_column_adds_up_row_by_row():
    row, number, clips, _ = grid(np.ones((4, 1)))
    found = clip_loads(row, number, clips, row == 1, [1.0, 2.0, 3.0, 4.0])
    assert found.carried.tolist() == [10, 9, 7, 4]
    assert found.anchor.tolist() == [10, 0, 0, 0]
    assert found.pair.tolist() == [9, 7, 4]


def test_half_offset_cells_share_between_the_two_above():
    row, number, clips, _ = grid([[1, 1], [1, 0]], half_offset=True)
    found = clip_loads(row, number, clips, row == 1, [0.0, 0.0, 8.0])
    assert found.anchor.tolist() == [4, 4, 0]


def test_a_cell_with_nothing_above_hangs_between_its_neighbours_like_a_beam():
    # two of the four cells of row 2 have nothing above: the nearer held cell takes two thirds
    row, number = np.array([1, 1, 2, 2, 2, 2]), np.array([1, 2, 1, 2, 3, 4])
    clips = np.array([(0, 2), (1, 5), (2, 3), (3, 4), (4, 5)])
    found = clip_loads(row, number, clips, row == 1, [0, 0, 0, 3.0, 0, 0])
    assert found.anchor.tolist() == pytest.approx([2, 1, 0, 0, 0, 0])
    assert found.pair.tolist() == pytest.approx([2, 1, 2, 1, 1])
    both = clip_loads(row, number, clips, row == 1, [0, 0, 0, 3.0, 3.0, 0])
    assert both.pair[3] == pytest.approx(0)  # the two balance each other


def test_an_anchored_cell_hands_nothing_on():
    row, number, clips, _ = grid(np.ones((3, 1)))
    found = clip_loads(row, number, clips, np.array([True, True, False]), [1.0, 1.0, 1.0])
    assert found.anchor.tolist() == [1, 2, 0]
    assert found.pair.tolist() == [0, 1]


def test_several_states_at_once_are_each_as_alone():
    row, number, clips, _ = grid(np.ones((4, 3)))
    pulls = np.random.default_rng(1).uniform(0, 9, (5, 12))
    found = clip_loads(row, number, clips, row == 1, pulls)
    for k in range(5):
        alone = clip_loads(row, number, clips, row == 1, pulls[k])
        np.testing.assert_allclose(found.pair[k], alone.pair)
        np.testing.assert_allclose(found.anchor[k], alone.anchor)


def test_the_order_of_cells_and_of_a_pair_does_not_matter():
    row, number, clips, _ = grid(np.ones((4, 3)))
    pull = np.arange(12.0)
    straight = clip_loads(row, number, clips, row == 1, pull)
    turn = np.random.default_rng(2).permutation(12)
    back = np.argsort(turn)
    turned = clip_loads(row[turn], number[turn], back[clips[:, ::-1]], row[turn] == 1, pull[turn])
    np.testing.assert_allclose(turned.anchor, straight.anchor[turn])
    np.testing.assert_allclose(turned.pair, straight.pair)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"pull": [1, 1, -1, 1]}, "pull, cell 3: is no pull"),
        ({"pull": [1, np.nan, 1, 1]}, "pull, cell 2: is no pull"),
        ({"pull": [1, 1, 1]}, "give each the same number of cells"),
        ({"clips": [[0, 4]]}, "name a cell that is not there"),
        ({"clips": [[0, 3]], "row": [1, 1, 2, 3]}, "are not neighbours"),
        ({"clips": [[0, 1]]}, "row 2, cell 1: hangs from nothing"),
        ({"number": [1, 1, 1, 2]}, "same row and number"),
    ],
)
def test_each_wrong_layout_has_its_own_message(change, says):
    row, number, clips, _ = grid(np.ones((2, 2)))
    given = {"row": row, "number": number, "clips": clips, "pull": np.ones(4)} | change
    with pytest.raises(OutOfRange, match=says):
        clip_loads(anchored=np.asarray(given["row"]) == 1, **given)


def fewest(pull, clip, anchor):
    """Fewest rows of one column to anchor besides row 1, by trying every choice."""
    n = len(pull)
    for k in range(n):
        for rows in itertools.combinations(range(1, n), k):
            starts = [0, *rows, n]
            parts = [pull[a:b] for a, b in itertools.pairwise(starts)]
            if all(sum(p) <= anchor and sum(p[1:]) <= clip for p in parts):
                return k
    return None


@given(
    pull=st.lists(st.integers(0, 9), min_size=1, max_size=9),
    clip=st.integers(1, 30),
    anchor=st.integers(9, 40),
)
def test_no_choice_of_rows_for_one_column_is_smaller(pull, clip, anchor):
    row, number, clips, _ = grid(np.ones((len(pull), 1)))
    force = np.array(pull, float)
    found = rows_to_anchor(row, number, clips, row == 1, force, clip, anchor)
    assert len(found) == fewest(pull, clip, anchor)
    after = clip_loads(row, number, clips, (row == 1) | np.isin(row, found), force)
    assert after.pair.max(initial=0) <= clip
    assert after.anchor.max() <= anchor


@given(drawn=GRID, seed=st.integers(0, 99), clip=st.floats(1000, 9000))
def test_with_the_rows_that_it_names_no_clip_carries_more_than_it_may(drawn, seed, clip):
    there, half = cells(drawn)
    row, number, clips, _ = grid(there, half)
    pull = np.random.default_rng(seed).uniform(0, 400, len(row))
    found = rows_to_anchor(row, number, clips, row == 1, pull, clip)
    after = clip_loads(row, number, clips, (row == 1) | np.isin(row, found), pull)
    rise = row[clips[:, 0]] != row[clips[:, 1]]
    assert after.pair[rise].max(initial=0) <= clip
    # between cells of a row that is not anchored as well; in an anchored one none is loaded
    assert after.pair.max(initial=0) <= clip


def test_strong_clips_need_no_further_row():
    row, number, clips, _ = grid(np.ones((20, 5)))
    assert rows_to_anchor(row, number, clips, row == 1, np.ones(100), 100.0).size == 0


def test_a_cell_too_heavy_for_its_own_anchors_is_named():
    row, number, clips, _ = grid(np.ones((2, 2)))
    with pytest.raises(OutOfRange, match="row 2, cell 1: pulls harder"):
        rows_to_anchor(row, number, clips, row == 1, np.array([1, 1, 9.0, 1]), 5.0, 8.0)


def test_a_layout_of_the_plan_is_carried_whole():
    """600 cells in 40 rows, in less time than a person notices: once for each of 41 states."""
    row, number, clips, _ = grid(np.ones((40, 15)))
    pulls = np.ones((41, 600))
    found = clip_loads(row, number, clips, row == 1, pulls)
    assert found.anchor.sum(axis=1).tolist() == pytest.approx([600] * 41)
