"""Whole cells of a flat outline, as anybody may ask for them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines import SQUARE, star

from hillwright.errors import OutOfRange
from hillwright.layout.wholecells import best_fit, whole_cells, whole_cells_in_circle

CELL = np.array([0.6, 0.4])


def test_unit_squares_in_a_circle():
    # OEIS A136485: unit square lattice cells enclosed by the circle of diameter n, n = 1 .. 10
    # (n = 3, 4, 5 and 10 as listed there; the others from memory)
    radius = np.arange(1, 11) / 2
    expected = [0, 0, 4, 4, 12, 16, 24, 32, 52, 60]
    np.testing.assert_array_equal(whole_cells_in_circle(radius, [1, 1]), expected)


@settings(max_examples=12, deadline=None)
@given(
    radius=st.floats(0.3, 4),
    du=st.floats(-1, 1),
    dv=st.floats(-1, 1),
    bond=st.sampled_from(["stacked", "half-offset"]),
)
def test_a_circle_holds_what_polygons_just_inside_and_outside_it_hold(radius, du, dv, bond):
    angle = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    ring = np.column_stack((np.cos(angle), np.sin(angle)))
    inner, outer = (
        whole_cells(ring * r, CELL, bond=bond, offset=[du, dv]).cells
        for r in (radius, radius / np.cos(np.pi / 200) + 1e-6)
    )
    assert inner <= whole_cells_in_circle(radius, CELL, bond, [du, dv]) <= outer


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), rotation=st.floats(-4, 4))
def test_turning_the_outline_with_the_rows_changes_nothing(seed, rotation):
    c, s = np.cos(rotation), np.sin(rotation)
    turn = np.array([[c, s], [-s, c]])
    outline, hole = star(seed), star(seed + 1, 5, 1.0)
    offset = np.array([0.1234, 0.0567])
    straight = whole_cells(outline, CELL, [hole], "half-offset", offset)
    turned = whole_cells(outline @ turn, CELL, [hole @ turn], "half-offset", offset, rotation)
    assert straight == turned


def test_an_exclusion_over_everything_leaves_nothing():
    found = whole_cells(SQUARE, CELL, [SQUARE * 2 - 1])
    assert found == (0, 100, 100)
    best = best_fit(SQUARE, CELL, [SQUARE * 2 - 1])
    assert best[:5] == (0, 0, 0, 0.0, 0)


def test_exclusions_may_overlap_each_other_and_the_outline():
    a, b = SQUARE * 0.25 + 1, SQUARE * 0.25 + 1.5
    out = SQUARE + 5
    found = whole_cells(SQUARE, CELL, [a, b, out])
    # by hand: a cell is lost when its inside meets one of the boxes
    i, j = np.meshgrid(np.arange(10), np.arange(10))
    u, v = 0.6 * i, 0.4 * j
    hit = np.zeros(u.shape, dtype=bool)
    for box in (a, b, out):
        low, high = box.min(axis=0), box.max(axis=0)
        over = (u + 0.6 > low[0] + 1e-9) & (u < high[0] - 1e-9)
        hit |= over & (v + 0.4 > low[1] + 1e-9) & (v < high[1] - 1e-9)
    assert found == (100 - hit.sum(), 100, hit.sum())


def test_a_single_ring_need_not_stand_in_a_list():
    hole = np.array([[2.5, 1.5], [3.5, 1.5], [3.5, 2.2], [2.5, 2.2]])
    assert whole_cells(SQUARE, CELL, hole) == whole_cells(SQUARE, CELL, [hole]) == (94, 100, 6)


def test_the_best_lies_between_guarantee_and_bound():
    for seed in range(4):
        found = best_fit(star(seed), CELL, [star(seed + 9, 5, 1)], "running", 0.3)
        assert found.guaranteed <= found.best == found.bound <= found.area_bound
        at = whole_cells(star(seed), CELL, [star(seed + 9, 5, 1)], "running", found.offset, 0.3)
        assert at.cells == found.best


@pytest.mark.parametrize(
    ("given_", "says"),
    [
        ({"bond": "stackd"}, "bond"),
        ({"cell": [0.6]}, "cell"),
        ({"cell": [0.6, -0.4]}, "cell"),
        ({"cell": [0.6, np.nan]}, "cell"),
        ({"rotation": np.inf}, "rotation"),
        ({"outline": SQUARE * 1e5}, "a million cells"),
        ({"outline": SQUARE[[0, 2, 1, 3]]}, "outline: crosses itself"),
        ({"exclusions": [SQUARE, SQUARE[[0, 2, 1, 3]]]}, "exclusion 2: crosses itself"),
    ],
)
def test_what_makes_no_sense_is_refused(given_, says):
    for ask in (whole_cells, best_fit):
        with pytest.raises(OutOfRange, match=says):
            ask(**{"outline": SQUARE, "cell": CELL, **given_})


def test_a_circle_that_makes_no_sense_is_refused():
    for radius, cell, says in ((-1, [1, 1], "radius"), (1, [0, 1], "cell"), (1e6, [1, 1], "units")):
        with pytest.raises(OutOfRange, match=says):
            whole_cells_in_circle(radius, cell)
