import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.cellstore import cell_hold, held_below, plan_area, wet_prism


def box(slope, cross=0.0, width=0.6, run=0.45, at=(0.0, 0.0, 0.0), turn=0.0):
    """Give a rectangle in plan (1, 4, 3) on a plane."""
    plan = np.array([(0, run), (width, run), (width, 0), (0, 0)], float)
    z = slope * plan[:, 1] + cross * plan[:, 0]
    c, s = np.cos(turn), np.sin(turn)
    return np.column_stack((plan @ np.array([[c, s], [-s, c]]), z))[None] + np.array(at)


@given(slope=st.floats(0.2, 1.5), free=st.floats(0.001, 0.05))
def test_a_box_on_a_slope_holds_a_wedge(slope, free):
    # exact: f^2 / (2 tan b) for each metre of width, as long as the wedge is shorter than the box
    found = cell_hold(box(slope, run=2.0), 0.2, 0.2 - free)
    assert found.volume[0] == pytest.approx(0.6 * free**2 / (2 * slope), rel=1e-9)


@given(slope=st.floats(0.05, 1.5), cross=st.floats(-0.3, 0.3), free=st.floats(0.02, 0.15))
@settings(max_examples=40)
def test_what_a_box_holds_is_the_sum_of_its_water_columns(slope, cross, free):
    corners = box(slope, cross)
    found = cell_hold(corners, 0.15, 0.15 - free)
    up = 1 / np.sqrt(1 + slope**2 + cross**2)
    t = (np.arange(400) + 0.5) / 400
    x, y = np.meshgrid(0.6 * t, 0.45 * t)
    columns = np.maximum(found.lip - (slope * y + cross * x + (0.15 - free) * up), 0)
    exact = columns.mean() * 0.6 * 0.45 / up**2
    assert found.volume[0] == pytest.approx(exact, rel=2e-2, abs=1e-6)


@given(
    slope=st.floats(0, 1.5),
    cross=st.floats(-0.3, 0.3),
    turn=st.floats(0, 6.28),
    x=st.floats(-1e3, 1e3),
    y=st.floats(-1e3, 1e3),
)
def test_what_a_box_holds_is_the_same_anywhere_turned_and_in_a_mirror(slope, cross, turn, x, y):
    here = cell_hold(box(slope, cross), 0.15, 0.12).volume
    there = cell_hold(box(slope, cross, at=(x, y, 30.0), turn=turn), 0.15, 0.12).volume
    mirrored = box(slope, cross)[:, [1, 0, 3, 2]] * (-1, 1, 1)
    np.testing.assert_allclose(there, here, rtol=1e-6, atol=1e-12)
    np.testing.assert_allclose(cell_hold(mirrored, 0.15, 0.12).volume, here, rtol=1e-9, atol=1e-15)


@given(free=st.tuples(st.floats(0, 0.15), st.floats(0, 0.15)).map(sorted))
def test_more_freeboard_holds_more(free):
    less, more = (cell_hold(box(0.5, 0.05), 0.15, 0.15 - f).volume[0] for f in free)
    assert less <= more + 1e-15


def test_level_soil_leaves_a_level_slab_below_the_lip_and_none_where_it_stands_at_the_lip():
    # 0.6 by 0.45 m in plan, 0.2 steep: the soil turns about its middle and rises at the lip
    up = 1 / np.hypot(1, 0.2)
    found = cell_hold(box(0.2), 0.3, 0.22, 1.0).volume[0]
    slab = 0.3 * up - (0.2 * 0.225 + 0.22 * up)
    assert found == pytest.approx(0.6 * 0.45 * slab / up**2, rel=1e-9)
    assert cell_hold(box(0.2), 0.3, 0.27, 1.0).volume[0] == 0.0


def test_one_low_corner_sets_the_lip():
    corners = box(0.0)
    corners[0, 2, 2] -= 0.05
    corners[0, 0, 2] -= 0.05
    found = cell_hold(corners, 0.1, 0.1)
    assert found.lip[0] == pytest.approx(0.05, abs=2e-3)


def test_a_prism_wet_all_over_is_its_mean_depth_and_a_dry_one_nothing():
    over = np.array([[1.0, -1.0, -1.0], [2.0, -2.0, 1.0], [3.0, -3.0, 1.0]])
    wet = wet_prism(np.array([2.0, 2.0, 2.0]), over)
    assert wet[0] == pytest.approx(4.0)
    assert wet[1] == 0.0
    # -1, 1, 1: the whole less the dry tip, 2 (1/3) + 2/3 (1)/(4)
    assert wet[2] == pytest.approx(2 / 3 + 2 * 1 / (3 * 2 * 2))


def test_water_far_above_the_soil_is_a_full_slab():
    corners = box(0.5)
    none = np.zeros(1)
    deep = held_below(corners, none, none, np.array([10.0]))
    mean = 10.0 - corners[0, :, 2].mean()
    assert deep[0] == pytest.approx(plan_area(corners)[0] * mean * (1 + 0.5**2))


@pytest.mark.parametrize(
    ("soil", "corners", "what"),
    [
        (0.3, box(0.5), "soil stands above the walls"),
        (-0.1, box(0.5), "negative"),
        (0.1, np.zeros((1, 4, 3)), "no plan area"),
        (0.1, np.zeros((4, 3)), "of shape"),
    ],
)
def test_cells_that_cannot_be_are_refused(soil, corners, what):
    with pytest.raises(OutOfRange, match=what):
        cell_hold(corners, 0.2, soil)
