import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.contours import contour_on_edge
from hillwright.terrain.planefit import fit_plane, triangle_height

numbers = st.floats(-2, 2)


@given(a0=st.floats(-50, 50), ax=numbers, ay=numbers, far=st.floats(0, 1e6), n=st.integers(3, 9))
def test_spots_on_a_plane_give_it_back_wherever_it_lies(a0, ax, ay, far, n):
    angle = 2 * np.pi * np.arange(n) / n
    x, y = 7 * np.cos(angle), 5 * np.sin(angle)
    found = fit_plane(np.column_stack([x + far, y - far, a0 + ax * x + ay * y]))
    assert found.ax == pytest.approx(ax, abs=1e-8)
    assert found.ay == pytest.approx(ay, abs=1e-8)
    assert found.max_residual < 1e-8 * (1 + abs(a0))


@given(z=st.lists(st.floats(-5, 5), min_size=6, max_size=6))
def test_residuals_of_the_best_plane_lean_no_way(z):
    xy = np.array([[0, 0], [10, 1], [9, 9], [1, 8], [4, 5], [6, 2]], float)
    found = fit_plane(np.column_stack([xy, z]))
    assert found.residuals.sum() == pytest.approx(0, abs=1e-9)
    np.testing.assert_allclose(found.residuals @ xy, 0, atol=1e-8)


def test_three_spots_leave_no_freedom_for_an_error():
    found = fit_plane([[0, 0, 0], [1, 0, 1], [0, 1, 2]])
    assert np.isnan(found.residual_standard_error)
    assert found.rms_residual == pytest.approx(0, abs=1e-12)


def test_a_level_plane_has_no_aspect_and_no_share_of_variance():
    found = fit_plane([[0, 0, 3], [1, 0, 3], [0, 1, 3], [1, 1, 3]])
    assert found.slope == 0
    assert np.isnan(found.aspect)
    assert np.isnan(found.r_squared)


@given(u=st.floats(0, 1), v=st.floats(0, 1))
def test_the_plane_of_a_triangle_agrees_with_the_fit_to_its_corners(u, v):
    if u + v > 1:
        u, v = 1 - u, 1 - v
    t = np.array([[0, 0, 10], [8, 1, 14], [-2, 6, 7]], float)
    x, y, z = t[0] + u * (t[1] - t[0]) + v * (t[2] - t[0])
    one, other = triangle_height(t, x, y), triangle_height(t[::-1], x, y)
    fit = fit_plane(t)
    assert one.z == pytest.approx(z)
    assert other.z == pytest.approx(z)
    assert (one.dz_dx, one.dz_dy) == pytest.approx((fit.ax, fit.ay))
    assert one.surface_area == pytest.approx(other.surface_area)


@given(share=st.floats(0, 1), turned=st.booleans())
def test_a_contour_lies_on_its_edge_whichever_way_it_is_walked(share, turned):
    p, q = np.array([12.0, 4.0, 101.3]), np.array([15.0, 9.0, 98.9])
    level = p[2] + share * (q[2] - p[2])
    level = min(max(level, 98.9), 101.3)
    found = contour_on_edge(q, p, level) if turned else contour_on_edge(p, q, level)
    np.testing.assert_allclose(found.xy, p[:2] + share * (q - p)[:2], atol=1e-9)


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: fit_plane([[0, 0, 1], [1, 1, 1]]), "at least 3"),
        (lambda: fit_plane([[0, 0, 1], [1, 1, 1], [3, 3, 9]]), "one line"),
        (lambda: fit_plane([[5, 5, 1], [5, 5, 2], [5, 5, 9]]), "one line"),
        (lambda: fit_plane([[0, 0, 1], [1, 1, np.nan], [3, 0, 9]]), "spot 2"),
        (lambda: triangle_height(np.zeros((3, 3)), 0, 0), "one line"),
        (lambda: triangle_height([[0, 0, 1], [1, 0, 1], [0, 1, 1]], [0.2, 2], [0.2, 2]), "place 2"),
        (lambda: contour_on_edge([0, 0, 1], [1, 0, 2], 3), "does not cross"),
        (lambda: contour_on_edge([0, 0, 1], [1, 0, 1], 1), "is level"),
        (lambda: contour_on_edge([0, 0], [1, 0], 1), "x, y, z"),
    ],
)
def test_what_fixes_no_plane_or_place_is_refused(ask, said):
    with pytest.raises(OutOfRange, match=said):
        ask()
