import math

import numpy as np
import pytest
from hills import plane
from hypothesis import given
from hypothesis import strategies as st
from laid import RUN, WIDTH, lay

from hillwright.estimate.takeoff import SIDES, edges, take_off

SLOPE = math.radians(30)
FALL = plane(0.0, math.tan(SLOPE))

masks = st.integers(1, 6).flatmap(
    lambda columns: st.lists(
        st.lists(st.booleans(), min_size=columns, max_size=columns), min_size=1, max_size=6
    )
)


def counted(layout, edge_pieces=True):
    return {line.item: line for line in take_off(layout, edge_pieces).lines}


def laid(mask, half_offset=False, **more):
    return lay(np.asarray(mask, bool), FALL, SLOPE, half_offset, **more)


def test_a_block_has_as_many_pieces_as_its_rim_has_edges():
    found = counted(laid(np.ones((3, 5))))
    assert found["planting cell"].count == 15
    assert found["clip"].count == 2 * (3 * 4 + 2 * 5)
    assert [found[f"edge piece, {side}"].count for side in SIDES] == [5, 3, 5, 3]


def test_a_half_offset_row_leaves_half_edges_open_at_its_steps():
    found = counted(laid(np.ones((2, 2)), half_offset=True))
    assert found["clip"].count == 2 * (2 + 3)
    # above: two cells with both halves, and half a cell of the lower row that sticks out
    assert [found[f"edge piece, {side}"].count for side in SIDES] == [5, 2, 5, 2]


@given(mask=masks)
def test_every_edge_of_a_stacked_cell_is_clipped_to_another_or_gets_a_piece(mask):
    layout = laid(mask)
    found = counted(layout)
    outer = sum(found[f"edge piece, {side}"].count for side in SIDES)
    assert 4 * len(layout.row) == 2 * len(layout.clips) + outer
    m = np.pad(np.asarray(mask, bool), 1)
    rim = [m & ~np.roll(m, *move) for move in ((1, 0), (-1, 1), (-1, 0), (1, 1))]
    got = [found[f"edge piece, {side}"].count for side in SIDES]
    assert got == [int(r.sum()) for r in rim]


@given(mask=masks)
def test_every_half_of_a_half_offset_wall_is_clipped_or_gets_a_piece(mask):
    layout = laid(mask, half_offset=True)
    found = counted(layout)
    outer = sum(found[f"edge piece, {side}"].count for side in SIDES)
    assert 6 * len(layout.row) == 2 * len(layout.clips) + outer


@given(mask=masks, half=st.booleans(), seed=st.integers(0, 999))
def test_every_cell_is_counted_once_as_whole_or_as_trimmed(mask, half, seed):
    trimmed = np.random.default_rng(seed).random(np.shape(mask)) < 0.3
    layout = laid(mask, half, trimmed=trimmed)
    found = counted(layout)
    whole = found["planting cell"]
    cut = found.get("planting cell to be trimmed")
    named = [*whole.cells, *(cut.cells if cut else ())]
    assert len(whole.cells) == whole.count
    assert len(set(named)) == len(named) == len(layout.row)
    every = set(zip(layout.row.tolist(), layout.number.tolist(), strict=True))
    assert set(named) == every
    for line in found.values():
        assert set(line.cells) <= every


@given(mask=masks)
def test_clips_written_either_way_round_count_the_same(mask):
    layout = laid(mask)
    one = edges(layout)
    object.__setattr__(layout, "clips", layout.clips[:, ::-1])
    np.testing.assert_array_equal(edges(layout).neighbours, one.neighbours)


def test_open_edges_have_their_lengths_on_the_slope():
    found = {w.figure: w for w in take_off(laid(np.ones((3, 5))), True).workings}
    assert found["takeoff.edges.upper.length"].result.value == pytest.approx(5 * WIDTH)
    assert found["takeoff.edges.left.length"].result.value == pytest.approx(3 * RUN)
    half = {w.figure: w for w in take_off(laid(np.ones((2, 2)), True), True).workings}
    assert half["takeoff.edges.upper.length"].result.value == pytest.approx(2.5 * WIDTH)


def test_the_counts_can_be_asked_why():
    takeoff = take_off(laid(np.ones((3, 5))), True)
    found = {w.figure: w for w in takeoff.workings}
    assert found["takeoff.cells"].result.value == 15
    clips = found["takeoff.clips"]
    assert math.prod(n.value for n in clips.given) == clips.result.value == 44
    pieces = found["takeoff.edges"]
    assert sum(n.value for n in pieces.given) == pieces.result.value == 16


def test_without_edge_pieces_none_are_ordered():
    assert list(counted(laid(np.ones((2, 2))), False)) == ["planting cell", "clip"]


def test_a_hillside_without_a_cell_orders_nothing():
    takeoff = take_off(laid(np.zeros((2, 2))), True)
    assert {line.count for line in takeoff.lines} == {0}
