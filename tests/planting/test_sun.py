"""Shade against exact geometry: walls, pits, crowns; the year's table against single moments."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.planting import sunplace
from hillwright.planting.horizon import BELOW, directions, distances, far_horizon, ground_horizon
from hillwright.planting.incidence import slope_day
from hillwright.planting.screens import Tree, Wall, crown_band, tree_band, wall_band, wall_bands
from hillwright.planting.sun import Sky, open_sky, sun_table
from hillwright.terrain.heightfield import HeightField, Window

R = np.radians


def normal(slope, aspect):
    return np.array(
        [[np.sin(slope) * np.sin(aspect), np.sin(slope) * np.cos(aspect), np.cos(slope)]]
    )


@pytest.mark.parametrize(("slope", "aspect"), [(0, 0), (30, 180), (30, 0), (30, 90), (60, 45)])
def test_hours_in_the_open_are_those_of_the_closed_form(slope, aspect):
    found = sun_table(open_sky(normal(R(slope), R(aspect))), R(40), every=1, step=300.0)
    days = np.split(np.arange(1, 366), np.cumsum([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30]))
    exact = [slope_day(R(40), d, R(slope), R(aspect)).sunshine.mean() for d in days]
    # the closed form's declination is up to 0.6 deg off, which a north face feels in spring
    worst = 0.12 if aspect >= 90 or not slope else 0.9
    np.testing.assert_allclose(found.hours[:, 0] / 3600, np.array(exact) / 3600, atol=worst)


def test_a_wall_to_the_south_takes_the_sun_while_it_is_lower_than_its_top():
    place = np.array([[0.0, 0.0, 0.0]])
    wall = Wall("wall", np.array([[-500.0, -2.0, 0.0], [500.0, -2.0, 0.0]]), 2.0)
    bearing = directions(360)
    band = wall_bands(place, wall, bearing)
    bare = open_sky(normal(0, 0), 360)
    found = sun_table(Sky(bare.normal, bare.horizon, ((band, 0.0),)), R(40), every=1, step=300.0)
    # exact: hidden while tan(elevation) < height / (distance / -cos(azimuth)), the sun in the south
    sun = sunplace.paths(R(40), 1, 300.0)
    south = -np.cos(sun.azimuth)
    clear = (south <= 0) | (np.tan(sun.elevation) > south * 2.0 / 2.0)
    exact = np.bincount(sun.month, clear, 12) * 300 / sun.days / 3600
    np.testing.assert_allclose(found.hours[:, 0] / 3600, exact, atol=0.06)
    assert exact[11] < 1.0 < exact[5]


def test_a_fence_that_lets_half_through_takes_half():
    place = np.array([[0.0, 0.0, 0.0]])
    line = np.array([[-50.0, -1.0, 0.0], [50.0, -1.0, 0.0]])
    bare = open_sky(normal(0, 0))
    tables = []
    for passes in (0.0, 0.5, 1.0):
        band = wall_bands(place, Wall("fence", line, 1.5, passes), directions(90))
        tables.append(sun_table(Sky(bare.normal, bare.horizon, ((band, passes),)), R(40)))
    none, half, all_of_it = (t.hours for t in tables)
    np.testing.assert_allclose(half, (none + all_of_it) / 2, atol=1e-6)


def test_a_pit_hides_the_sun_below_its_rim_in_every_direction():
    window = Window(-6, -6, 0.05, 241, 241)
    pit = HeightField.sample(lambda x, y: np.where(np.hypot(x, y) > 3, 2.0, 0.0), window)
    rim = ground_horizon(pit, 0.0, 0.0, 0.0, directions(36), distances(0.25, 5.9, 1.005))
    # heights between nodes overshoot at a sharp rim
    np.testing.assert_allclose(np.tan(rim), 2 / 3, rtol=0.06)
    sky = Sky(normal(0, 0), np.full((1, 120), np.arctan(2 / 3)), ())
    found = sun_table(sky, R(40), every=1, step=300.0)
    sun = sunplace.paths(R(40), 1, 300.0)
    exact = np.bincount(sun.month, sun.elevation > np.arctan(2 / 3), 12) * 300 / sun.days
    np.testing.assert_allclose(found.hours[:, 0], exact, atol=1e-6)


def test_level_ground_has_a_level_horizon_and_a_slope_its_own():
    window = Window(-15, -15, 0.5, 61, 61)
    hill = HeightField.sample(lambda x, y: 0.5 * y, window)
    bearing = directions(72)
    found = ground_horizon(hill, [0.0, 3.0], [0.0, -2.0], [0.0, -1.0], bearing, distances(0.5, 9.0))
    np.testing.assert_allclose(np.tan(found), np.cos([bearing, bearing]) * 0.5, atol=1e-9)


def test_where_there_is_no_ground_nothing_hides_the_sky():
    window = Window(0, 0, 0.5, 5, 5)
    field = HeightField.sample(lambda x, y: 0 * x, window)
    assert (ground_horizon(field, 50.0, 50.0, 0.0, directions(8), [1.0, 2.0]) == BELOW).all()
    with pytest.raises(OutOfRange, match="distance"):
        ground_horizon(field, 1.0, 1.0, 0.0, directions(8), [0.0, 2.0])


@given(
    st.floats(-6, 6), st.floats(-6, 6), st.floats(-3, 3), st.floats(0.5, 6), st.floats(0.5, 6),
    st.floats(0, 0.9), st.integers(0, 71),
)  # fmt: skip
def test_a_crown_hides_just_the_rays_that_meet_its_ellipsoid(dx, dy, dz, height, spread, part, k):
    clear = part * height
    bearing = directions(72)
    foot = np.array([dx, dy, dz])
    band = crown_band(np.zeros((1, 3)), foot, height, spread, bearing, clear)
    middle = foot + np.array([0, 0, clear + (height - clear) / 2])
    axes = np.array([spread / 2, spread / 2, (height - clear) / 2])
    for elevation in R(np.arange(-85, 90, 7.3)):
        ray = np.array(
            [
                np.cos(elevation) * np.sin(bearing[k]),
                np.cos(elevation) * np.cos(bearing[k]),
                np.sin(elevation),
            ]
        )
        # the ray t ray, t > 0 meets |(p - middle) / axes| = 1
        u, v = ray / axes, middle / axes
        a, b, c = u @ u, -2 * u @ v, v @ v - 1
        root = b * b - 4 * a * c
        meets = root > 0 and (-b + np.sqrt(root)) / (2 * a) > 0
        edges = abs(elevation - band.lower[0, k]), abs(elevation - band.upper[0, k])
        if min(edges) < 1e-6 or abs(root) < 1e-9 or abs(c) < 1e-9:
            continue
        assert (band.lower[0, k] < elevation < band.upper[0, k]) == bool(meets)


def test_what_is_far_off_is_read_between_its_measures_round_the_circle():
    found = far_horizon(R([350, 10, 180]), R([4, 8, 0]), R([0, 10, 95, 355]))
    np.testing.assert_allclose(np.degrees(found), [6, 8, 4, 5])
    with pytest.raises(OutOfRange, match="two at one bearing"):
        far_horizon(R([0, 360]), R([1, 2]), R([5]))


def test_more_in_the_sun_never_gives_a_place_more_of_it():
    place = np.array([[0.0, 0, 0], [2, 1, 0.5]])
    n = np.vstack([normal(R(20), R(180))] * 2)
    bare = open_sky(n)
    tree = Tree("tree", np.array([1.0, -3, 0]), 5.0, 3.0, 1.0)
    band = tree_band(place, tree, directions(90))
    with_tree = sun_table(Sky(n, bare.horizon, ((band, 0.0),)), R(40))
    without = sun_table(bare, R(40))
    assert (with_tree.hours <= without.hours).all()
    assert (with_tree.energy <= without.energy + 1e-6).all()
    assert with_tree.hours.sum() < without.hours.sum()
    np.testing.assert_allclose(with_tree.share * without.hours, with_tree.hours)


def test_every_third_day_is_close_to_every_day():
    n = np.vstack([normal(R(s), R(a)) for s in (10, 35) for a in (0, 90, 180, 270)])
    every, third = (sun_table(open_sky(n), R(40), every=k).hours / 3600 for k in (1, 3))
    assert np.abs(every - third).max() < 0.15


def test_a_wall_with_no_length_is_refused():
    with pytest.raises(OutOfRange, match="length"):
        wall_band(np.zeros((1, 3)), [1, 1, 0], [1, 1, 2], 2.0, [0.0])
