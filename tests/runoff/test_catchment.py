import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.catchment import area_above, area_between
from hillwright.runoff.schemes import SCHEMES

STEP = 0.5
Y, X = np.mgrid[0:101, 0:121] * STEP  # 60 m by 50 m, hill to the north


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_plane_above_a_line_sheds_its_strip(scheme):
    # straight down the grid: 20 m wide, 30 m and half a node's square to the top
    found = area_above(0.4 * Y, STEP, 0, 0, [[20.1, 20.2], [40.1, 20.2]], scheme=scheme)
    assert found.area == pytest.approx(20 * (50.25 - 20.25), rel=0.005)
    assert found.along.sum() == pytest.approx(found.area)
    assert not found.whole  # the top of the plane is the border of the grid


@pytest.mark.parametrize("scheme", ["multiple", "d-infinity"])
def test_an_oblique_plane_sheds_the_same_strip_onto_an_oblique_line(scheme):
    # exact: the parallelogram above the line along the fall, to the top
    z = 0.4 * Y + 0.1 * X
    line = np.array([[25.0, 12.0], [40.0, 15.0]])
    found = area_above(z, STEP, 0, 0, line, scheme=scheme)
    run = np.array([0.1, 0.4]) / 0.4  # one up the slope, per metre north
    rise = 50.25 - line[:, 1]
    top = line + rise[:, None] * run
    assert found.area == pytest.approx(float(area_between(line, top)), rel=0.05)


def test_a_ridge_above_the_line_closes_the_catchment():
    z = 20 - 0.5 * np.abs(Y - 35.0)  # a ridge along y = 35
    found = area_above(z, STEP, 0, 0, [[20.0, 20.2], [40.0, 20.2]])
    assert found.area == pytest.approx(20 * (35 - 20.2), rel=0.04)
    assert found.whole


def test_water_comes_where_the_valley_is():
    z = 0.3 * Y + 0.02 * np.abs(X - 30.0)
    found = area_above(z, STEP, 0, 0, [[10.0, 20.2], [50.0, 20.2]], pieces=5)
    assert np.argmax(found.along) == 2
    assert found.at == pytest.approx([0, 8, 16, 24, 32, 40])


@given(bend=st.floats(-3, 3), shift=st.floats(-100, 100))
@settings(max_examples=12, deadline=None)
def test_a_line_cut_in_two_gets_what_its_halves_get(bend, shift):
    z = 0.3 * Y + 0.1 * X + 0.5 * np.sin(X / 4)
    points = np.array([[20.0, 20.2], [30.0, 20.2 + bend], [40.0, 20.2]]) + shift
    whole, left, right = (
        area_above(z, STEP, shift, shift, p).area for p in (points, points[:2], points[1:])
    )
    assert whole == pytest.approx(left + right, rel=1e-9)


def test_a_line_told_the_other_way_sheds_the_other_way():
    line = np.array([[20.0, 20.2], [40.0, 20.2]])
    there = area_above(0.4 * Y, STEP, 0, 0, line).area
    assert area_above(0.4 * Y, STEP, 0, 0, line[::-1]).area == pytest.approx(-there)


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ([[0, 0]], "two or more"),
        ([[1, 1], [1, 1]], "no length"),
        ([[900, 900], [950, 900]], "outside the ground"),
        ([[0, np.nan], [1, 1]], "not a number"),
    ],
)
def test_a_line_that_cannot_be_is_refused(line, what):
    with pytest.raises(OutOfRange, match=what):
        area_above(0.4 * Y, STEP, 0, 0, line)


def test_a_divide_told_backwards_is_refused():
    with pytest.raises(OutOfRange, match="left to right"):
        area_between([[0, 0], [30, 0]], [[30, 20], [0, 12]])
