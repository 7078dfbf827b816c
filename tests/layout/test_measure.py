import math

import numpy as np
import pytest
from hills import cylinder, plane
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.layout.measure import (
    base_normal,
    bend_between,
    cell_shear,
    cell_twist,
    measure,
    sharpest,
)

W, R = 0.6, 0.45


def flat_cell(lift=0.0, lean=0.0):
    """A cell in plan, one corner lifted [m], leaning by an angle [rad]."""
    c, s = math.cos(lean), math.sin(lean)
    return np.array([[[0, 0, 0], [W, 0, 0], [W + R * s, -R * c, lift], [R * s, -R * c, 0]]])


@given(lean=st.floats(-1.2, 1.2))
def test_shear_of_a_leaning_box_is_its_lean(lean):
    assert cell_shear(flat_cell(lean=lean))[0] == pytest.approx(abs(lean), abs=1e-12)


def test_a_cell_with_two_corners_at_one_place_has_no_shear():
    flat = flat_cell()
    flat[0, 1] = flat[0, 0]
    assert np.isnan(cell_shear(flat)).all()


@given(lift=st.floats(-0.2, 0.2))
def test_twist_is_how_far_the_fourth_corner_stands_off_the_other_three(lift):
    assert cell_twist(flat_cell(lift))[0] == pytest.approx(abs(lift), abs=1e-12)


@given(
    lift=st.floats(-0.2, 0.2),
    lean=st.floats(-0.5, 0.5),
    turn=st.tuples(*[st.floats(-3, 3)] * 3),
)
def test_shape_does_not_depend_on_where_the_cell_lies_or_which_corner_comes_first(lift, lean, turn):
    cell = flat_cell(lift, lean)
    a, b, c = turn
    about_z = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
    about_x = np.array([[1, 0, 0], [0, math.cos(b), -math.sin(b)], [0, math.sin(b), math.cos(b)]])
    moved = np.roll(cell, 1, axis=1) @ about_z @ about_x + c
    assert cell_shear(moved)[0] == pytest.approx(cell_shear(cell)[0], abs=1e-9)
    assert cell_twist(moved)[0] == pytest.approx(cell_twist(cell)[0], abs=1e-9)


def test_slopes_are_those_of_the_ground_and_fall_to_the_right_and_downhill():
    hill = plane(-0.2, 0.7)  # falls to the east and to the south
    xy = flat_cell()[0, :, :2]
    corners = np.column_stack((xy, hill.at(*xy.T)[0]))[None]
    found = measure(corners, hill)
    assert found.run_slope[0] == pytest.approx(math.atan(0.7))
    assert found.cross_slope[0] == pytest.approx(math.atan(0.2))
    assert found.level_difference[0] == pytest.approx(0.2 * W)
    assert found.gap[0] == pytest.approx(0, abs=1e-12)
    assert found.hump[0] == pytest.approx(0, abs=1e-12)


# exact geometry (net-cylinder): ground rises 3.125488 mm above the middle of a 0.5 m cell on a
# ridge of radius 10 m, and lies as far below it in a gully
def test_ridge_shows_as_hump_and_gully_as_gap():
    half = math.sqrt(100 - 0.25**2)
    corners = np.array([[[0, 0.25, half], [W, 0.25, half], [W, -0.25, half], [0, -0.25, half]]])
    ridge = measure(corners, cylinder(10.0))
    assert ridge.hump[0] == pytest.approx(0.003125488, abs=1e-9)
    assert ridge.gap[0] == pytest.approx(0, abs=1e-12)

    class Gully:
        def at(self, x, y):
            z, p, q = cylinder(10.0).at(x, y)
            return -z, -p, -q

    gully = measure(corners * [1, 1, -1], Gully())
    assert gully.gap[0] == pytest.approx(0.003125488, abs=1e-9)
    assert gully.hump[0] == pytest.approx(0, abs=1e-12)


def test_a_twisted_base_plane_is_off_all_four_corners_alike():
    corners = flat_cell(0.04)
    normal = base_normal(corners)
    off = ((corners - corners.mean(axis=1, keepdims=True)) * normal[:, None]).sum(axis=2)[0]
    assert np.allclose(np.abs(off), np.abs(off[0]))
    assert np.allclose(np.sign(off), np.array([-1, 1, -1, 1]) * np.sign(off[1]))


@given(angle=st.floats(0, 1.5))
def test_bend_is_the_hinge_between_base_planes(angle):
    normal = np.array([[0, 0, 1.0], [0, math.sin(angle), math.cos(angle)], [0, 0, 1.0]])
    pairs = np.array([[0, 1], [1, 2]])
    bend = bend_between(normal, pairs)
    assert np.allclose(bend, angle, atol=1e-12)
    assert np.allclose(sharpest(bend, pairs, 4), [angle, angle, angle, 0], atol=1e-12)


def test_a_cell_over_the_edge_of_the_survey_has_no_gap_but_keeps_its_shape():
    half = math.sqrt(100 - 0.25**2)
    corners = np.array([[[0, 0.25, half], [W, 0.25, half], [W, -10.5, 0], [0, -10.5, 0]]])
    found = measure(corners, cylinder(10.0))
    assert math.isnan(found.gap[0])
    assert math.isfinite(found.twist[0])


def test_a_pair_of_cells_that_are_not_there_is_refused():
    with pytest.raises(OutOfRange, match="0 to 0"):
        bend_between(np.array([[0, 0, 1.0]]), np.array([[0, 1]]))
