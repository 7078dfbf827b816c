import numpy as np
import pytest
from analytic import Analytic, cone, dome, plane
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.curvature import curvatures, quadratic_fit, surface_measures
from hillwright.terrain.roughness import roughness_window

numbers = st.floats(-1, 1)


@given(radius=st.floats(5, 100), turn=st.floats(0, 6.28), share=st.floats(0.1, 0.9))
def test_a_dome_bends_the_same_every_way(radius, turn, share):
    x, y = share * radius * np.cos(turn), share * radius * np.sin(turn)
    m = surface_measures(dome(radius), x, y)
    assert m.profile == pytest.approx(1 / radius, rel=1e-5)
    assert m.tangential == pytest.approx(1 / radius, rel=1e-5)
    assert m.mean == pytest.approx(1 / radius, rel=1e-5)
    assert m.gauss == pytest.approx(1 / radius**2, rel=1e-5)
    assert m.plan_contour == pytest.approx(1 / (share * radius), rel=1e-5)


def test_a_cone_unrolls_flat():
    m = surface_measures(cone(0.7), [3.0, -2.0], [4.0, 5.0])
    np.testing.assert_allclose(m.gauss, 0, atol=1e-9)
    np.testing.assert_allclose(m.profile, 0, atol=1e-9)
    assert (m.tangential > 0).all()


@given(p=numbers, q=numbers, r=numbers, s=numbers, t=numbers, turn=st.floats(0, 6.28))
def test_turning_the_axes_changes_no_curvature(p, q, r, s, t, turn):
    if p * p + q * q < 1e-4:
        return
    c, d = np.cos(turn), np.sin(turn)
    rotation = np.array([[c, d], [-d, c]])
    p2, q2 = rotation @ [p, q]
    h = rotation @ [[r, s], [s, t]] @ rotation.T
    one, other = curvatures(p, q, r, s, t), curvatures(p2, q2, h[0, 0], h[0, 1], h[1, 1])
    np.testing.assert_allclose(one, other, rtol=1e-6, atol=1e-9)


@given(a=st.tuples(numbers, numbers, numbers, numbers, numbers), cell=st.floats(0.1, 20))
def test_nine_heights_give_back_any_quadratic_at_any_cell_size(a, cell):
    p, q, r, s, t = a
    x, north = np.array([-1, 0, 1]) * cell, np.array([1, 0, -1])[:, None] * cell
    z = r * x**2 / 2 + s * x * north + t * north**2 / 2 + p * x + q * north + 50
    np.testing.assert_allclose(quadratic_fit(z, cell), a, atol=1e-9 * (1 + 50 / cell**2))


def test_flat_ground_has_a_mean_but_no_profile_curvature():
    found = curvatures(0.0, 0.0, -0.1, 0.0, -0.1)
    assert np.isnan(found.profile)
    assert found.mean == pytest.approx(0.1)


def test_a_place_off_the_surface_is_named():
    with pytest.raises(OutOfRange, match="x = 11 m, y = 0 m"):
        surface_measures(dome(10.0), [0.0, 11.0], [0.0, 0.0])


def test_a_tip_is_no_smooth_ground():
    with pytest.raises(OutOfRange, match="smooth"):
        surface_measures(cone(1.0), 0.0, 0.0)


def test_a_plane_is_as_rough_as_nothing():
    x = np.arange(5.0)
    z = plane(0.4, -0.7).at(*np.meshgrid(x, x))[0]
    found = roughness_window(z)
    assert found.detrended_rms == pytest.approx(0, abs=1e-12)
    assert found.tri_riley > 1  # which is why it does not serve as grading roughness
    assert found.tpi == pytest.approx(0, abs=1e-12)


def test_a_lone_rock_shows_in_every_measure():
    z = np.zeros((3, 3))
    z[1, 1] = 0.3
    found = roughness_window(z)
    assert found.tpi == pytest.approx(0.3)
    assert found.tri_wilson == pytest.approx(0.3)
    assert found.range == pytest.approx(0.3)
    assert found.detrended_rms == pytest.approx(0.3 * np.sqrt(8) / 9)


@pytest.mark.parametrize(
    "z", [np.zeros((2, 2)), np.zeros((3, 5)), np.zeros((4, 4)), np.full((3, 3), np.nan)]
)
def test_a_window_without_a_middle_is_refused(z):
    with pytest.raises(OutOfRange, match="window"):
        roughness_window(z)
    with pytest.raises(OutOfRange, match="window"):
        quadratic_fit(np.zeros((2, 2)), 1.0)


def test_the_measures_of_a_slope_are_its_own():
    m = surface_measures(Analytic(plane(0.3, -0.4).function), 1e4, -2e4)
    assert np.degrees(m.slope) == pytest.approx(26.565051, abs=1e-6)
    assert np.degrees(m.aspect) == pytest.approx(323.130102, abs=1e-6)
