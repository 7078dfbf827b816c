"""Maps of the ground's shape, against closed forms of a sphere and a quadratic."""

import numpy as np
import pytest

from hillwright.terrain.bends import shape_maps, sharpest_bend
from hillwright.terrain.heightfield import HeightField, Window

WINDOW = Window(-4.0, -14.0, 0.1, 81, 81)


def dome(radius):
    return HeightField.sample(lambda x, y: np.sqrt(radius**2 - x**2 - y**2), WINDOW)


def test_a_dome_bends_alike_down_and_along_by_its_radius():
    # every normal section of a sphere has the curvature 1 / R, and Gauss's is 1 / R^2
    maps = shape_maps(dome(20.0), 0.2)
    inner = (slice(5, -5), slice(5, -5))
    assert maps.profile[inner] == pytest.approx(1 / 20, rel=2e-3)
    assert maps.tangential[inner] == pytest.approx(1 / 20, rel=2e-3)
    assert maps.gauss[inner] == pytest.approx(1 / 400, rel=4e-3)
    x, y = WINDOW.mesh()
    assert maps.slope[inner] == pytest.approx(np.arcsin(np.hypot(x, y) / 20)[inner], rel=1e-3)
    bearing = np.mod(np.arctan2(x, y), 2 * np.pi)
    assert maps.aspect[inner] == pytest.approx(bearing[inner], abs=1e-3)


def test_a_quadratic_keeps_its_curvatures_at_any_reach():
    # runs along x and falls along y, where a second difference of a quadratic is exact
    field = HeightField.sample(lambda x, y: 0.6 * y - 0.02 * x**2, WINDOW)
    for reach in (0.1, 0.3, 0.5):
        maps = shape_maps(field, reach)
        j, i = 40, 40  # x = 0: p = 0, q = 0.6, r = -0.04
        assert maps.profile[j, i] == pytest.approx(0.0, abs=1e-12)
        assert maps.tangential[j, i] == pytest.approx(0.04 / np.sqrt(1 + 0.36))


def test_the_sharpest_bend_is_found_with_its_place_and_direction():
    def ground(x, y):
        return 0.6 * y - 0.15 * np.exp(-((y + 10) ** 2) / (2 * 0.8**2))

    field = HeightField.sample(ground, WINDOW)
    inside = np.ones(field.heights.shape, bool)
    bend = sharpest_bend(field, inside, 0.2)
    assert not bend.along_row
    assert bend.curvature < 0  # a trench is a hollow
    assert bend.at[1] == pytest.approx(-10, abs=0.15)
    only_there = inside.copy()
    only_there[WINDOW.y < -6.0] = False
    assert abs(sharpest_bend(field, only_there, 0.2).curvature) < 1e-3


def test_level_ground_bends_nowhere():
    field = HeightField.sample(lambda x, y: 0 * x, WINDOW)
    assert sharpest_bend(field, np.ones(field.heights.shape, bool), 0.2).curvature == 0
