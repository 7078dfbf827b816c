import math

import numpy as np
import pytest
from hills import cone, cylinder, plane, smooth_hills, sphere
from hypothesis import given
from hypothesis import strategies as st

from hillwright.layout.lines import along_contour, along_string, geodesic, square_to

ORIGIN = np.zeros(3)


def chords(line):
    return np.linalg.norm(np.diff(line, axis=0), axis=1)


@given(hill=smooth_hills, bearing=st.floats(0, 2 * math.pi), step=st.floats(0.2, 0.8))
def test_every_chord_of_every_line_has_the_same_length_and_ends_on_the_ground(hill, bearing, step):
    heading = np.array([math.cos(bearing), math.sin(bearing)])
    string = np.array([[-3, 0.4], [0, 0], [1, 0.5], [4, 0.3]])
    for line in (
        geodesic(hill, ORIGIN, heading, step, 10),
        along_contour(hill, ORIGIN, step, 4, 1),
        along_string(hill, string, ORIGIN, step, 12),
        along_string(hill, string, ORIGIN, step, 12, -1),
    ):
        reached = line[np.isfinite(line[:, 0])]
        assert np.allclose(chords(reached), step, rtol=0, atol=1e-12)
        assert np.allclose(hill.at(reached[:, 0], reached[:, 1])[0], reached[:, 2], atol=1e-12)


def test_straight_on_a_sphere_is_a_great_circle():
    turn = 0.05 * np.arange(13)
    line = geodesic(sphere(1.0), ORIGIN, np.array([0.6, 0.8]), 2 * math.sin(0.025), 12)
    circle = np.column_stack((0.6 * np.sin(turn), 0.8 * np.sin(turn), np.cos(turn)))
    assert np.allclose(line, circle, atol=1e-14)


def test_straight_on_a_cylinder_and_a_cone_is_straight_on_the_unrolled_sheet():
    line = geodesic(cylinder(10.0), ORIGIN, np.array([0.6, 0.8]), 0.5, 20)
    arc = 10 * np.arcsin(line[:, 1] / 10)
    assert np.allclose(np.diff(line[:, 0]), 0.3, atol=3e-4)
    assert np.ptp(np.diff(arc) / np.diff(line[:, 0])) < 1e-9
    steep = 0.7
    line = geodesic(cone(steep), np.array([0, -10.0, 0]), np.array([1.0, 0.2]), 0.25, 40)
    rho = math.hypot(1, steep) * np.hypot(line[:, 0], line[:, 1])
    turn = (np.arctan2(line[:, 1], line[:, 0]) + math.pi / 2) / math.hypot(1, steep)
    sheet = np.column_stack((rho * np.sin(turn), rho * np.cos(turn)))
    off = (
        (sheet - sheet[0])
        @ np.array([0.0, 1.0])
        / np.linalg.norm(sheet - sheet[0], axis=1).clip(1e-9)
    )
    assert np.ptp(off[1:]) < 2e-3  # a discrete straight line: second order in the chord


@given(hill=smooth_hills, bearing=st.floats(-0.5, 0.5), x=st.floats(-5, 5), y=st.floats(-5, 5))
def test_square_to_is_square_on_the_ground_and_never_points_uphill(hill, bearing, x, y):
    along = np.array([math.cos(bearing), math.sin(bearing)])
    square = square_to(hill, np.array([x, y]), along)
    slope = np.ravel(hill.at(np.array([x]), np.array([y]))[1:])
    assert math.hypot(*square) == pytest.approx(1)
    assert along @ square + (slope @ along) * (slope @ square) == pytest.approx(0, abs=1e-12)
    assert slope @ square <= 1e-12


# exact geometry (plan-square-not-square-on-slope): 10 deg off the contour at 35 deg slope,
# lines square in plan meet at 86.07101 deg on the hill
def test_square_in_plan_is_not_square_on_the_slope():
    steep = math.tan(math.radians(35))
    along = np.array([math.cos(math.radians(10)), math.sin(math.radians(10))])
    square = square_to(plane(0.0, steep), ORIGIN, along)
    in_plan = np.array([along[1], -along[0]])
    up = [np.append(v, steep * v[1]) for v in (along, square, in_plan)]
    unit = [v / np.linalg.norm(v) for v in up]
    assert math.degrees(math.acos(unit[0] @ unit[1])) == pytest.approx(90)
    between = math.degrees(math.acos(abs(unit[0] @ unit[2])))
    assert between == pytest.approx(86.07101, abs=1e-5)


def test_straight_down_the_fall_line_the_square_is_to_its_right():
    square = square_to(plane(0.0, 0.5), ORIGIN, np.array([0.0, 1.0]))
    assert np.allclose(square, [1.0, 0.0])


@given(hill=smooth_hills)
def test_a_contour_row_is_level_and_keeps_the_hill_on_the_same_hand(hill):
    line = along_contour(hill, ORIGIN, 0.4, 8, 1)
    line = line[np.isfinite(line[:, 0])]
    assert np.ptp(line[:, 2]) < 1e-12
    _, zx, zy = hill.at(line[:-1, 0], line[:-1, 1])
    step = np.diff(line[:, :2], axis=0)
    assert (zy * step[:, 0] - zx * step[:, 1] > 0).all()


def test_a_contour_row_on_a_cone_goes_round_it():
    line = along_contour(cone(0.7), np.array([0, -10.0, 0]), 0.5, 60, 1)
    assert np.allclose(np.hypot(line[:, 0], line[:, 1]), 10)
    assert line[10, 0] > 0  # right, looking uphill
    assert along_contour(cone(0.7), np.array([0, -10.0, 0]), 0.5, 1, -1)[1, 0] < 0


def test_a_string_is_followed_round_its_corners_and_carried_on_straight():
    string = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 0.0], [3.0, 1.0]])
    hill = plane(0.1, 0.6)
    line = along_string(hill, string, np.array([1.0, 0.3]), 0.5, 12)
    assert np.allclose(line[0, :2], [1, 0])
    on_first, on_last = np.isclose(line[:, 1], 0), np.isclose(line[:, 0] - line[:, 1], 2)
    assert (on_first | on_last).all()
    assert on_first.sum() == 2 + 1
    assert line[-1, 0] > 3.5
    back = along_string(hill, string, np.array([1.0, 0.3]), 0.5, 6, -1)
    assert (np.diff(back[:, 0]) < 0).all()
    assert back[-1, 0] < 0


def test_a_string_without_length_is_refused():
    with pytest.raises(ValueError, match="two different ends"):
        along_string(plane(0, 0.5), np.zeros((2, 2)), ORIGIN, 0.5, 3)


def test_lines_end_where_the_ground_ends_and_contours_where_it_is_flat():
    line = geodesic(sphere(1.0), ORIGIN, np.array([1.0, 0.0]), 0.2, 12)
    assert np.isfinite(line[:7]).all()
    assert np.isnan(line[-1]).all()
    assert np.isnan(along_contour(plane(0, 0), ORIGIN, 0.5, 3, 1)[1:]).all()
