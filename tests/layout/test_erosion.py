"""A point test on the worn outline says what a box test on the outline would."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines import SQUARE, star

from hillwright.errors import OutOfRange
from hillwright.layout.erosion import anchor_region


def test_a_rectangle_wears_down_to_a_rectangle():
    E = anchor_region([SQUARE], [], 0.6, 0.4)
    assert E.exact.area == pytest.approx(5.4 * 3.6, abs=1e-12)
    assert E.exact.bounds == pytest.approx((0, 0, 5.4, 3.6), abs=1e-12)


def test_an_exclusion_takes_its_own_size_and_the_cells():
    hole = np.array([[2.5, 1.5], [3.5, 1.5], [3.5, 2.2], [2.5, 2.2]])
    E = anchor_region([SQUARE], [hole], 0.6, 0.4)
    assert E.exact.area == pytest.approx(5.4 * 3.6 - 1.6 * 1.1, abs=1e-12)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), width=st.floats(0.2, 2), run=st.floats(0.2, 2))
def test_a_corner_in_the_anchor_region_means_the_whole_box_is_inside(seed, width, run):
    outline, hole = star(seed), star(seed + 1, 5, 1.2)
    E = anchor_region([outline], [hole], width, run)
    ground = shapely.Polygon(outline).difference(shapely.Polygon(hole))
    u, v = np.random.default_rng(seed).uniform(-6, 6, (2, 400))
    by_box = shapely.contains(ground, shapely.box(u, v, u + width, v + run))
    np.testing.assert_array_equal(shapely.contains_xy(E.closed, u, v), by_box)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_a_larger_cell_or_a_further_exclusion_never_frees_a_place(seed):
    outline = star(seed)
    base = anchor_region([outline], [], 0.5, 0.4).exact.area
    assert anchor_region([outline], [], 0.6, 0.4).exact.area <= base + 1e-9
    assert anchor_region([outline], [star(seed + 1, 5, 1)], 0.5, 0.4).exact.area <= base + 1e-9


def test_a_cell_that_fits_only_just_touches_and_is_inside():
    E = anchor_region([SQUARE], [], 6.0, 4.0)
    assert E.exact.area == 0
    assert shapely.contains_xy(E.closed, 0.0, 0.0)
    assert anchor_region([SQUARE], [], 6.0, 4.0 + 1e-6).empty


def test_a_gate_as_wide_as_the_cell_lets_it_through():
    left = np.array([[0.0, 1.0], [2.7, 1.0], [2.7, 2.0], [0.0, 2.0]])
    right = np.array([[3.3, 1.0], [6.0, 1.0], [6.0, 2.0], [3.3, 2.0]])
    E = anchor_region([SQUARE], [left, right], 0.6, 0.4)
    assert shapely.contains_xy(E.closed, 2.7, 1.3)
    assert not shapely.contains_xy(E.closed, 2.7 + 1e-6, 1.3)


def test_parts_of_an_outline_are_not_bridged():
    gap = 0.01
    E = anchor_region([SQUARE, SQUARE + np.array([6.0 + gap, 0.0])], [], 0.6, 0.4)
    assert not shapely.contains_xy(E.closed, 5.7, 1.0)
    assert shapely.contains_xy(E.closed, 6.0 + gap, 1.0)


@pytest.mark.parametrize(
    ("ring", "says"),
    [
        ([[0, 0], [6, 4], [6, 0], [0, 4]], "crosses itself near"),
        ([[0, 0], [1, 1], [2, 2]], "no area"),
        ([[0, 0], [1, 1], [0, 0]], "fewer than 3"),
        ([[0, 0], [1, np.nan], [2, 0]], "corner 2: is not a number"),
        ([0, 1, 2], "shape"),
    ],
)
def test_a_ring_that_encloses_nothing_sure_is_refused(ring, says):
    with pytest.raises(OutOfRange, match=says):
        anchor_region([ring], [], 0.6, 0.4)
    with pytest.raises(OutOfRange, match=f"exclusion 2.*{says}"):
        anchor_region([SQUARE], [SQUARE, ring], 0.6, 0.4)


def test_a_ring_may_be_closed_turn_either_way_and_repeat_a_corner():
    closed = np.concatenate([SQUARE, SQUARE[:1]])
    twice = np.repeat(SQUARE, 2, axis=0)
    for ring in (closed, twice, SQUARE[::-1]):
        area = anchor_region([ring], [], 0.6, 0.4).exact.area
        assert area == pytest.approx(5.4 * 3.6, abs=1e-12)


def test_a_cell_without_area_is_refused():
    with pytest.raises(OutOfRange, match="cell"):
        anchor_region([SQUARE], [], 0.0, 0.4)
