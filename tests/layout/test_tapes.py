import math

import numpy as np
import pytest
from hills import Hill, cylinder, plane, sphere, waves
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.layout.groundtapes import (
    bent_by,
    meeting_angle,
    set_by_tapes,
    spread_on_ground,
    tapes_on_ground,
)
from hillwright.layout.tapes import slope_distance, two_tapes

places = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@given(a=places, b=places, p=places, far=st.floats(-1e6, 1e6))
def test_taping_a_point_and_setting_it_gives_it_back(a, b, p, far):
    a, b, p = (np.array(v) + far for v in (a, b, p))
    da, db, ab = (math.dist(*v) for v in ((a, p), (b, p), (a, b)))
    cross = (b - a)[0] * (p - a)[1] - (b - a)[1] * (p - a)[0]
    if abs(cross) < 0.05 * max(da * db, ab * da, ab * db, 1):
        return  # nearly in one line: the point is as poor as the sigma says
    found = two_tapes(a, b, da, db, 0.01)
    np.testing.assert_allclose(found.point if cross > 0 else found.mirror, p, atol=1e-6)
    assert found.sigma == pytest.approx(0.01 * math.sqrt(2) / math.sin(found.angle))
    swapped = two_tapes(b, a, db, da, 0.01)
    np.testing.assert_allclose(swapped.mirror, found.point, atol=1e-6)


def test_many_points_are_set_at_once_and_a_poor_one_says_so():
    found = two_tapes([0, 0], [10, 0], [8.0, 5.02], [7.0, 5.02])
    assert found.point.shape == (2, 2)
    assert math.degrees(found.angle[1]) > 150
    assert found.sigma[1] > 5 * found.sigma[0]


@pytest.mark.parametrize(
    ("tapes", "said"),
    [
        (([0, 0], [10, 0], 4, 5), "point 1: the tapes do not reach each other"),
        (([0, 0], [10, 0], 4, 6), "do not reach"),
        (([0, 0], [10, 0], [8, 4], [7, 5]), "point 2"),
        (([0, 0], [10, 0], 14, 3), "do not meet"),
        (([0, 0], [10, 0], 13, 3), "do not meet"),
        (([0, 0], [10, 0], 0, 3), "from_a"),
        (([0, 0], [10, 0], 3, math.nan), "from_b"),
        (([2, 1], [2, 1], 3, 3), "at one place"),
        (([2, 1], [2], 3, 3), "peg B"),
    ],
)
def test_tapes_that_fix_no_point_are_refused(tapes, said):
    with pytest.raises(OutOfRange, match=said):
        two_tapes(*tapes)
    with pytest.raises(OutOfRange, match=said):
        tapes_on_ground(plane(0, 0), *tapes)


@given(p=st.floats(-0.5, 0.5), q=st.floats(-1, 1), da=st.floats(6, 12), db=st.floats(6, 12))
def test_on_a_plane_slope_the_triangle_of_the_tapes_keeps_its_shape(p, q, da, db):
    flat = two_tapes([0, 0], [10 * math.hypot(1, p), 0], da, db)
    found = tapes_on_ground(plane(p, q), [0, 0], [10, 0], da, db)
    assert found.point @ [-p, -q, 1] == pytest.approx(0, abs=1e-9)
    assert np.linalg.norm(found.point) == pytest.approx(da)
    assert math.dist(found.point, (10, 0, 10 * p)) == pytest.approx(db)
    assert found.angle == pytest.approx(flat.angle)
    assert found.sigma == pytest.approx(flat.sigma, rel=1e-6)


@given(steep=st.floats(0.2, 1), phase=st.floats(-3, 3), x=st.floats(-4, 4), y=st.floats(3, 9))
def test_what_is_taped_on_wavy_ground_is_found_again(steep, phase, x, y):
    hill = waves(steep, 0.15, 5.0, phase)
    a, b = np.array([-5.0, 0.0]), np.array([5.0, 0.0])
    A, B, P = (np.array([*v, hill.at(*v)[0]]) for v in (a, b, (x, y)))
    found = tapes_on_ground(hill, a, b, math.dist(A, P), math.dist(B, P))
    np.testing.assert_allclose(found.point, P, atol=1e-6)


def test_the_other_side_of_the_pegs_must_be_asked_for():
    left = tapes_on_ground(plane(0.2, 0.3), [0, 0], [10, 0], 8, 7)
    right = tapes_on_ground(plane(0.2, 0.3), [0, 0], [10, 0], 8, 7, side="right")
    assert left.point[1] > 0 > right.point[1]
    with pytest.raises(OutOfRange, match='"left" or "right"'):
        tapes_on_ground(plane(0, 0), [0, 0], [10, 0], 8, 7, side="up")


def test_tapes_longer_than_the_ground_are_refused():
    with pytest.raises(OutOfRange, match="do not meet on the ground"):
        tapes_on_ground(sphere(10.0), [-1, 0], [1, 0], 18.0, 18.0)
    with pytest.raises(OutOfRange, match="peg A"):
        tapes_on_ground(sphere(10.0), [-11, 0], [1, 0], 5.0, 5.0)


def test_on_a_ridge_tapes_can_meet_well_and_still_fix_a_point_poorly():
    # from pegs on top of a ridge, a point far down its side: along the falling ground the tapes
    # grow less than their angle says
    ridge = cylinder(3.0)
    place = np.array([[0.0, 2.5]])
    point = np.column_stack([place, ridge.at(*place.T)[0]])
    a, b = np.array([-2.0, 0, 3.0]), np.array([2.0, 0, 3.0])
    flat = math.sqrt(2) / math.sin(meeting_angle(point, a, b)[0])
    there = float(spread_on_ground(ridge, point, a, b)[0])
    assert there > 1.04 * flat
    tape, h = np.linalg.norm(point - a, axis=1), 1e-6
    # against pulling each tape a little longer
    longer = [(h, 0), (0, h)]
    moved = [set_by_tapes(ridge, a, b, tape + da, tape + db, place) - point for da, db in longer]
    assert np.linalg.norm(moved) / h == pytest.approx(there, rel=1e-3)


def test_a_tape_over_a_hump_reads_long_and_one_over_a_hollow_does_not():
    hump = Hill(lambda x, y: (0.4 * np.exp(-((x - 5) ** 2)), 0 * x, 0 * y))
    ends = np.array([[0.0, 0, 0]]), np.array([[10.0, 0, 0]])
    high, long = bent_by(hump, *ends)
    assert high[0] == pytest.approx(0.4)
    assert long[0] == pytest.approx(8 * 0.16 / 30)
    hollow = Hill(lambda x, y: (-hump.function(x, y)[0], 0 * x, 0 * y))
    assert bent_by(hollow, *ends)[1][0] == pytest.approx(0, abs=1e-12)


def test_a_taut_tape_is_straight():
    assert slope_distance(2.0, 3.0, 6.0) == 7
