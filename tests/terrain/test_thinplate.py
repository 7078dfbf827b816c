import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain import thinplate
from hillwright.terrain.thinplate import left_out_error, thin_plate_height

BOX = np.array([0.0, 0.0, 30.0, 20.0])


def hill(x, y):
    return 0.7 * y + 0.3 * np.sin(x / 3) * np.cos(y / 2.5)


def survey(n, noise, seed):
    rng = np.random.default_rng(seed)
    xy = rng.uniform(0, 1, (n, 2)) * [30, 20]
    return np.column_stack([xy, hill(*xy.T) + rng.normal(0, noise, n)])


def fitted(xyz, scored=True):
    n = len(xyz)
    return thinplate.fit(xyz, np.ones(n), np.full(n, scored), BOX)


@settings(deadline=None)
@given(st.integers(3, 60), st.integers(0, 9999), st.floats(-3, 3), st.floats(-3, 3))
def test_a_plane_comes_back_exactly_inside_and_beyond(n, seed, p, q):
    xyz = survey(n, 0, seed)
    xyz[:, 2] = 7 + p * xyz[:, 0] + q * xyz[:, 1]
    x, y = np.array([15.0, -8.0]), np.array([10.0, 33.0])
    np.testing.assert_allclose(thin_plate_height(xyz, x, y), 7 + p * x + q * y, atol=1e-6)


@settings(deadline=None, max_examples=20)
@given(st.integers(0, 9999), st.floats(0, 6), st.floats(-500, 500))
def test_turning_and_moving_the_survey_turns_and_moves_the_ground(seed, turn, shift):
    xyz = survey(40, 0.02, seed)
    c, s = np.cos(turn), np.sin(turn)
    r = np.array([[c, -s], [s, c]])
    moved = np.column_stack([xyz[:, :2] @ r.T + shift, xyz[:, 2]])
    at = np.array([[12.0, 9.0], [3.0, 15.0]])
    there = at @ r.T + shift
    np.testing.assert_allclose(fitted(moved).at(*there.T), fitted(xyz).at(*at.T), atol=1e-6)


def test_the_closed_form_of_leaving_out_is_fitting_again_without_the_point():
    xyz = survey(25, 0.05, 3)
    through = fitted(xyz, scored=False)
    for i in range(25):
        rest = np.delete(xyz, i, axis=0)
        again = fitted(rest, scored=False).at(xyz[i, 0], xyz[i, 1])
        assert through.through[i] == pytest.approx(float(again), abs=1e-7)


def test_without_smoothing_every_point_is_met():
    xyz = survey(80, 0.05, 4)
    np.testing.assert_allclose(fitted(xyz, scored=False).at(*xyz[:, :2].T), xyz[:, 2], atol=1e-7)


def test_noise_is_smoothed_and_the_error_told_is_near_the_true_one():
    xyz = survey(150, 0.05, 5)
    plate = fitted(xyz)
    x, y = np.random.default_rng(6).uniform([2, 2], [28, 18], (3000, 2)).T
    smooth = np.sqrt(np.mean((plate.at(x, y) - hill(x, y)) ** 2))
    rough = np.sqrt(np.mean((fitted(xyz, scored=False).at(x, y) - hill(x, y)) ** 2))
    assert smooth < 0.8 * rough
    told = left_out_error(xyz[:, 2], plate.left_out)
    assert smooth < told < 2.5 * np.hypot(smooth, 0.05)


def test_a_sure_point_is_met_more_closely_than_an_unsure_one():
    xyz = survey(60, 0.0, 7)
    xyz[20, 2] += 0.3
    sigma = np.full(60, 0.02)
    box, everyone = BOX, np.ones(60, bool)
    even = thinplate.fit(xyz, sigma, everyone, box).at(*xyz[20, :2])
    sigma[20] = 0.5
    unsure = thinplate.fit(xyz, sigma, everyone, box).at(*xyz[20, :2])
    assert abs(unsure - hill(*xyz[20, :2])) < abs(even - hill(*xyz[20, :2]))


def test_many_points_go_by_blocks_and_agree_with_the_hill():
    xyz = survey(900, 0.01, 8)
    plate = fitted(xyz)
    assert len(plate.blocks) > 1
    assert np.isfinite(plate.left_out).all()
    x, y = np.random.default_rng(9).uniform([0, 0], [30, 20], (2000, 2)).T
    assert np.sqrt(np.mean((plate.at(x, y) - hill(x, y)) ** 2)) < 0.01


# Davis 1973, 52 hand-levelled spots (table davis-topo52): leaving one out, a thin plate misses by
# about 22 ft and triangles do no better at the points that they can predict (own measurement)
def test_davis_hillside_is_predicted_within_about_22_feet(davis):
    n = len(davis)
    told = left_out_error(davis[:, 2], fitted(davis, scored=False).through)
    assert told == pytest.approx(22.3, abs=1.0)
    best = left_out_error(
        davis[:, 2], thinplate.fit(davis, np.ones(n), np.ones(n, bool), BOX).left_out
    )
    assert best <= told


def test_spots_in_one_line_are_refused():
    with pytest.raises(OutOfRange, match="one line"):
        thin_plate_height([[0, 0, 0], [1, 1, 1], [2, 2, 3]], 1.0, 0.5)
