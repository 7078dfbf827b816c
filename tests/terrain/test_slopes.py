import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.horn import horn, horn_window
from hillwright.terrain.slopes import (
    aspect,
    plane_measures,
    slope_and_aspect,
    slope_area_factor,
    slope_from_angle,
    slope_from_gradient,
    slope_from_ratio,
)

gradients = st.floats(-3, 3).filter(lambda g: abs(g) > 1e-6)


@pytest.mark.parametrize(
    ("p", "q", "degrees"),
    [(0, -1, 0), (-1, -1, 45), (-1, 0, 90), (0, 1, 180), (1, 0, 270), (1e-300, -1, 0)],
)
def test_ground_faces_the_way_that_water_runs(p, q, degrees):
    assert math.degrees(slope_and_aspect(p, q).aspect) == pytest.approx(degrees, abs=1e-9)


def test_flat_ground_has_a_slope_but_no_aspect():
    slope, facing = slope_and_aspect([0.0, 0.1], [0.0, 0.0])
    assert slope[0] == 0
    assert np.isnan(facing[0])
    assert not np.isnan(facing[1])


def test_asking_the_aspect_of_flat_ground_is_refused_by_place():
    with pytest.raises(OutOfRange, match="value 2: flat ground faces no direction"):
        aspect([0.1, 0.0], [0.1, 0.0])


@given(p=gradients, q=gradients)
def test_walking_the_aspect_goes_straight_down(p, q):
    m = plane_measures(p, q)
    east, north = math.sin(m.aspect), math.cos(m.aspect)
    assert p * east + q * north == pytest.approx(-m.gradient, rel=1e-9)
    assert m.area_factor == pytest.approx(1 / math.cos(m.slope), rel=1e-9)


@given(g=st.floats(0, 20))
def test_percent_degrees_and_ratio_are_the_same_slope(g):
    forms = slope_from_gradient(g)
    assert slope_from_angle(forms.slope).gradient == pytest.approx(g, rel=1e-9, abs=1e-12)
    if g > 1e-3:
        back = slope_from_ratio(forms.run_per_rise, 1.0)
        assert back.slope == pytest.approx(forms.slope, rel=1e-9)
    assert slope_area_factor(forms.slope) == pytest.approx(forms.area_factor, rel=1e-9)


def test_level_ground_has_an_endless_run_per_rise():
    assert slope_from_gradient(0.0).run_per_rise == np.inf


@pytest.mark.parametrize(
    "ask",
    [
        lambda: slope_from_gradient([0.5, -0.1]),
        lambda: slope_from_gradient([0.5, math.nan]),
        lambda: slope_from_angle([0.5, math.pi / 2]),
        lambda: slope_area_factor([0.5, -0.1]),
        lambda: slope_from_ratio([1.0, 0.0], [1.0, 1.0]),
    ],
)
def test_what_is_no_slope_is_refused_by_place(ask):
    with pytest.raises(OutOfRange, match="value 2"):
        ask()


@given(
    p=st.floats(-2, 2),
    q=st.floats(-2, 2),
    dx=st.floats(0.05, 30),
    dy=st.floats(0.05, 30),
    ny=st.integers(3, 6),
    nx=st.integers(3, 6),
)
def test_horn_is_exact_on_a_plane_at_any_cell_size(p, q, dx, dy, ny, nx):
    x, north = np.arange(nx) * dx, -np.arange(ny) * dy
    found = horn(100 + p * x + q * north[:, None], dx, dy)
    assert found.dz_dx.shape == (ny - 2, nx - 2)
    np.testing.assert_allclose(found.dz_dx, p, atol=1e-10)
    np.testing.assert_allclose(found.dz_dy, q, atol=1e-10)
    np.testing.assert_allclose(found.dz_dy_rowwise, -found.dz_dy, atol=0)


def test_rows_that_go_north_are_told_by_a_spacing_below_zero():
    z = np.arange(9.0).reshape(3, 3) ** 1.5
    one, other = horn(z, 2.0, 3.0), horn(z[::-1], 2.0, -3.0)
    np.testing.assert_allclose(one.slope, other.slope)
    np.testing.assert_allclose(one.aspect, other.aspect)


def test_a_mirrored_window_faces_the_mirrored_way():
    z = np.array([[101.0, 92, 85], [101, 92, 85], [101, 91, 84]])
    one, other = horn_window(z, 1.0), horn_window(z[:, ::-1], 1.0)
    assert one.slope == pytest.approx(other.slope)
    assert one.aspect == pytest.approx(2 * math.pi - other.aspect)


def test_a_missing_height_leaves_only_its_neighbours_without_a_slope():
    z = np.add.outer(np.arange(6.0), np.arange(6.0))
    z[0, 0] = np.nan
    lost = np.isnan(horn(z, 1.0).slope)
    assert lost.sum() == 1
    assert lost[0, 0]


def test_a_flat_window_has_no_aspect_and_no_warning():
    found = horn_window(np.full((3, 3), 7.0), 1.0)
    assert found.slope == 0
    assert np.isnan(found.aspect)


@pytest.mark.parametrize(
    ("z", "cell", "said"),
    [
        (np.zeros((2, 5)), 1.0, "at least 3 by 3"),
        (np.zeros(9), 1.0, "at least 3 by 3"),
        (np.zeros((3, 3)), 0.0, "spacing above 0"),
        (np.zeros((3, 3)), -1.0, "spacing above 0"),
    ],
)
def test_a_grid_without_an_inner_node_is_refused(z, cell, said):
    with pytest.raises(OutOfRange, match=said):
        horn(z, cell)
    with pytest.raises(OutOfRange):
        horn_window(z, cell)
