"""What hangs is what a walk up and sideways from each cell would find."""

from __future__ import annotations

from collections import deque

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from hillwright.errors import OutOfRange
from hillwright.layout.hang import (
    ABOVE_TOP,
    HANGS,
    NO_CELL,
    NOTHING_ABOVE,
    TOO_NARROW,
    Clips,
    all_clips,
    hang,
    reason,
)

GRIDS = hnp.arrays(bool, st.tuples(st.integers(1, 7), st.integers(1, 7)))


def grid(*rows: str):
    return np.array([[c != "." for c in row] for row in rows])


def touching(a, b, half, first_shifted):
    """Whether two cells share an edge, from where they stand (in half cells)."""
    at = [2 * j + (half and (i % 2 == 0) == first_shifted) for i, j in (a, b)]
    apart = abs(at[0] - at[1])
    return apart == 2 if a[0] == b[0] else abs(a[0] - b[0]) == 1 and apart < 2


def walk(inside, half, first_shifted, top, heads):
    """Breadth first from the anchors down and sideways."""
    held = heads.copy()
    held[top] = True
    held[:top] = False
    seen = held & inside
    queue = deque(zip(*np.nonzero(seen), strict=True))
    cells = list(zip(*np.nonzero(inside), strict=True))
    while queue:
        a = queue.popleft()
        for b in cells:
            if not seen[b] and b[0] >= a[0] and touching(a, b, half, first_shifted):
                seen[b] = True
                queue.append(b)
    return seen


@settings(max_examples=60, deadline=None)
@given(inside=GRIDS, half=st.booleans(), shifted=st.booleans(), seed=st.integers(0, 999))
def test_what_hangs_equals_a_walk_from_the_anchors(inside, half, shifted, seed):
    heads = np.random.default_rng(seed).random(inside.shape) < 0.1
    top = seed % len(inside)
    got = hang(inside, half, shifted, heads=heads, top=top)
    np.testing.assert_array_equal(got.mask, walk(inside, half, shifted, top, heads))


@settings(max_examples=60, deadline=None)
@given(inside=GRIDS, more=st.integers(0, 999), half=st.booleans(), narrowest=st.integers(1, 3))
def test_a_further_cell_never_unhangs_another(inside, more, half, narrowest):
    fuller = inside | (np.random.default_rng(more).random(inside.shape) < 0.3)
    for top in range(len(inside)):
        before = hang(inside, half, narrowest=narrowest, top=top).mask
        after = hang(fuller, half, narrowest=narrowest, top=top).mask
        assert not (before & ~inside).any()
        assert not (before & ~after).any()


@settings(max_examples=60, deadline=None)
@given(inside=GRIDS, half=st.booleans(), narrowest=st.integers(1, 3))
def test_row_1_is_the_row_from_which_most_cells_hang(inside, half, narrowest):
    got = hang(inside, half, narrowest=narrowest)
    each = [hang(inside, half, narrowest=narrowest, top=t).count for t in range(len(inside))]
    assert got.count == max(each)
    assert got.top == (each.index(max(each)) if got.count else -1)
    assert (got.why == HANGS)[got.mask].all()
    assert (got.why != HANGS)[~got.mask].all()


def test_a_cell_does_not_hang_from_one_below_it():
    got = hang(grid("xx...", "xx..x", "xxxxx"), False)
    assert got.mask.sum() == 9
    assert got.why[1, 4] == NOTHING_ABOVE


def test_a_lonely_cell_on_top_is_left_out_and_said_why():
    got = hang(grid(".x..", "xxxx", "xxxx"), False, narrowest=2)
    assert (got.top, got.count) == (1, 8)
    assert got.why[0, 1] == ABOVE_TOP
    assert got.why[0, 0] == NO_CELL
    assert "above row 1" in reason(ABOVE_TOP, 2)


def test_a_narrow_neck_lets_nothing_hang_below_it():
    below = hang(grid("xxxx", "xxxx", ".x..", "xxx."), False, narrowest=2)
    assert (below.top, below.count) == (0, 8)
    assert below.why[2, 1] == TOO_NARROW
    assert below.why[3, 0] == NOTHING_ABOVE
    assert reason(TOO_NARROW, 2) == "row narrower than 2 cells"
    assert reason(NOTHING_ABOVE, 2) == "nothing above to hang from"
    above = hang(grid("xx..", ".x..", "xxxx", "xxxx"), False, narrowest=2)
    assert (above.top, above.count) == (2, 8)


def test_a_lone_cell_beside_a_wide_piece_of_its_row_stays():
    assert hang(grid("xxxxx", "xxx.x"), False, narrowest=2).count == 9


def test_anchors_of_a_panel_below_a_seam_hold_it():
    inside = grid("xxx", "...", "xxx", "xxx")
    heads = np.zeros(inside.shape, dtype=bool)
    heads[2] = True
    got = hang(inside, False, heads=heads)
    assert got.count == 9
    assert got.anchored.sum() == 6


def test_a_seam_takes_the_clips_away():
    inside = grid("xx..", "xxxx", "xxxx")
    side, above = all_clips(inside.shape, False)
    side[:, 1] = False
    assert hang(inside, False, clips=Clips(side, above), top=0).count == 6
    assert hang(inside, False, top=0).count == 10
    side, above = all_clips((3, 4), False)
    above[2] = False
    full = np.ones((3, 4), dtype=bool)
    assert hang(full, False, clips=Clips(side, above)).count == 8
    assert (
        hang(full, False, clips=Clips(side, above), heads=grid("....", "....", "...x")).count == 12
    )


@pytest.mark.parametrize("first_shifted", [False, True])
@pytest.mark.parametrize("upper", [0, 1, 2])
def test_each_of_the_two_clips_of_a_half_offset_cell_leads_to_its_own_cell(first_shifted, upper):
    inside = np.zeros((2, 3), dtype=bool)
    inside[0, upper] = inside[1, 1] = True
    # the two above column 1: columns 0 and 1 when they stand further right, else 1 and 2
    left = 0 if first_shifted else 1
    for k in (0, 1):
        side, above = all_clips(inside.shape, True)
        above[1, 1, 1 - k] = False  # only clip k can be set
        got = hang(inside, True, first_shifted, clips=Clips(side, above), top=0)
        assert got.mask[1, 1] == (left + k == upper)


def test_half_offset_cells_hang_from_either_of_two():
    #  x .      row 0
    #   x       row 1 stands half a cell to the right
    assert hang(grid("x.", "x."), True, top=0).count == 2
    assert hang(grid(".x", "x."), True, top=0).count == 2
    assert hang(grid("x..", "..x"), True, top=0).count == 1
    assert hang(grid(".x", "x."), True, first_shifted=True, top=0).count == 1


def test_no_cells_hang_from_nowhere():
    for shape in ((0, 0), (3, 0), (2, 3)):
        got = hang(np.zeros(shape, dtype=bool), True)
        assert (got.count, got.top) == (0, -1)
        assert (got.why == NO_CELL).all()


def test_masks_of_another_shape_are_refused():
    inside = np.ones((3, 4), dtype=bool)
    with pytest.raises(OutOfRange, match="shapes"):
        hang(inside, False, clips=all_clips((3, 4), True))
    with pytest.raises(OutOfRange, match="shapes"):
        hang(inside, False, heads=inside[:2])
    with pytest.raises(OutOfRange, match="narrowest"):
        hang(inside, False, narrowest=0)
    assert isinstance(all_clips((3, 4), False), Clips)
