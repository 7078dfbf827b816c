"""Soil in a cell against closed forms of boxes and wedges, and what must hold for any cell."""

import math

import numpy as np
import pytest
from boxes import RUN, WIDTH, box
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.fill.cellvolume import between_walls, cell_soil, covering, lip_depth
from hillwright.fill.plane import base_of, over_quads

slopes = st.floats(0.0, 1.2)
lips = st.floats(0.0, 0.4)
shares = st.floats(0.0, 1.0)
cells = st.builds(box, slopes, st.floats(-0.3, 0.3), st.floats(0, 6))


def test_on_level_ground_a_cell_holds_its_floor_times_its_depth():
    found = cell_soil(box(0.0), 0.15, 1.0)
    assert found.volume == pytest.approx(WIDTH * RUN * 0.15)
    assert found.uphill == pytest.approx(0.15)
    assert found.top_slope == pytest.approx(0.0)


@given(slope=slopes, lip=lips)
def test_along_the_slope_a_cell_holds_the_same_however_steep_it_stands(slope, lip):
    found = cell_soil(box(slope), lip, 0.0)
    assert found.volume == pytest.approx(WIDTH * RUN * lip, abs=1e-12)
    assert found.top_slope == pytest.approx(slope)


def test_a_level_top_that_reaches_the_uphill_wall_is_a_prism_less_a_wedge():
    slope, lip = math.radians(10), 0.15
    lost = WIDTH * RUN**2 * math.tan(slope) / 2
    found = cell_soil(box(slope), lip, 1.0)
    assert found.volume == pytest.approx(WIDTH * RUN * lip - lost)
    assert found.covered == pytest.approx(1.0)
    assert found.uphill == pytest.approx(lip - RUN * math.tan(slope))


def test_a_level_top_that_runs_out_on_steep_ground_is_a_wedge_with_a_bare_base_behind():
    slope, lip = math.radians(35), 0.15
    reach = lip / math.tan(slope)
    assert reach < RUN
    found = cell_soil(box(slope), lip, 1.0)
    assert found.volume == pytest.approx(WIDTH * lip * reach / 2)
    assert found.covered == pytest.approx(reach / RUN)
    assert found.uphill == 0.0
    assert found.top_slope == pytest.approx(0.0, abs=1e-12)


@given(cell=cells, lip=lips, turn=st.integers(0, 3), by=shares)
def test_neither_the_first_corner_nor_the_way_round_changes_the_soil(cell, lip, turn, by):
    one = cell_soil(cell, lip, by)
    for other in (np.roll(cell, turn, axis=1), cell[:, ::-1]):
        assert cell_soil(other, lip, by).volume == pytest.approx(one.volume, rel=1e-9, abs=1e-14)


@given(cell=cells, lip=lips, more=lips, by=shares)
def test_a_deeper_lip_never_holds_less_and_a_more_level_top_never_more(cell, lip, more, by):
    base = cell_soil(cell, lip, by).volume
    assert cell_soil(cell, lip + more, by).volume >= base - 1e-12
    assert cell_soil(cell, lip, 1.0).volume <= base + 1e-12 <= cell_soil(cell, lip, 0).volume + 1e-9


@given(cell=cells, lip=lips, by=shares)
def test_the_exact_soil_is_what_many_thin_columns_add_up_to(cell, lip, by):
    base = base_of(cell)
    s = (np.arange(300) + 0.5) / 300
    a, b = np.meshgrid(s, s)
    w = np.stack(((1 - a) * (1 - b), a * (1 - b), a * b, (1 - a) * b))
    u = np.einsum("k,kij->ij", base.uv[0, :, 0], w)
    t = lip - by * math.tan(base.slope[0]) * (u - base.low[0])
    found = cell_soil(cell, lip, by)
    assert found.volume[0] == pytest.approx(np.maximum(t, 0).mean() * base.area[0], abs=2e-5)


@given(cell=cells, lip=st.floats(0.02, 0.4), least=st.floats(0.0, 0.02))
def test_a_covering_top_is_level_or_leaves_just_the_least_depth_uphill(cell, lip, least):
    by = covering(cell, lip, least)
    found = cell_soil(cell, lip, by)
    assert found.covered == pytest.approx(1.0)
    if by[0] < 1:
        assert found.uphill == pytest.approx(least, abs=1e-12)
    else:
        assert found.uphill[0] >= least - 1e-12
        assert found.top_slope == pytest.approx(0.0, abs=1e-12)


def test_a_lip_below_the_least_depth_is_raked_along_the_slope():
    assert covering(box(0.5), 0.05, 0.08) == 0.0


def test_a_twisted_cell_stands_on_the_plane_midway_between_its_diagonals():
    cell = box(0.5)
    cell[0, :, 2] += np.array([1, -1, 1, -1]) * 0.01
    flat = cell_soil(box(0.5), 0.15, 1.0)
    # the plane stays; the box grows by the little that its corners leave it
    assert cell_soil(cell, 0.15, 1.0).volume == pytest.approx(flat.volume, rel=0.08)


@given(st.lists(st.floats(-1, 1), min_size=4, max_size=4))
def test_what_is_above_and_what_is_below_make_up_the_whole(depth):
    uv = np.array([[(-1.0, -1.0), (1.0, -1.2), (1.1, 0.9), (-0.9, 1.0)]])
    uv -= uv.mean(axis=1, keepdims=True)
    # make it linear over the quadrilateral
    d = depth[0] * uv[..., 0] + depth[1] * uv[..., 1] + depth[2]
    above, area = over_quads(uv, d)
    below, rest = over_quads(uv, -d)
    whole, _ = over_quads(uv, np.full((1, 4), 1.0))
    full = d + 10.0
    assert above - below == pytest.approx(over_quads(uv, full)[0] - 10 * whole, abs=1e-9)
    if np.abs(d).max() > 1e-6:
        assert area + rest == pytest.approx(whole, rel=1e-6)


def test_freeboard_and_mulch_come_off_the_wall_and_a_half_full_cell_is_half_as_deep():
    assert lip_depth(0.2, 0.025, 0.05) == pytest.approx(0.125)
    assert lip_depth(0.2, 0.025, 0.05, 0.5) == pytest.approx(0.0625)
    assert lip_depth(0.2, 0.1, 0.1) == 0.0


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: lip_depth(0.2, 0.15, 0.1), "more than the height of the wall"),
        (lambda: lip_depth(0.2, -0.1), "freeboard: is negative"),
        (lambda: lip_depth(0.2, 0.0, 0.0, 1.2), "fullness: is not within 0 to 1"),
        (lambda: cell_soil(box(0.3), -0.1), "lip: is negative"),
        (lambda: cell_soil(box(0.3), 0.1, 1.5), "levelled: is not within 0 to 1"),
        (lambda: cell_soil(box(0.3)[:, :3], 0.1), "give n cells of 4 corners"),
        (lambda: cell_soil(np.zeros((2, 4, 3)), 0.1), "corners, cell 1: no plan area"),
        (lambda: covering(box(0.3), 0.1, math.nan), "least: is not a number"),
    ],
)
def test_what_cannot_be_a_filled_cell_is_refused_in_words(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()


@given(cell=cells, wall=st.floats(0.0, 0.05))
def test_walls_take_their_thickness_from_both_sides_of_a_box(cell, wall):
    inner = between_walls(cell, wall)
    sides = np.linalg.norm(np.roll(inner, -1, axis=1) - inner, axis=2)[0]
    assert sides == pytest.approx(
        [WIDTH - 2 * wall, RUN - 2 * wall, WIDTH - 2 * wall, RUN - 2 * wall]
    )
    assert inner.mean(axis=1) == pytest.approx(cell.mean(axis=1))
    assert cell_soil(inner, 0.2).volume == pytest.approx(
        (WIDTH - 2 * wall) * (RUN - 2 * wall) * 0.2
    )


def test_walls_that_leave_no_room_are_refused():
    with pytest.raises(OutOfRange, match="no room between the walls"):
        between_walls(box(0.4), 0.51 * RUN)
