import numpy as np
import pytest
from hillside import laid, without
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.spill import spill_paths

TOE, LEFT, RIGHT = range(3)


def paths(corners, row, clips, **more):
    return spill_paths(corners, row, clips, np.full(len(corners), 0.2), **more)


def total(spill):
    n = len(spill.level)
    return np.bincount(spill.source, spill.share, n) + spill.exits.sum(axis=0)


def test_level_rows_spill_to_the_two_cells_below_in_halves():
    spill = paths(*laid(2, 3))
    # row 2 is moved half a cell to the right: cell 1 (middle) stands over cells 3 and 4
    mine = dict(zip(spill.target[spill.source == 1], spill.share[spill.source == 1], strict=True))
    assert mine == pytest.approx({3: 0.5, 4: 0.5}, rel=0.02)
    assert set(spill.target[spill.source == 1]) == {3, 4}  # nothing runs along a level row


def test_a_cross_slope_sends_water_over_the_lower_corner():
    # falls to the left (west): all but the little that the wet side lip passes goes to the left
    spill = paths(*laid(2, 3, cross=0.05))
    shares = np.zeros(6)
    shares[spill.target[spill.source == 1]] = spill.share[spill.source == 1]
    assert shares[3] > 0.85
    assert shares[0] == pytest.approx(0.05 / (0.5 + 0.05), rel=0.25)  # as the fall divides
    assert shares[4] == 0


def test_a_stack_without_offset_spills_straight_down_and_out_at_the_toe():
    spill = paths(*laid(4, 1, offset=False))
    down = [(int(a), int(b)) for a, b in zip(spill.source, spill.target, strict=True)]
    assert down == [(0, 1), (1, 2), (2, 3)]
    assert spill.exits[TOE, 3] > 0.98
    assert spill.order.tolist() == [0, 1, 2, 3]


def test_water_passes_a_hole_to_the_cell_below_it():
    corners, row, clips = without(*laid(3, 3, offset=False), gone=[4])
    spill = paths(corners, row, clips)
    # cell 1 is above the hole, cell 6 (once 7) below it
    onto = spill.share[(spill.source == 1) & (spill.target == 6)].sum()
    assert onto > 0.95
    assert spill.exits[TOE, 1] == 0


def test_water_that_cannot_be_followed_further_leaves():
    corners, row, clips = without(*laid(3, 3, offset=False), gone=[4])
    spill = paths(corners, row, clips, reach=0.1)
    assert spill.exits[TOE, 1] > 0.95


@given(
    slope=st.floats(0.05, 1.2),
    cross=st.floats(-0.6, 0.6),
    wave=st.floats(0, 0.4),
    offset=st.booleans(),
    gone=st.sets(st.integers(0, 29), max_size=5),
)
@settings(deadline=None, max_examples=60)
def test_every_cell_spills_all_it_spills_and_never_in_a_circle(slope, cross, wave, offset, gone):
    grid = laid(5, 6, slope=slope, cross=cross, wave=wave, offset=offset)
    spill = paths(*without(*grid, gone=list(gone)))
    np.testing.assert_allclose(total(spill), 1, rtol=1e-12)
    assert (spill.share > 0).all()
    assert (spill.order[spill.target] > spill.order[spill.source]).all()
    assert (spill.level[spill.target] <= spill.level[spill.source] + 1e-9).all()


@given(cross=st.floats(-0.5, 0.5), wave=st.floats(0, 0.3), dx=st.floats(-50, 50))
@settings(deadline=None, max_examples=30)
def test_paths_are_the_same_elsewhere_and_in_a_mirror(cross, wave, dx):
    corners, row, clips = laid(4, 5, cross=cross, wave=wave)
    here = paths(corners, row, clips)
    there = paths(corners + np.array([dx, -dx, 12.0]), row, clips)
    mirror = paths(corners[:, [1, 0, 3, 2]] * (-1, 1, 1), row, clips)
    n = len(corners)
    dense = [np.zeros((n, n)) for _ in range(3)]
    for spill, shares in zip((here, there, mirror), dense, strict=True):
        shares[spill.source, spill.target] = spill.share
    np.testing.assert_allclose(dense[1], dense[0], atol=1e-6)
    np.testing.assert_allclose(dense[2], dense[0], atol=1e-6)
    np.testing.assert_allclose(mirror.exits[[TOE, RIGHT, LEFT]], here.exits, atol=1e-6)


def test_a_hollow_fills_to_its_lowest_pass_and_then_runs_on():
    corners, row, clips = laid(3, 3, offset=False)
    corners[4, :, 2] -= 1.0  # the middle cell stands in a pit: its own lip is lowest
    alone = paths(corners, row, clips)
    assert alone.level[4] == pytest.approx(alone.level[7])  # the way down lies beyond cell 7
    assert alone.share[(alone.source == 4) & (alone.target == 7)] == pytest.approx(1.0)
    np.testing.assert_allclose(total(alone), 1)


def test_clips_to_cells_that_are_not_there_are_refused():
    corners, row, clips = laid(2, 2)
    with pytest.raises(OutOfRange, match="not there"):
        paths(corners, row, np.array([[0, 9]]))
    with pytest.raises(OutOfRange, match="row"):
        paths(corners, row[:2], clips)
