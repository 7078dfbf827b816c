import math

import numpy as np
import pytest
from hills import cone, cylinder, sphere, translation
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.layout.nettheory import (
    cells_round_cylinder,
    contour_row_shear,
    sphere_net,
    sphere_shear,
    start_shear,
    translation_net,
)


# Chebyshev 1878; series s - s^3/18 + 7 s^5/1800, recomputed to 40 digits
def test_shear_starts_as_its_series_and_locks_at_a_right_angle():
    s = 0.1
    assert sphere_shear(1, s, 1).shear == pytest.approx(s - s**3 / 18 + 7 * s**5 / 1800, abs=1e-10)
    assert sphere_shear(1, 1.861591, 1).shear == pytest.approx(math.pi / 2, abs=1e-6)


def test_shear_solves_its_equation():
    s, h = np.linspace(0.1, 1.8, 12), 1e-3
    g = [sphere_shear(1.0, s + k * h, 1.0).shear for k in (-1, 0, 1)]
    second, first = (g[0] - 2 * g[1] + g[2]) / h**2, (g[2] - g[0]) / (2 * h)
    assert np.allclose(s * second + first, np.cos(g[1]), atol=2e-6)


# the bias (u = v) of the net meets the equator of a hemisphere at a shear of 52.425 deg
def test_shear_where_the_bias_meets_the_equator():
    low, high = 0.5, 1.2
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if sphere_net(1.0, middle, middle)[2] > 0 else (low, middle)
    assert math.degrees(sphere_shear(1.0, low, low).shear) == pytest.approx(52.425, abs=5e-4)


@given(u=st.floats(-1.3, 1.3), v=st.floats(-1.3, 1.3), radius=st.floats(0.5, 100))
def test_the_net_lies_on_the_dome_keeps_its_steps_and_its_angle(u, v, radius):
    h = 1e-4
    steps = np.array([0.0, h, -h, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, h, -h])
    p = sphere_net(radius, (u + steps[0]) * radius, (v + steps[1]) * radius) / radius
    assert np.allclose(np.linalg.norm(p, axis=1), 1, atol=1e-9)
    along, down = (p[1] - p[2]) / (2 * h), (p[3] - p[4]) / (2 * h)
    assert np.linalg.norm(along) == pytest.approx(1, abs=1e-6)
    assert np.linalg.norm(down) == pytest.approx(1, abs=1e-6)
    angle = sphere_shear(radius, u * radius, v * radius).angle
    assert along @ down == pytest.approx(math.cos(angle), abs=1e-6)


def test_the_net_of_a_dome_is_symmetric():
    a, b = np.array([0.3, 0.9, 1.1]), np.array([0.8, -0.4, 1.2])
    there, back = sphere_net(2.0, a, b), sphere_net(2.0, b, a)
    assert np.allclose(there, back[:, [1, 0, 2]], atol=1e-9)


@given(u=st.floats(0, 1.3), v=st.floats(0, 1.3))
def test_a_start_in_the_middle_is_never_worse(u, v):
    found = start_shear(1.0, u, v)
    assert found.corner_start >= found.middle_of_top_row_start >= found.centre_start >= 0


def test_a_net_beyond_its_lock_is_refused_and_names_the_place():
    with pytest.raises(OutOfRange, match=r"across\[1\].*locks at 1.861592"):
        sphere_shear(1.0, [0.5, 2.0], [0.5, 2.0])
    with pytest.raises(OutOfRange, match="radius"):
        sphere_shear(0.0, 1.0, 1.0)
    with pytest.raises(OutOfRange, match="locks"):
        sphere_net(1.0, math.nan, 1.0)


def test_translation_net_refuses_what_is_no_sum_of_profiles():
    place = [[1.0, 2.0]]
    assert translation_net(translation(-0.1, -0.2), place).angle.shape == (1,)
    assert translation_net(cylinder(10.0), place).shear == pytest.approx(0)
    for hill in (sphere(10.0), cone(0.7)):
        with pytest.raises(OutOfRange, match="is not a sum"):
            translation_net(hill, place)
    with pytest.raises(OutOfRange, match=r"place\[1\].*no height"):
        translation_net(cylinder(10.0), [[0, 0], [0, 11]])


def test_impossible_cells_and_rows_are_refused():
    with pytest.raises(OutOfRange, match="no chord"):
        cells_round_cylinder(0.2, 0.5, 3)
    with pytest.raises(OutOfRange, match="cells: -4"):
        cells_round_cylinder(2.0, 0.5, -4)
    with pytest.raises(OutOfRange, match="apex"):
        contour_row_shear(0.0, 1.0)
