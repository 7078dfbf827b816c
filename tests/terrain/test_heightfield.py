import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.digest import digest
from hillwright.errors import OutOfRange
from hillwright.terrain.heightfield import HeightField, Window, grid_height

WINDOW = Window(-3.0, 5.0, 0.5, 9, 7)
part = st.floats(-1, 1)


@given(st.tuples(*[part] * 6), st.integers(0, 999))
def test_any_quadratic_comes_back_exactly_up_to_the_border(c, seed):
    def z(x, y):
        return c[0] + c[1] * x + c[2] * y + c[3] * x * x + c[4] * x * y + c[5] * y * y

    field = HeightField.sample(z, WINDOW)
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(-3, 1, 40), rng.uniform(5, 8, 40)
    got, p, q = field.at(x, y)
    np.testing.assert_allclose(got, z(x, y), atol=1e-11)
    np.testing.assert_allclose(p, c[1] + 2 * c[3] * x + c[4] * y, atol=1e-10)
    np.testing.assert_allclose(q, c[2] + c[4] * x + 2 * c[5] * y, atol=1e-10)


def test_the_error_on_smooth_ground_falls_with_the_cube_of_the_spacing():
    def worst(n):
        field = HeightField.sample(
            lambda x, y: np.sin(x + 0.5 * y), Window(0, 0, 4 / n, n + 1, n + 1)
        )
        x, y = np.random.default_rng(1).uniform(0, 4, (2, 2000))
        return np.abs(field.at(x, y)[0] - np.sin(x + 0.5 * y)).max()

    assert worst(16) / worst(32) > 6.5
    assert worst(32) / worst(64) > 7


def test_nodes_are_met_and_the_gradient_there_is_the_fields_own():
    rng = np.random.default_rng(2)
    field = HeightField(0.0, 0.0, 0.7, rng.random((6, 8)))
    x, y = field.window.mesh()
    z, p, q = field.at(x, y)
    np.testing.assert_allclose(z, field.heights, atol=1e-12)
    gp, gq = field.gradient()
    np.testing.assert_allclose(p, gp, atol=1e-12)
    np.testing.assert_allclose(q, gq, atol=1e-12)


def test_the_gradient_is_that_of_the_height():
    rng = np.random.default_rng(3)
    field = HeightField(0.0, 0.0, 1.0, rng.random((12, 12)))
    x, y = rng.uniform(0.5, 10.5, (2, 300))
    h = 1e-6
    _, p, q = field.at(x, y)
    np.testing.assert_allclose(
        p, (field.at(x + h, y)[0] - field.at(x - h, y)[0]) / (2 * h), atol=1e-6
    )
    np.testing.assert_allclose(
        q, (field.at(x, y + h)[0] - field.at(x, y - h)[0]) / (2 * h), atol=1e-6
    )


def test_outside_there_is_no_number_and_on_the_border_there_is():
    field = HeightField.sample(lambda x, y: x + y, WINDOW)
    z, p, q = field.at(
        np.array([-3.0, 1.0, -3.01, 1.01, np.nan]), np.array([5.0, 8.0, 6.0, 6.0, 6.0])
    )
    np.testing.assert_allclose(z[:2], [2.0, 9.0])
    assert np.isnan(z[2:]).all()
    assert np.isnan(p[2:]).all()
    assert np.isnan(q[2:]).all()


def test_reading_a_whole_grid_is_reading_its_places_one_by_one():
    rng = np.random.default_rng(4)
    field = HeightField(1.0, 2.0, 0.5, rng.random((9, 11)))
    x, y = np.linspace(1, 6, 23), np.linspace(2, 6, 17)
    xx, yy = np.meshgrid(x, y)
    np.testing.assert_allclose(field.on(x, y), field.at(xx, yy)[0], atol=1e-12)


def test_it_survives_pickling_small_and_read_only():
    field = HeightField(0.0, 0.0, 1.0, np.random.default_rng(5).random((50, 50)))
    field.at(np.array([1.5]), np.array([2.5]))
    text = pickle.dumps(field)
    again = pickle.loads(text)
    assert len(text) < 1.1 * field.heights.nbytes + 1000
    assert digest(again) == digest(field)
    assert not again.heights.flags.writeable
    assert again.at(np.array([1.5]), np.array([2.5])) == field.at(np.array([1.5]), np.array([2.5]))


def test_a_grid_of_one_row_is_refused():
    with pytest.raises(OutOfRange, match="at least 2 by 2"):
        HeightField(0, 0, 1.0, np.zeros((1, 5)))
    with pytest.raises(OutOfRange, match="spacing above 0"):
        grid_height(np.zeros((3, 3)), 0.0, np.array(1.0), np.array(1.0))


@given(seed=st.integers(0, 99), size=st.integers(2, 9))
def test_few_places_and_many_are_read_alike(seed: int, size: int) -> None:
    chance = np.random.default_rng(seed)
    field = HeightField(0.0, 0.0, 1.0, chance.normal(size=(size, size + 1)))
    x, y = chance.uniform(-0.5, size + 0.5, (2, 900))
    x[0], y[1] = np.nan, 0.0
    many = field.at(x, y)
    few = [field.at(x[k : k + 100], y[k : k + 100]) for k in range(0, 900, 100)]
    for k in range(3):
        joined = np.concatenate([part[k] for part in few])
        assert np.allclose(many[k], joined, rtol=0, atol=1e-12, equal_nan=True)
