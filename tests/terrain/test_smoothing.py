import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.heightfield import Window
from hillwright.terrain.measure import nodes_inside
from hillwright.terrain.smoothing import graded_heights
from hillwright.terrain.spots import (
    Smoothed,
    find_spots,
    footprint,
    grading_spots,
    perch_heights,
    spot_volumes,
)

WIDTH, RUN, GAP = 0.6, 0.45, 0.05
WINDOW = Window(-2.0, -2.0, 0.11, 145, 128)
OUTLINE = np.array([[0, 0], [12, 0], [12, 10], [0, 10]], float)
ACROSS = np.array([1.0, 0.0])
SLOPE = np.tan(np.radians(35))


def spots_on(ground, across=ACROSS, max_gap=GAP):
    inside = nodes_inside(OUTLINE, WINDOW)
    return find_spots(ground, WINDOW, inside, WIDTH, RUN, max_gap, across)


def plane():
    return SLOPE * WINDOW.mesh()[1]


def bump(x, y, height, radius):
    """Paraboloid of a height over a disc; volume height * pi * radius^2 / 2."""
    gx, gy = WINDOW.mesh()
    return np.maximum(height * (1 - ((gx - x) ** 2 + (gy - y) ** 2) / radius**2), 0)


@given(st.floats(-2, 2), st.floats(-2, 2), st.floats(0, 1.5))
def test_grading_keeps_a_plane_to_the_border(p, q, width):
    x, y = np.meshgrid(np.arange(40) * 0.1, np.arange(30) * 0.1)
    z = 5 + p * x + q * y
    np.testing.assert_allclose(graded_heights(z, 0.1, width), z, atol=1e-9)


@given(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_grading_keeps_the_shape_of_the_hill_away_from_the_border(r, s, t):
    x, y = np.meshgrid(np.arange(120) * 0.1, np.arange(110) * 0.1)
    z = r * x * x + s * x * y + t * y * y
    inner = np.s_[30:-30, 30:-30]
    np.testing.assert_allclose(graded_heights(z, 0.1, 0.4)[inner], z[inner], atol=1e-9)


# noise becomes shear in the net: 2 cm on a 0.25 m grid gave 8.9 deg of shear raw and 0.2 deg after
# a plain Gaussian of 0.5 m (own measurement); shear goes as the twist of a cell, so test that
def test_grading_takes_the_twist_of_noise_down_more_than_ten_times():
    z = 0.02 * np.random.default_rng(1).normal(size=(80, 120))

    def twist(a):  # fourth corner of a 0.5 m cell off the plane of the other three
        return np.std(a[2:, 2:] - a[2:, :-2] - a[:-2, 2:] + a[:-2, :-2])

    assert twist(z) > 12 * twist(graded_heights(z, 0.25, 0.5))


def test_no_width_grades_nothing_and_bad_input_is_refused():
    z = np.random.default_rng(2).random((9, 9))
    np.testing.assert_array_equal(graded_heights(z, 0.1, 0.0), z)
    with pytest.raises(OutOfRange, match="width"):
        graded_heights(z, 0.1, -1.0)
    z[3, 3] = np.nan
    with pytest.raises(OutOfRange, match="missing"):
        graded_heights(z, 0.1, 0.5)


def test_the_footprint_of_a_cell_is_its_base_turned_with_the_rows():
    under = footprint(0.6, 0.4, ACROSS, 0.1)
    assert len(under) == 7 * 5
    turned = footprint(0.6, 0.4, np.array([0.0, 1.0]), 0.1)
    assert {(i, j) for i, j in turned} == {(j, i) for i, j in under}


def test_a_flat_base_perches_on_a_ridge_by_its_sag():
    # across a ridge z = -x^2 / 2R a base of width w stands w^2 / 8R below the top (exact)
    x = (np.arange(161) - 80) * 0.05
    z = np.tile(-(x**2) / (2 * 1.5), (161, 1))
    under = footprint(0.6, 0.4, ACROSS, 0.05)
    assert perch_heights(z, under)[80, 80] == pytest.approx(0.6**2 / 8 / 1.5)


def test_steep_smooth_ground_passes_as_it_is():
    noise = 0.01 * np.random.default_rng(3).normal(size=(WINDOW.ny, WINDOW.nx))
    assert spots_on(plane() + noise).spots == ()
    assert spots_on(plane(), max_gap=0.0).spots == ()


@pytest.mark.parametrize("turn", [0.0, 0.5])
@pytest.mark.parametrize("noise", [0.0, 0.01])
def test_a_boulder_and_a_hole_are_two_spots_with_their_volumes(turn, noise):
    across = np.array([np.cos(turn), np.sin(turn)])
    rough = noise * np.random.default_rng(4).normal(size=(WINDOW.ny, WINDOW.nx))
    ground = plane() + rough + bump(3.0, 4.0, 0.3, 0.35) - bump(8.0, 6.0, 0.25, 0.3)
    found = spots_on(ground, across)
    assert len(found.spots) == 2
    hump, dip = sorted(found.spots, key=lambda s: s.x)
    assert [s.number for s in found.spots] == [1, 2]
    assert (hump.x, hump.y) == pytest.approx((3.0, 4.0), abs=0.06)
    assert (dip.x, dip.y) == pytest.approx((8.0, 6.0), abs=0.06)
    assert hump.trim == pytest.approx(0.3 * np.pi * 0.35**2 / 2, rel=0.08)
    assert dip.fill == pytest.approx(0.25 * np.pi * 0.3**2 / 2, rel=0.1)
    assert hump.fill < 0.1 * hump.trim
    assert dip.trim < 0.1 * dip.fill
    assert hump.depth == pytest.approx(0.3, abs=0.02 + 3 * noise)
    assert dip.depth == pytest.approx(0.25, abs=0.02 + 3 * noise)
    assert np.pi * 0.3**2 < hump.area < np.pi * 0.45**2
    ring = hump.ring - [3.0, 4.0]
    assert (np.hypot(*ring.T) < 0.6).all()
    # what is left is the plane
    assert np.abs(found.heights - plane()).max() < 0.03 + 5 * noise


@pytest.mark.parametrize(("height", "radius", "within"), [(0.5, 0.8, 0.03), (0.9, 1.2, 0.12)])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_wide_boulder_is_measured_down_to_its_foot(height, radius, within, sign):
    # a paraboloid holds half of its cylinder (exact); the hill's own shape must not keep a part
    found = spots_on(plane() + sign * bump(5.0, 5.0, height, radius))
    moved = sum(sign * (s.trim - s.fill) for s in found.spots)
    assert moved == pytest.approx(height * np.pi * radius**2 / 2, rel=within)


def test_spots_outside_the_outline_are_no_business_of_the_job():
    assert spots_on(plane() + bump(-1.0, 4.0, 0.3, 0.35)).spots == ()


def test_a_bump_that_a_cell_tolerates_is_left():
    assert spots_on(plane() + bump(3.0, 4.0, 0.04, 0.35)).spots == ()


def test_the_larger_spot_comes_first_and_two_boulders_are_two_spots():
    ground = plane() + bump(3.0, 3.0, 0.3, 0.3) + bump(6.0, 6.0, 0.3, 0.45)
    first, second = spots_on(ground).spots
    assert first.area > second.area
    assert first.x == pytest.approx(6.0, abs=0.06)


@given(st.lists(st.floats(-1, 1), min_size=1, max_size=30), st.floats(0.01, 1))
def test_trim_less_fill_is_what_leaves_the_hill(change, step):
    got = spot_volumes(np.array(change), step)
    assert got.trim >= 0
    assert got.fill >= 0
    assert got.trim - got.fill == pytest.approx(sum(change) * step**2, abs=1e-9)


def test_ground_that_grading_leaves_by_more_than_a_cell_bridges_is_a_spot_with_its_volume():
    # a swell three cells long: no base would bridge it, and grading still takes its top off
    window = Window(0.0, 0.0, 0.1, 121, 121)
    x, y = window.mesh()
    swell = 0.12 * np.exp(-((x - 6) ** 2 + (y - 6) ** 2) / (2 * 0.6**2))
    ground = 0.6 * y + swell
    inside = np.ones(x.shape, bool)
    graded = graded_heights(ground, 0.1, 0.6)
    off = ground - graded
    spots = grading_spots(Smoothed(ground, ()), graded, window, inside, 0.02)
    assert off.max() > 0.02
    assert spots[0].number == 1
    assert spots[0].depth == pytest.approx(off.max())
    assert np.hypot(spots[0].x - 6, spots[0].y - 6) < 0.05
    # what comes off the top is what the grading takes there, but for the thin foot
    taken = off[off > 0].sum() * 0.1**2
    assert taken * 2 / 3 < spots[0].trim <= taken * (1 + 1e-9)
    assert not grading_spots(Smoothed(ground, ()), graded, window, inside, 0.2)
